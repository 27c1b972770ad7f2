"""Wires the runs that the pages follow: begun from a page, kept in the store, and gone on with when the program starts again."""

from __future__ import annotations

import contextlib
import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from mainwright.bootstrap.running import PAGE, Way, again, following_of, run_files
from mainwright.errors import InputError, MainwrightError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from mainwright.bootstrap.running import Following
    from mainwright.line.run_plan import RunPlan
    from mainwright.plan.result import Plan, Run
    from mainwright.workflow.keeping import FolderRecords
    from mainwright.workflow.live_ports import RunKey
    from mainwright.workflow.live_run import LiveRun
    from mainwright.workflow.live_runs import FollowingBegun, Standing
    from mainwright.workflow.store_ports import Store

__all__ = ["HostedRuns", "keep_run"]

_EVERY: Final = 0.2
"""A run that a page follows is looked after so often. [s]"""

_CALM: Final = 1.0
"""So long nothing must have happened before records are made of a run that stands still. [s]"""

_TAIL: Final = 200
"""So many entries at the end of a log say whether it was ended."""


def keep_run(store: Store, key: RunKey, *, author: str) -> int:
    """Make records of a job of what the store has followed of a run, and return how many were added; the same once more adds none.

    Parameters
    ----------
    store : Store
        With jobs, records and the logs of runs.
    key : RunKey
        Any part of the run.
    author : str
        Who followed it.

    Returns
    -------
    int
        Records.
    """
    from mainwright.folder.record_rows import RecordRows, record_files, rows_of_files
    from mainwright.workflow.keeping import FolderRecords, keep_records

    def change(held: FolderRecords) -> FolderRecords:
        there = record_files(RecordRows(held.tables, held.readings))
        rows = rows_of_files(there | run_files(store, key, there.get))
        return FolderRecords(rows.tables, rows.readings, held.plan)

    return keep_records(store, key.job, change, author=author, method="followed")


@dataclass(frozen=True, slots=True)
class _Chosen:
    """What would be followed next of a run: what was planned, the revision of the plan that was issued, and how it stands."""

    run: Run
    meant: RunPlan
    revision: str | None
    standing: Standing


class _Tended:
    """A run that is followed, and a thread that makes records of it whenever it stands still."""

    def __init__(self, following: Following) -> None:
        self.following = following
        self._closing = threading.Event()
        self._thread = threading.Thread(target=self._work, name=f"following {following.live.key.run}", daemon=True)

    def begin(self) -> None:
        """Look after it."""
        self._thread.start()

    def end(self) -> None:
        """Stop following, and make records of all of it."""
        self._closing.set()
        self._thread.join()
        self.following.close()

    def _work(self) -> None:
        live = self.following.live
        kept: object = None
        seen: object = None
        calm = 0.0
        while not self._closing.wait(_EVERY):
            self.following.tick("")
            with live.lock:
                now = (live.state.phase, len(live.state.happened))
            calm = calm + _EVERY if now == seen else 0.0
            seen = now
            if now[0] in ("stopped", "ended") and now != kept and calm >= _CALM:
                kept = now
                with contextlib.suppress(MainwrightError):
                    # What cannot be kept now is kept when it ends; the log has all of it.
                    self.following.keep()


