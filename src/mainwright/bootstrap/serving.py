"""Wires the pages for a browser: the jobs of the store, and where plans are made meanwhile."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING, Final, TextIO

from mainwright.errors import Conflict, NotFound

if TYPE_CHECKING:
    from collections.abc import Callable, Container, Mapping, Sequence
    from pathlib import Path

    from mainwright.job.document import Document
    from mainwright.job.job import Job
    from mainwright.plan.programme.programme import Search
    from mainwright.plan.result import Plan
    from mainwright.workflow.issuing import IssuedPlan
    from mainwright.workflow.keeping import FolderRecords
    from mainwright.workflow.live_run import LiveRun
    from mainwright.workflow.pairing import Pairing
    from mainwright.workflow.ports import JobRead, Progress
    from mainwright.workflow.searching import Wish
    from mainwright.workflow.store_ports import KeptRecord, KeptRevision, NewRecord, Store
    from mainwright.workflow.visiting import UseCases

__all__ = ["page_use_cases"]


_MOST_DOCUMENTS: Final = 4
"""Documents that are held between two looks at their tables."""

_LISTS: Final = 1_000
"""Lists that a search from the pages tries for each second that it may last: long jobs place some thousand in a second."""


def page_use_cases(
    store: Store | None = None,
    *,
    live: Sequence[LiveRun] = (),
    feeds: Mapping[str, str] | None = None,
    van: str = "",
    devices: Path | None = None,
) -> UseCases:
    """Return what the pages may ask.

    Parameters
    ----------
    store : Store, optional
        Holds the jobs; it stays open for as long as the pages are served. None shows no job.
    live : sequence of LiveRun
        Runs that are followed beside the pages; then no other can be begun from them.
    feeds : mapping, optional
        What readings of a run that a page begins can come from: as `mainwright.bootstrap.feeds.open_feed` takes it, by its name.
    van : str
        Address of the pages for phones on the van's network; empty serves this machine alone.
    devices : Path, optional
        File of the devices that were let in; else that of the user.

    Returns
    -------
    UseCases
        Nothing is read before it is asked for.
    """
    from datetime import UTC, datetime
    from time import monotonic

    from mainwright.bootstrap.desk import PaperDesk
    from mainwright.bootstrap.hosting import HostedRuns
    from mainwright.bootstrap.sheets import PaperSheets
    from mainwright.folder.bringing import bring_files
    from mainwright.folder.library_files import EntryFiles
    from mainwright.plan.plan import make_plan
    from mainwright.workflow.jobs_at_hand import JobsAtHand
    from mainwright.workflow.layout_desk import LayoutDesk
    from mainwright.workflow.searching import Searches
    from mainwright.workflow.visiting import UseCases

    shelf = _StoreShelf(store)
    jobs = JobsAtHand(shelf, planner=lambda job, told: make_plan(job, progress=told), background=_Worker(), replanner=_going_on)
    zone = datetime.now(UTC).astimezone().tzinfo or UTC
    return UseCases(
        jobs=jobs,
        clock=lambda: datetime.now(UTC),
        token=_token(),
        sheets=PaperSheets(),
        zone=zone,
        live=HostedRuns(store, address=shelf.address, reference=shelf.reference, feeds=feeds, live=live),
        bring=bring_files,
        desk=LayoutDesk(),
        papers=PaperDesk(shelf, background=_Worker(), store=store),
        pairing=_pairing(devices) if van else None,
        deeds=None if store is None else store.deeds,
        entry_files=EntryFiles(),
        van=van,
        searches=Searches(jobs, searcher=_searched, background=_Worker(), monotonic=monotonic),
    )


def _searched(job: Job, issued: IssuedPlan | None, held: FolderRecords | None, wish: Wish, told: Progress) -> Plan:
    """Make the plan of a job, or the one that goes on from the issued one, and look for its programme for as long as it is wished."""
    from importlib.util import find_spec

    from mainwright.plan.plan import make_plan
    from mainwright.plan.programme.programme import Search
    from mainwright.plan.programme.solve import Effort

    # The clock ends it: lists enough for the first part of that time, and the exact solver for as long as is left.
    effort = Effort(lists=max(200, round(_LISTS * wish.seconds)), exact=wish.seconds if find_spec("ortools") is not None else 0.0)
    search = Search(effort, enough=wish.enough, seen=wish.seen, begins=wish.begins)
    if issued is None or held is None:
        return make_plan(job, search=search, progress=told)
    return _from_issued(job, issued, held, search, told)


def _going_on(job: Job, issued: IssuedPlan, held: FolderRecords, told: Progress | None) -> Plan:
    return _from_issued(job, issued, held, None, told)


def _from_issued(job: Job, issued: IssuedPlan, held: FolderRecords, search: Search | None, told: Progress | None) -> Plan:
    import json

    from mainwright.bootstrap.desk import records_held
    from mainwright.errors import InputError
    from mainwright.plan.plan import make_plan

    try:
        document = json.loads(issued.text)
    except ValueError:
        raise InputError("issued plan", "this text", "", "a plan.json that this program wrote") from None
    return make_plan(job, records=records_held(held), issued=document, search=search, progress=told)


def _pairing(devices: Path | None) -> Pairing:
    import secrets
    from datetime import UTC, datetime

    from mainwright.bootstrap.devices import DeviceFile, devices_place
    from mainwright.workflow.pairing import Pairing

    return Pairing(DeviceFile(devices or devices_place()), clock=lambda: datetime.now(UTC), random_bytes=secrets.token_bytes)


def _new_file(place: Path) -> TextIO:
    """Open a file that must not be there yet, for its user alone."""
    import os

    return os.fdopen(os.open(place, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="ascii")


def _token() -> str:
    """Return what forms bring back: kept on this machine for its user alone, so that a page that was open stays good when the server starts again."""
    import secrets

    from mainwright.bootstrap.place import log_file

    fresh = secrets.token_urlsafe(24)
    try:
        place = log_file().with_name("pages.token")
        with contextlib.suppress(FileExistsError), _new_file(place) as file:
            file.write(fresh)
        kept = place.read_text(encoding="ascii").strip()
    except (OSError, ValueError):
        return fresh
    return kept if len(kept) >= 24 else fresh


class _StoreShelf:
    """The jobs of a store by a name that can stand in an address."""

    def __init__(self, store: Store | None) -> None:
        from collections import OrderedDict

        self._store = store
        self._references: dict[str, str] = {}
        self._latest: tuple[dict[str, str], dict[str, KeptRevision]] = ({}, {})
        self._documents: OrderedDict[tuple[str, str], Document] = OrderedDict()

    def stamps(self) -> dict[str, object]:
        heads = self._look()
        return {name: heads[reference] for name, reference in self._references.items()}

    def latest(self) -> dict[str, KeptRevision]:
        self._look()
        return self._latest[1]

    def _look(self) -> dict[str, str]:
        """Return the last hash of every job; the list of jobs is read again where one of them differs."""
        if self._store is None:
            return {}
        with self._store.looking() as shelf:
            heads = dict(shelf.job_heads())
            if heads == self._latest[0]:
                return heads
            kept = {one.job: one for one in shelf.jobs()}
        references: dict[str, str] = {}
        for job in heads:
            references[_address(job, references)] = job
        self._references = references
        self._latest = (heads, {name: kept[job] for name, job in references.items()})
        return heads

    def address(self, reference: str) -> str:
        """Return the name of a job in addresses, one that could be where it is not kept."""
        self.stamps()
        return next((name for name, one in self._references.items() if one == reference), None) or _address(reference, self._references)

    def reference(self, name: str) -> str:
        """Return the reference of a job; raises ``NotFound``."""
        if name not in self._references:
            self._look()
        if name not in self._references:
            raise NotFound(f"There is no job {name} here.")
        return self._references[name]

    def read(self, name: str) -> JobRead:
        from mainwright.folder.reading import read_files
        from mainwright.folder.writing import folder_bytes

        return read_files(folder_bytes(self.document(name)))

    def history(self, name: str) -> Sequence[KeptRevision]:
        store, reference = self._open(), self.reference(name)
        with store.looking() as shelf:
            return shelf.history(reference)

    def document(self, name: str, revision: str | None = None) -> Document:
        store, reference = self._open(), self.reference(name)
        if revision is not None:
            with store.looking() as shelf:
                return shelf.document(reference, revision)
        with store.looking() as shelf:
            # A document never changes under its hash: one that was read and proved is not read again.
            key = (reference, shelf.job_heads()[reference])
            found = self._documents.get(key) or shelf.document(reference)
        self._documents[key] = found
        while len(self._documents) > _MOST_DOCUMENTS:
            with contextlib.suppress(KeyError):
                self._documents.popitem(last=False)
        return found

    def save(self, document: Document, *, author: str, base: str | None = None) -> str:
        from mainwright.workflow.keeping import reference_of

        with self._open().transaction() as shelf:
            reference = reference_of(document)
            if base is not None and reference in shelf.job_heads() and shelf.history(reference)[-1].revision != base:
                raise Conflict(f"A revision of {reference} was saved meanwhile.")
            kept = shelf.put(document, author=author)
        self.stamps()
        return next(name for name, reference in self._references.items() if reference == kept.job)

    def record_count(self, name: str) -> int:
        store, reference = self._open(), self.reference(name)
        with store.looking() as shelf:
            anchor = shelf.records_anchor(reference)
        return 0 if anchor is None else anchor.count

    def record_counts(self) -> dict[str, int]:
        if self._store is None:
            return {}
        with self._store.looking() as shelf:
            counts = shelf.record_counts()
        self._look()
        return {name: counts[reference] for name, reference in self._references.items() if reference in counts}

    def library(self, name: str) -> Sequence[KeptRecord]:
        if self._store is None:
            return ()
        with self._store.looking() as shelf:
            return shelf.library(name)

    def add_to_library(self, name: str, new: Sequence[NewRecord], *, author: str) -> None:
        with self._open().transaction() as shelf:
            shelf.add_to_library(name, new, author=author, method="page")

    def records(self, name: str) -> Sequence[KeptRecord]:
        store, reference = self._open(), self.reference(name)
        with store.looking() as shelf:
            return shelf.records(reference)

    def add_records(self, name: str, new: Sequence[NewRecord], *, author: str) -> None:
        store, reference = self._open(), self.reference(name)
        with store.transaction() as shelf:
            shelf.add_records(reference, new, author=author, method="page")

    def _open(self) -> Store:
        if self._store is None:
            raise NotFound("No store is open.")
        return self._store


class _Worker:
    """One thread that does one work after the other and does not keep the program from ending."""

    def __init__(self) -> None:
        import queue
        import threading

        self._queue: queue.SimpleQueue[Callable[[], None]] = queue.SimpleQueue()
        threading.Thread(target=self._run, name="plans", daemon=True).start()

    def __call__(self, work: Callable[[], None], /) -> None:
        self._queue.put(work)

    def _run(self) -> None:
        import logging

        while True:
            work = self._queue.get()
            try:
                work()
            except Exception:
                logging.getLogger("mainwright.pages").exception("Work in the background failed.")


def _address(reference: str, taken: Container[str]) -> str:
    """Return a name for a job that can stand in an address, and is not taken."""
    import re

    name = plain = re.sub(r"[^a-z0-9]+", "-", reference.lower()).strip("-") or "job"
    count = 1
    while name in taken:
        count += 1
        name = f"{plain}-{count}"
    return name
