"""Wires following a run: folder, store, feed and clock."""

from __future__ import annotations

import contextlib
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from mainwright.bootstrap.planning import read_job

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import datetime
    from pathlib import Path

    from mainwright.feeds.inbox import BoundedInbox
    from mainwright.job.job import Job
    from mainwright.job.records import Records
    from mainwright.line.run_plan import RunPlan
    from mainwright.plan.result import LinedStretch, Run
    from mainwright.workflow.live_commands import Command
    from mainwright.workflow.live_ports import Arrival, Clock, Feed, RunKey
    from mainwright.workflow.live_run import LiveRun
    from mainwright.workflow.ports import JobRead
    from mainwright.workflow.store_ports import CarriedLog, Store

__all__ = [
    "PAGE",
    "RIG",
    "Following",
    "Way",
    "again",
    "follow",
    "following_of",
    "report_of",
    "run_files",
    "user_name",
    "write_back",
    "write_report",
]

RIG = "rig"
"""The feed that is simulated."""

PAGE = "page"
"""Under this word the head of a log says by which feed a page follows the run."""

_QUIET_TICKS = 3
"""So many looks in a row must find the feed at its end and nothing left to take in."""


def user_name() -> str:
    """Return the name under which somebody works on this machine, for the record; empty where it is not known."""
    import os

    return os.environ.get("USER") or os.environ.get("USERNAME") or ""


class Following:
    """A run that is followed until it is closed: its feed, its record in the store, and its records in the folder.

    Attributes
    ----------
    live
        The run.
    feed
        Where its readings come from; None where there are only marks by hand.
    store
        Where it is kept.
    resumed
        Whether it goes on from an earlier start.
    """

    def __init__(
        self,
        live: LiveRun,
        feed: Feed | None,
        *,
        store: Store,
        resumed: bool,
        begin: bool,
        script: Sequence[tuple[float, Command]] = (),
        keep: Callable[[RunKey], tuple[str, ...]],
    ) -> None:
        self.live = live
        self.feed = feed
        self.resumed = resumed
        self.store = store
        self._begin = begin
        self._script = list(script)
        self._quiet = 0
        self._keep = keep

    def note(self, what: str, detail: str, *, who: str) -> None:
        """Put on record what somebody did to this run by a command.

        Parameters
        ----------
        what : str
            A word of `mainwright.web.roles.DEEDS`.
        detail : str
            What was typed.
        who : str
            Who did it.
        """
        from mainwright.bootstrap.noting import latest_revision, note

        key = self.live.key
        revision = latest_revision(self.store, key.job)
        note(self.store.deeds, what, who=who, detail=f"terminal, {key.run}: {detail}", job=key.job, before=revision, after=revision)

    def start(self) -> None:
        """Follow."""
        self.live.start()
        if self.feed is not None:
            self.feed.start()

    def tick(self, who: str) -> bool:
        """Do what is due by itself, and return whether it goes on.

        Parameters
        ----------
        who : str
            For the record.

        Returns
        -------
        bool
            False once the feed has come to its end and all that came is taken in.
        """
        from mainwright.workflow.live_commands import End

        with self.live.lock:
            state = self.live.state
            started, now = state.started, state.now
            if started is not None and now is not None and state.phase in ("running", "stopped"):
                while self._script and started + self._script[0][0] <= now:
                    _, command = self._script.pop(0)
                    self._due(command, who, f"script {len(self._script)}")
            self._quiet = self._quiet + 1 if self.feed is not None and self.feed.finished and self.live.idle else 0
            if self._quiet < _QUIET_TICKS:
                return True
            if self._begin and state.phase in ("running", "stopped") and state.deposit.furthest >= state.plan.length - 0.1:
                self.live.do(End("complete"), who=who)
        return False

    def _due(self, command: Command, who: str, press: str) -> None:
        """Do what the script says, once for ever; what a person has done meanwhile by hand goes first."""
        from mainwright.errors import InputError, RunError

        with contextlib.suppress(RunError, InputError):
            self.live.do(command, who=who, press=press)

    def close(self) -> tuple[str, ...]:
        """Stop, make records of what was followed, and return what was written; what is on disk in the store is never lost.

        Returns
        -------
        tuple of str
            As `keep` gives it.
        """
        if self.feed is not None:
            self.feed.stop(5.0)
        self.live.stop(10.0)
        return self.keep()

    def keep(self) -> tuple[str, ...]:
        """Make records of what was followed so far, and return what was written."""
        return self._keep(self.live.key)


