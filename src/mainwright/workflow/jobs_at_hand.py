"""The jobs at hand: where they lie, each read again when it changed, and planned once a revision."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Protocol

from mainwright.workflow.issuing import issued_plan
from mainwright.workflow.keeping import records_of_folder
from mainwright.workflow.making import Makings

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Mapping, Sequence

    from mainwright.job.document import Document
    from mainwright.job.job import Job
    from mainwright.plan.result import Plan
    from mainwright.workflow.issuing import IssuedPlan
    from mainwright.workflow.keeping import FolderRecords
    from mainwright.workflow.making import Background, Making
    from mainwright.workflow.ports import JobRead, Progress
    from mainwright.workflow.store_ports import KeptRecord, KeptRevision, NewRecord

__all__ = ["JobAtHand", "JobShelf", "JobsAtHand", "Listed"]

_READ_AT_ONCE: Final = 2
"""Jobs that a list reads before it is shown."""


class JobShelf(Protocol):
    """Where jobs lie, each under a name that stands in an address."""

    def stamps(self) -> Mapping[str, object]:
        """Return for each job, in the order of the list, something that differs once it was changed."""
        ...

    def latest(self) -> Mapping[str, KeptRevision]:
        """Return the latest revision of each job, in the order of the list."""
        ...

    def read(self, name: str) -> JobRead:
        """Return what it says."""
        ...

    def history(self, name: str) -> Sequence[KeptRevision]:
        """Return its revisions, the first one first."""
        ...

    def document(self, name: str, revision: str | None = None) -> Document:
        """Return its document, that of the latest revision where none is named."""
        ...

    def save(self, document: Document, *, author: str, base: str | None = None) -> str:
        """Keep a document as a revision of the job that it names, and return the name of that job in addresses.

        Raises ``Conflict`` where that job is there and its latest revision is another one than ``base``, which was changed; None asks nothing.
        """
        ...

    def record_count(self, name: str) -> int:
        """Return how many records of a job were ever kept: they are only added to, so that the number says which there are."""
        ...

    def record_counts(self) -> Mapping[str, int]:
        """Return how many records were ever kept of each job that has any."""
        ...

    def records(self, name: str) -> Sequence[KeptRecord]:
        """Return all records of a job in the order in which they came."""
        ...

    def add_records(self, name: str, new: Sequence[NewRecord], *, author: str) -> None:
        """Keep further records of a job."""
        ...

    def library(self, name: str) -> Sequence[KeptRecord]:
        """Return everything that was ever kept in a library, in the order in which it came."""
        ...

    def add_to_library(self, name: str, new: Sequence[NewRecord], *, author: str) -> None:
        """Keep something in a library, beyond any one job."""
        ...


@dataclass(frozen=True, slots=True)
class JobAtHand:
    """One job: its name in addresses, its latest revision and what that says."""

    name: str
    revision: KeptRevision
    read: JobRead


@dataclass(frozen=True, slots=True)
class Listed:
    """One job of the list: its name in addresses, its latest revision, and what that says; None while it is read."""

    name: str
    revision: KeptRevision
    at_hand: JobAtHand | None


class JobsAtHand:
    """Keeps what was read and planned, for as long as it is true.

    Parameters
    ----------
    shelf : JobShelf
        Where the jobs lie. [-]
    planner : callable
        Makes a plan. [-]
    background : Background
        Where plans are made. [-]
    replanner : callable, optional
        Makes the plan that goes on from an issued one with the records. [-]
    """

    def __init__(
        self,
        shelf: JobShelf,
        *,
        planner: Callable[[Job, Progress | None], Plan],
        background: Background,
        replanner: Callable[[Job, IssuedPlan, FolderRecords, Progress | None], Plan] | None = None,
    ) -> None:
        self.shelf = shelf
        self._planner = planner
        self._replanner = replanner
        self._background = background
        self._reading = False
        self._lock = threading.Lock()
        self._read: dict[str, tuple[object, JobAtHand]] = {}
        self._plans: Makings[Plan] = Makings(background)
        self._issued: dict[str, tuple[int, IssuedPlan | None]] = {}
        self._going_on: dict[str, tuple[object, ...]] = {}
        self._replans: Makings[Plan] = Makings(background)

    def names(self) -> Sequence[str]:
        """Return the names of the jobs, in the order of the list."""
        return tuple(self.shelf.stamps())

    def job(self, name: str) -> JobAtHand | None:
        """Return a job as it is now; None where there is none of that name.

        Parameters
        ----------
        name : str
            As in the list. [-]

        Returns
        -------
        JobAtHand or None
            Read again only where it changed.
        """
        stamps = self.shelf.stamps()
        return self._at_hand(name, stamps[name]) if name in stamps else None

    def listed(self) -> Sequence[Listed]:
        """Return every job with its latest revision, and what that says where it was read already.

        A few are read now and the others in the background, so that a long list is there at once. Nothing is planned for it.
        """
        found: list[Listed] = []
        at_once, stamps = _READ_AT_ONCE, self.shelf.stamps()
        for name, revision in self.shelf.latest().items():
            stamp = stamps.get(name)
            with self._lock:
                kept = self._read.get(name)
            at_hand = kept[1] if kept is not None and kept[0] == stamp else None
            if at_hand is None and at_once:
                at_once -= 1
                at_hand = self._at_hand(name, stamp)
            found.append(Listed(name, revision, at_hand))
        late = [one for one in found if one.at_hand is None]
        with self._lock:
            begin, self._reading = bool(late) and not self._reading, self._reading or bool(late)
        if begin:
            self._background(lambda: self._read_ahead(late))
        return found

    def _read_ahead(self, late: Sequence[Listed]) -> None:
        try:
            for one in late:
                self.job(one.name)
        finally:
            with self._lock:
                self._reading = False

    def plan_at_hand(self, job: Job) -> Plan | None:
        """Return the plan of a job where it was made already; it is not made for that."""
        return self._plans.peek(job.revision)

    def _at_hand(self, name: str, stamp: object) -> JobAtHand:
        with self._lock:
            kept = self._read.get(name)
        if kept is not None and kept[0] == stamp:
            return kept[1]
        found = JobAtHand(name, self.shelf.history(name)[-1], self.shelf.read(name))
        with self._lock:
            self._read[name] = (stamp, found)
            current = {one.read.job.revision for _, one in self._read.values() if one.read.job is not None}
        self._plans.keep_only(current)
        return found

    def plan(self, job: Job) -> Plan | Making:
        """Return the plan of a job, or how far it is; the first who asks has it made.

        Parameters
        ----------
        job : Job
            What is planned. [-]

        Returns
        -------
        Plan or Making
            The same plan for as long as the job is the same.
        """
        return self._plans.get(job.revision, lambda told: self._planner(job, told))

    def stop(self, at_hand: JobAtHand) -> None:
        """Have no more of the plans of a job made.

        Parameters
        ----------
        at_hand : JobAtHand
            The job. [-]
        """
        for makings, key in self._makings_of(at_hand):
            makings.stop(key)

    def again(self, at_hand: JobAtHand) -> None:
        """Have the plans of a job made anew that were stopped or failed; one that is there stays.

        Parameters
        ----------
        at_hand : JobAtHand
            The job. [-]
        """
        for makings, key in self._makings_of(at_hand):
            makings.forget(key)

    def _makings_of(self, at_hand: JobAtHand) -> list[tuple[Makings[Plan], Hashable]]:
        job = at_hand.read.job
        with self._lock:
            key = self._going_on.get(at_hand.name)
        return [] if job is None else [(self._plans, job.revision), (self._replans, key)]

    def issued(self, name: str) -> IssuedPlan | None:
        """Return the plan of a job that was issued; None without one.

        Parameters
        ----------
        name : str
            As in the list. [-]

        Returns
        -------
        IssuedPlan or None
            Read again only where records came.
        """
        count = self.shelf.record_count(name)
        with self._lock:
            kept = self._issued.get(name)
        if kept is None or kept[0] != count:
            kept = (count, issued_plan(self.shelf.records(name)) if count else None)
            with self._lock:
                self._issued[name] = kept
        return kept[1]

    def current(self, at_hand: JobAtHand) -> Plan | Making | None:
        """Return the plan of a job as it goes on from the issued one with what really happened, or how far it is.

        Parameters
        ----------
        at_hand : JobAtHand
            The job. [-]

        Returns
        -------
        Plan or Making or None
            Without an issued plan that of the job alone; None where the job has faults.
        """
        job, name, replanner = at_hand.read.job, at_hand.name, self._replanner
        if job is None:
            return None
        issued, key = self.issued(name), self.standing(at_hand)
        if issued is None or replanner is None or not isinstance(key, tuple):
            return self.plan(job)
        with self._lock:
            self._going_on[name] = key
            wanted = set(self._going_on.values())
        self._replans.keep_only(wanted)
        return self._replans.get(key, lambda told: replanner(job, issued, records_of_folder(self.shelf.records(name)), told))

    def standing(self, at_hand: JobAtHand) -> Hashable:
        """Return what the current plan of a job depends on: another one, another plan.

        Parameters
        ----------
        at_hand : JobAtHand
            The job, without faults. [-]

        Returns
        -------
        hashable
            Its revision; after a plan was issued also the count of its records, which are only ever added to.
        """
        job, name = at_hand.read.job, at_hand.name
        revision = None if job is None else job.revision
        if self._replanner is None or self.issued(name) is None:
            return revision
        return (name, revision, self.shelf.record_count(name))

    def take(self, standing: Hashable, plan: Plan) -> bool:
        """Let a plan with a better programme stand in the place of the current one.

        Parameters
        ----------
        standing : hashable
            What it was made of, as `standing` gave it. [-]
        plan : Plan
            The better one. [-]

        Returns
        -------
        bool
            Whether it does; where the other is not kept any more, nothing is changed.
        """
        return (self._replans if isinstance(standing, tuple) else self._plans).replace(standing, plan)