class HostedRuns:
    """The runs that this program follows for its pages.

    Parameters
    ----------
    store : Store, optional
        Where they are kept; None where none can be begun.
    address : callable
        Gives the name in addresses of a job, by its reference.
    reference : callable
        Gives the reference of a job, by its name in addresses.
    feeds : mapping
        What readings can come from: as `mainwright.bootstrap.feeds.open_feed` takes it, by its name.
    live : sequence of LiveRun
        Runs that somebody else looks after.
    """

    def __init__(
        self,
        store: Store | None,
        *,
        address: Callable[[str], str],
        reference: Callable[[str], str],
        feeds: Mapping[str, str] | None = None,
        live: Sequence[LiveRun] = (),
    ) -> None:
        self._store = store
        self._address = address
        self._reference = reference
        self._feeds = dict(feeds or {})
        self._lock = threading.RLock()
        self._others = {(address(one.key.job), one.key.run): one for one in live}
        self._tended: dict[tuple[str, str], _Tended] = {}

    def get(self, job: str, run: str) -> LiveRun | None:
        """Return a run that is followed."""
        other = self._others.get((job, run))
        if other is not None:
            return other
        tended = self._tended.get((job, run))
        return None if tended is None else tended.following.live

    def job_of(self, run: str) -> str | None:
        """Return the name of a job of which a run with this id is followed."""
        return next((job for job, one in (*self._others, *self._tended) if one == run), None)

    def followed(self, job: str) -> Sequence[str]:
        """Return the ids of the runs of a job that are followed and not ended."""
        mine = [run for where, run in (*self._others, *self._tended) if where == job]
        return tuple(run for run in mine if (one := self.get(job, run)) is not None and one.state.phase != "ended")

    def feeds(self) -> Sequence[str]:
        """Return the names of what readings can come from."""
        return tuple(self._feeds)

    def standing(self, job: str, plan: Plan, run: str) -> Standing | None:
        """Return how a run stands that is not followed now."""
        if self._store is None or self._others:
            return None
        return self._chosen(self._store, job, plan, run).standing

    def begin(self, job: str, plan: Plan, run: str, how: FollowingBegun) -> None:
        """Follow a run, or go on with it."""
        if self._store is None or self._others:
            raise InputError("run", run, "", "a run that this program can follow: it follows another one, or has no store")
        if how.feed is not None and how.feed not in self._feeds:
            raise InputError("feed", how.feed, "", f"one of {', '.join(self._feeds) or 'none: the program was started without any'}")
        with self._lock:
            there = self._tended.get((job, run))
            if there is not None:
                if there.following.live.state.phase != "ended":
                    return
                there.end()
                del self._tended[job, run]
            chosen = self._chosen(self._store, job, plan, run)
            following = following_of(
                plan.job,
                chosen.run,
                chosen.meant,
                Way(feed=None if how.feed is None else self._feeds[how.feed], turned=how.turned, named=how.feed or ""),
                store=self._store,
                author=how.who,
                revision=chosen.revision,
                keep=self._keeper(self._store, how.who),
            )
            self._tend((job, run), following)

    def go_on(self) -> Sequence[str]:
        """Follow again what pages followed when the program ended, and return what cannot be, in words."""
        if self._store is None:
            return ()
        said = []
        for key in self._store.log.runs():
            about = self._store.log.header(key).get("about")
            named = about.get(PAGE) if isinstance(about, dict) else None
            if not isinstance(named, str) or self._ended(key):
                continue
            if named and named not in self._feeds:
                said.append(
                    f"{key.run} of {key.job} was followed by the feed {named}, which this start does not name: it goes on by hand marks."
                )
            try:
                following = again(self._store, key, self._feeds.get(named), keep=self._keeper(self._store, ""))
            except MainwrightError as error:
                said.append(f"{key.run} of {key.job}: {error}")
                continue
            self._tend((self._address(key.job), key.run), following)
        return said

    def close(self) -> None:
        """Stop following, and make records of all of it."""
        with self._lock:
            for one in self._tended.values():
                one.end()
            self._tended.clear()

    def _tend(self, place: tuple[str, str], following: Following) -> None:
        following.start()
        tended = self._tended[place] = _Tended(following)
        tended.begin()

    def _ended(self, key: RunKey) -> bool:
        """Return whether a run was ended, by the last of its log."""
        assert self._store is not None  # noqa: S101 - asked only where there is one
        log = self._store.log
        return any(one.kind == "ended" for one in log.entries(key, after=max(log.anchor(key).count - _TAIL, 0)))

    @staticmethod
    def _keeper(store: Store, author: str) -> Callable[[RunKey], tuple[str, ...]]:
        def keep(key: RunKey) -> tuple[str, ...]:
            keep_run(store, key, author=author)
            return ()

        return keep

    def _chosen(self, store: Store, job: str, plan: Plan, run: str) -> _Chosen:
        """Return a run as it was issued, or as it is planned: the first coat that is not complete."""
        import json

        from mainwright.plan.issued import read_issued
        from mainwright.workflow.keeping import records_of_folder
        from mainwright.workflow.live_runs import Standing
        from mainwright.workflow.running import choose_run, how_it_stands, job_name

        with store.looking() as shelf:
            held = records_of_folder(shelf.records(self._reference(job)))
        issued = None if held.plan is None else read_issued(json.loads(held.plan))
        runs = plan.runs if issued is None else issued.runs
        coats = max((one.coats for one in runs if one.id == run), default=1)
        for coat in range(1, coats + 1):
            chosen, meant = choose_run(plan.job, run, runs=runs, stretches=plan.stretches, coat=coat)
            state = how_it_stands(store.log, job_name(plan.job), meant)
            if state != "complete":
                break
        return _Chosen(chosen, meant, None if issued is None else issued.revision, Standing(state, coat, coats))