def write_back(folder: Path, store: Store, key: RunKey) -> tuple[str, ...]:
    """Write what a store keeps of a run into ``records/`` of a job folder, beside what stands there, and return the names of the files.

    Parameters
    ----------
    folder : Path
        The job folder.
    store : Store
        With the logs of runs as ``log``.
    key : RunKey
        Any part of the run.

    Returns
    -------
    tuple of str
        Within ``records/``.
    """
    from mainwright.folder.record_writing import add_rows

    def there(file: str) -> bytes | None:
        path = folder / "records" / file
        return path.read_bytes() if path.exists() else None

    files = run_files(store, key, there)
    if files:
        add_rows(folder, files)
    return tuple(files)


def run_files(store: Store, key: RunKey, there: Callable[[str], bytes | None]) -> dict[str, bytes]:
    """Return the files of ``records/`` that say what a store keeps of a run, with what stood there before.

    Parameters
    ----------
    store : Store
        With the logs of runs as ``log``.
    key : RunKey
        Any part of the run.
    there : callable
        Gives what stands in a file, None where there is none.

    Returns
    -------
    dict
        Content by name within ``records/``; none where nothing was followed.
    """
    from mainwright.folder.record_writing import merged
    from mainwright.workflow.run_records import record_rows
    from mainwright.workflow.running import parts_of

    parts = [part for part in parts_of(store.log, key) if part.state.events]
    files = {}
    for one in record_rows(parts) if parts else ():
        readings = one.file.startswith("run_")
        files[one.file] = merged(
            there(one.file),
            file=f"records/{one.file}",
            columns=one.columns,
            rows=one.rows,
            key=one.key,
            in_order_of="time" if readings else None,
            renew=readings,
        )
    return files


def follow(
    folder: Path,
    name: str,
    *,
    feed: str | None,
    coat: int | None = None,
    turned: bool = False,
    speed: float = 1.0,
    bin_length: float | None = None,
    lag: float = 0.0,
    begin: bool = True,
    author: str = "",
    store: str | None = None,
    out: Path | None = None,
) -> tuple[JobRead, Following | None]:
    """Return a run that is ready to be followed.

    Parameters
    ----------
    folder : Path
        The job folder. The plan that is followed is its ``plan.json``; where there is none the job is planned anew.
    name : str
        Id of the run.
    feed : str, optional
        As `open_feed` takes it, or ``rig`` for the simulated one; none for marks by hand.
    coat : int, optional
        Which of several coats.
    turned : bool
        Whether what is left of a broken off run is lined from the other end.
    speed : float
        Of the simulated rig: how many times as fast.
    bin_length, lag : float, optional
        Of the map [m]; time constant of the hose [s].
    begin : bool
        Whether the run starts with its first reading, and ends by itself.
    author : str
        Who follows it.
    store : str, optional
        Path or URL of the store; else that of this user.
    out : Path, optional
        Folder of the daily report; ``papers`` in the job folder where not given.

    Returns
    -------
    tuple
        What was read, and the run; None where the folder has faults.

    Raises
    ------
    InputError
        If there is no such run, or it is complete.
    StoreError
        If the store cannot be used.
    """
    from mainwright.bootstrap.keeping import open_store
    from mainwright.folder.issued_file import read_issued_file
    from mainwright.job.document import document_from_job
    from mainwright.plan.issued import read_issued
    from mainwright.plan.plan import make_plan
    from mainwright.workflow.running import choose_run

    read = read_job(folder)
    if read.job is None:
        return read, None
    issued = folder / "plan.json"
    planned = make_plan(read.job)
    followed = read_issued(read_issued_file(issued)) if issued.exists() else None
    runs = planned.runs if followed is None else followed.runs
    run, plan = choose_run(read.job, name, runs=runs, stretches=planned.stretches, coat=coat)
    job, opened = read.job, open_store(store)

    def keep(key: RunKey) -> tuple[str, ...]:
        try:
            written = write_back(folder, opened, key)
            if not written:
                return ()
            place = folder / "papers" if out is None else out
            report = write_report(folder, place, job, run=run, stretches=planned.stretches, store=opened, key=key)
            return (*(str(folder / "records" / name) for name in written), *report)
        finally:
            opened.close()

    try:
        if job.info.reference:
            # What is followed later can always be held against the job as it was.
            with opened.transaction() as shelf:
                shelf.put(document_from_job(job), author=author)
        way = Way(feed=feed, turned=turned, speed=speed, bin_length=bin_length, lag=lag, begin=begin)
        revision = None if followed is None else followed.revision
        following = following_of(job, run, plan, way, store=opened, author=author, revision=revision, keep=keep)
        following.note("run begun", "gone on with" if following.resumed else "begun", who=author)
    except BaseException:
        opened.close()
        raise
    return read, following


@dataclass(frozen=True, slots=True)
class Way:
    """How a run is followed.

    Attributes
    ----------
    feed
        As `mainwright.bootstrap.feeds.open_feed` takes it, or ``rig``; None for marks by hand.
    turned
        Whether what is left of a broken off run is lined from the other end.
    speed
        Of the simulated rig: how many times as fast.
    bin_length, lag
        Of the map [m], None for the usual one; time constant of the hose [s].
    begin
        Whether the run starts with its first reading, and ends by itself.
    named
        The feed by the name that a page knows, for going on after the program was started again; None where no page began it, empty for marks by hand.
    """

    feed: str | None = None
    turned: bool = False
    speed: float = 1.0
    bin_length: float | None = None
    lag: float = 0.0
    begin: bool = False
    named: str | None = None


def following_of(
    job: Job,
    run: Run,
    plan: RunPlan,
    way: Way,
    *,
    store: Store,
    author: str,
    revision: str | None,
    keep: Callable[[RunKey], tuple[str, ...]],
) -> Following:
    """Return a run of a plan that is ready to be followed: the part that is open, or the next one.

    Parameters
    ----------
    job : Job
        The job.
    run : Run
        As it was planned.
    plan : RunPlan
        What following it needs.
    way : Way
        How it is followed.
    store : Store
        With the logs of runs.
    author : str
        Who follows it.
    revision : str, optional
        Of the plan that was issued; else that of the job stands in the log.
    keep : callable
        Makes records of what was followed, given any part of the run, and returns what was written.

    Returns
    -------
    Following
        Not started yet.

    Raises
    ------
    InputError
        If the run is complete, or the feed is none.
    StoreError
        If the store cannot be used.
    """
    from mainwright.line.deposit_map import BIN
    from mainwright.workflow.live_run import LiveRun
    from mainwright.workflow.running import job_name, where_to_begin

    beginning = where_to_begin(store.log, job_name(job), plan, turned=way.turned)
    wired = _Wiring(beginning.plan, feed=way.feed, speed=way.speed)
    about = {
        "revision": revision or job.revision,
        "pump": run.pump,
        "hose": run.hose,
        "lining_head": run.lining_head,
        "name": job.info.name,
    }
    live = LiveRun(
        store.log,
        beginning.key,
        clock=wired.clock,
        plan=beginning.plan,
        inbox=wired.inbox,
        bin_length=BIN if way.bin_length is None else way.bin_length,
        lag=way.lag,
        author=author,
        clocks_agree=wired.clocks_agree,
        begins=author if way.begin else None,
        about=about if way.named is None else {**about, PAGE: way.named},
    )
    source, script = wired.open(live)
    return Following(live, source, store=store, resumed=beginning.resumed, begin=way.begin, script=script, keep=keep)


def again(store: Store, key: RunKey, feed: str | None, *, keep: Callable[[RunKey], tuple[str, ...]]) -> Following:
    """Return a run that has a log already, ready to be followed on by what stands there.

    Parameters
    ----------
    store : Store
        With the logs of runs.
    key : RunKey
        The part of the run.
    feed : str, optional
        As `Way` has it.
    keep : callable
        As `following_of` takes it.

    Returns
    -------
    Following
        Not started yet.

    Raises
    ------
    InputError
        If the feed is none.
    NotFound
        If it has no log.
    StoreError
        If the store cannot be used.
    """
    from mainwright.line.plan_codec import read_header
    from mainwright.workflow.live_run import LiveRun

    wired = _Wiring(read_header(store.log.header(key))[0], feed=feed, speed=1.0)
    live = LiveRun(store.log, key, clock=wired.clock, inbox=wired.inbox, clocks_agree=wired.clocks_agree)
    source, script = wired.open(live)
    return Following(live, source, store=store, resumed=True, begin=False, script=script, keep=keep)


def write_report(
    folder: Path, out: Path, job: Job, *, run: Run, stretches: Sequence[LinedStretch], store: Store, key: RunKey
) -> tuple[str, ...]:
    """Write the daily report of a run as ``report_<run>.pdf``, and return its path.

    Parameters
    ----------
    folder : Path
        The job folder, its records written.
    out : Path
        Folder of the report, made where it is missing.
    job : Job
        The job.
    run : Run
        As it was planned.
    stretches : sequence of LinedStretch
        What the contract asks along the main.
    store : Store
        With the logs of runs.
    key : RunKey
        Any part of the run.

    Returns
    -------
    tuple of str
        The path.
    """
    from mainwright.folder.records import read_records
    from mainwright.folder.staging import staged

    found = read_records(folder)
    content = report_of(job, run=run, stretches=stretches, records=None if found.faults else found.records, log=store.log, key=key)
    with staged(out) as place:
        (place / f"report_{key.run}.pdf").write_bytes(content)
    return (str(out / f"report_{key.run}.pdf"),)


def report_of(job: Job, *, run: Run, stretches: Sequence[LinedStretch], records: Records | None, log: CarriedLog, key: RunKey) -> bytes:
    """Return the daily report of a run as a PDF.

    Parameters
    ----------
    job : Job
        The job.
    run : Run
        As it was planned.
    stretches : sequence of LinedStretch
        What the contract asks along the main.
    records : Records, optional
        Those of the job; None where they have faults.
    log : CarriedLog
        Keeps the runs.
    key : RunKey
        Any part of the run.

    Returns
    -------
    bytes
        The document.
    """
    from mainwright.paper.daily_report import ReportedRun, render_report
    from mainwright.prove.proof import prove
    from mainwright.workflow.running import parts_of

    parts = [part for part in parts_of(log, key) if part.state.events]
    proof = None if records is None else prove(job, runs=[run], stretches=stretches, records=records, issued=None).runs[0]
    return render_report(ReportedRun(job, parts, proof, stretches, tuple(str(log.anchor(part.key)) for part in parts)))


class _Wiring:
    """The feed of a run, and the clock that goes with it: that of the van, of the simulation, or of the readings that are played again."""

    def __init__(self, plan: RunPlan, *, feed: str | None, speed: float) -> None:
        import time
        from datetime import UTC, datetime

        from mainwright.bootstrap.feeds import new_inbox

        self._plan = plan
        self._feed = feed
        self._speed = speed
        self._bounded = new_inbox()
        self.inbox = _Tap(self._bounded)
        self._monotonic = time.monotonic
        self._zero = (datetime.now(UTC), time.monotonic())
        self._replayed = feed is not None and feed.startswith("replay:")
        self.clocks_agree = not self._replayed

    @property
    def clock(self) -> Clock:
        """Return the time of day, as the readings mean it."""
        return self._played if self._replayed else self._simulated

    def _simulated(self) -> datetime:
        from datetime import timedelta

        begun, at = self._zero
        return begun + timedelta(seconds=(self._monotonic() - at) * (self._speed if self._feed == RIG else 1.0))

    def _played(self) -> datetime:
        latest = self.inbox.latest
        return self._zero[0] if latest is None else latest

    def open(self, live: LiveRun) -> tuple[Feed | None, Sequence[tuple[float, Command]]]:
        """Return the feed, and what is written down by itself."""
        from datetime import UTC, datetime

        from mainwright.bootstrap.feeds import open_feed

        state = live.state
        if self._feed is None:
            return None, ()
        if self._feed != RIG:
            return open_feed(self._feed, inbox=self._bounded, notice=live.notice, clock=self.clock), ()
        from mainwright.demo.rig import RigFeed, crew_script, rig_readings

        # A simulation that goes on takes its time from where it was.
        if state.now is not None:
            self._zero = (datetime.fromtimestamp(state.now, UTC), self._monotonic())
        begin = self._zero[0] if state.started is None else datetime.fromtimestamp(state.started, UTC)
        readings = rig_readings(self._plan, begin=begin, seed=20260413)
        # As it was when it went on, not as it will be while the readings come.
        since = -math.inf if state.now is None else state.now - 60.0
        fresh = (one for one in readings if one.time.timestamp() > since)
        return RigFeed(fresh, inbox=self._bounded, clock=self.clock, wait=self._wait), crew_script(self._plan)

    def _wait(self, stop: _Event, seconds: float) -> object:
        return stop.wait(seconds / self._speed)


class _Event(Protocol):
    def wait(self, timeout: float) -> bool: ...


class _Tap:
    """An inbox that remembers the time of the latest reading that was taken from it."""

    def __init__(self, inbox: BoundedInbox) -> None:
        self._inbox = inbox
        self.latest: datetime | None = None

    def take(self, most: int, *, timeout: float) -> list[Arrival]:
        """Return what waits."""
        found = self._inbox.take(most, timeout=timeout)
        times = [one.reading.time for one in found]
        if times:
            self.latest = max(times) if self.latest is None else max(self.latest, *times)
        return found

    def __len__(self) -> int:
        return len(self._inbox)
