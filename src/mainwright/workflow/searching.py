"""Looking longer for a better programme: in the background, seen by everybody, ended with the best so far or without it."""

from __future__ import annotations

import threading
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final, Literal, Protocol

from mainwright.errors import MainwrightError
from mainwright.plan.result import Plan
from mainwright.workflow.keeping import records_of_folder

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Mapping
    from datetime import datetime

    from mainwright.job.job import Job
    from mainwright.plan.programme.sighting import Sighting
    from mainwright.plan.timetable import Programme
    from mainwright.workflow.issuing import IssuedPlan
    from mainwright.workflow.jobs_at_hand import JobAtHand, JobsAtHand
    from mainwright.workflow.keeping import FolderRecords
    from mainwright.workflow.making import Background
    from mainwright.workflow.ports import Progress

__all__ = ["GOING_ON", "LONGEST", "Phase", "Search", "Searcher", "Searches", "Wish"]

Phase = Literal["waiting", "planning", "looking", "finishing", "better", "same", "cancelled", "changed", "failed"]

GOING_ON: Final[frozenset[Phase]] = frozenset({"waiting", "planning", "looking", "finishing"})
"""What is not over: it waits for another search; the plan is made up to its programme; a programme is looked for; the rest of the plan is made."""

LONGEST: Final = 3600.0
"""A search ends after so long at the latest. [s]"""

_EVERY: Final = 1.0
"""So often a search asks whether its job is still the same. [s]"""


@dataclass(frozen=True, slots=True)
class Wish:
    """What a search is to do.

    Attributes
    ----------
    seconds
        How long to look. [s]
    begins
        When the activities of the programme at hand begin, by their id.
    seen
        Told the best so far.
    enough
        True ends the search with the best so far.
    """

    seconds: float
    begins: Mapping[str, datetime]
    seen: Callable[[Sighting], None]
    enough: Callable[[], bool]


class Searcher(Protocol):
    """Makes a plan and looks for its programme."""

    def __call__(self, job: Job, issued: IssuedPlan | None, held: FolderRecords | None, wish: Wish, told: Progress, /) -> Plan:
        """Make it: from the issued plan and the records held where there are any; what comes back out of ``told`` must pass."""
        ...


@dataclass(frozen=True, slots=True)
class Search:
    """A search as it stands.

    Attributes
    ----------
    number
        Of this search among all of this program.
    phase
        Where it stands, or how it ended: ``better`` and ``same`` stand as the current plan; the others left it as it was.
    seconds, spent
        How long it may look, and how long it has. [s]
    first, best
        What it set out from, and the best so far; None before it looks.
    stopping
        Whether somebody asked it to end.
    current
        Whether what it ended with is still the current plan.
    failed
        What went wrong.
    """

    number: int
    phase: Phase
    seconds: float
    spent: float = 0.0
    first: Sighting | None = None
    best: Sighting | None = None
    stopping: bool = False
    current: bool = False
    failed: str = ""

    @property
    def going_on(self) -> bool:
        """Whether it is not over."""
        return self.phase in GOING_ON


class _Ended(BaseException):
    """Nobody wants it any more, or its job changed; no part of what makes a plan takes this for a fault of its own."""


def _rank(programme: Programme) -> tuple[float, int, float]:
    """Return what is better where it is less: what overruns cost, their days, and the length."""
    costs = sum(one.charge for one in programme.permits if one.charge is not None)
    return (costs, sum(one.overrun for one in programme.permits), programme.shifts)


class _Work:
    """One search while it is worked on."""

    def __init__(self, at_hand: JobAtHand, standing: Hashable, search: Search, before: Programme) -> None:
        self.before = before
        self.at_hand = at_hand
        self.standing = standing
        self.search = search
        self.wish: Literal["", "enough", "cancel"] = ""
        self.begun: float | None = None
        self.looking: float | None = None
        self.asked = 0.0
        self.changed = False
        self.plan: Plan | None = None


class Searches:
    """The searches of the jobs at hand: one at a time, each job's last one known to everybody.

    Parameters
    ----------
    jobs : JobsAtHand
        Whose programmes are looked for. [-]
    searcher : callable
        Makes a plan, and looks for its programme as it is told. [-]
    background : Background
        Where that is done: not where plans are made, so that nobody waits for a search to see a page. [-]
    monotonic : callable
        Gives a time that only goes on. [s]
    """

    def __init__(self, jobs: JobsAtHand, *, searcher: Searcher, background: Background, monotonic: Callable[[], float]) -> None:
        self._jobs = jobs
        self._searcher = searcher
        self._background = background
        self._monotonic = monotonic
        self._lock = threading.Lock()
        self._works: dict[str, _Work] = {}
        self._count = 0

    def begin(self, at_hand: JobAtHand, *, seconds: float) -> bool:
        """Look for a better programme of a job, from its current one.

        Parameters
        ----------
        at_hand : JobAtHand
            The job. [-]
        seconds : float
            How long to look. [s]

        Returns
        -------
        bool
            Whether a search was begun: it is not where one goes on, nor where there is no programme to set out from.
        """
        plan = self._jobs.current(at_hand)
        if not isinstance(plan, Plan) or plan.programme is None or not 0.0 < seconds <= LONGEST:
            return False
        begins = {one.id: one.begin for one in plan.programme.activities}
        standing = self._jobs.standing(at_hand)
        with self._lock:
            there = self._works.get(at_hand.name)
            if there is not None and there.search.going_on:
                return False
            self._count += 1
            work = self._works[at_hand.name] = _Work(at_hand, standing, Search(self._count, "waiting", seconds), plan.programme)
        self._background(lambda: self._run(work, begins))
        return True

    def search(self, at_hand: JobAtHand) -> Search | None:
        """Return the last search of a job as it stands; None where there was none."""
        with self._lock:
            work = self._works.get(at_hand.name)
        if work is None:
            return None
        search = work.search
        if search.going_on:
            spent = 0.0 if work.begun is None else self._monotonic() - work.begun
            return replace(search, spent=spent, stopping=bool(work.wish))
        return replace(search, current=work.plan is not None and self._jobs.current(at_hand) is work.plan)

    def enough(self, at_hand: JobAtHand, number: int) -> None:
        """End a search with the best so far; one that is over stays as it is.

        Parameters
        ----------
        at_hand : JobAtHand
            The job. [-]
        number : int
            Of the search that is meant. [-]
        """
        self._wish(at_hand, number, "enough")

    def cancel(self, at_hand: JobAtHand, number: int) -> None:
        """End a search without anything of it.

        Parameters
        ----------
        at_hand : JobAtHand
            The job. [-]
        number : int
            Of the search that is meant. [-]
        """
        self._wish(at_hand, number, "cancel")

    def _wish(self, at_hand: JobAtHand, number: int, wish: Literal["enough", "cancel"]) -> None:
        with self._lock:
            work = self._works.get(at_hand.name)
            if work is None or work.search.number != number or not work.search.going_on or work.wish == "cancel":
                return
            work.wish = wish
            if work.search.phase == "waiting":
                # Nothing was found yet that could be kept.
                work.search = replace(work.search, phase="cancelled")

    def _changed(self, work: _Work) -> bool:
        """Return whether the job is another one by now; it is asked now and then."""
        now = self._monotonic()
        if not work.changed and now - work.asked >= _EVERY:
            work.asked = now
            with suppress(MainwrightError):
                # A store that does not answer now is asked again; before anything is taken it has to.
                work.changed = self._is_changed(work)
        return work.changed

    def _is_changed(self, work: _Work) -> bool:
        there = self._jobs.job(work.at_hand.name)
        return there is None or self._jobs.standing(there) != work.standing

    def _run(self, work: _Work, begins: Mapping[str, datetime]) -> None:
        with self._lock:
            if not work.search.going_on:
                return
            work.begun = self._monotonic()
            work.search = replace(work.search, phase="planning")
        ended: Phase = "failed"
        failed = "It could not be looked for; the log of this program says more."
        try:
            plan = self._made(work, begins)
            ended, failed = self._taken(work, plan), ""
        except _Ended:
            ended, failed = "changed" if work.changed else "cancelled", ""
        except MainwrightError as error:
            failed = str(error)
        finally:
            spent = self._monotonic() - (work.begun or 0.0)
            with self._lock:
                work.search = replace(work.search, phase=ended, spent=spent, failed=failed)

    def _made(self, work: _Work, begins: Mapping[str, datetime]) -> Plan:
        def told(_done: int, _of: int) -> None:
            if work.wish == "cancel" or self._changed(work):
                raise _Ended
            with self._lock:
                if work.search.phase == "looking":
                    work.search = replace(work.search, phase="finishing")

        def seen(one: Sighting) -> None:
            with self._lock:
                work.search = replace(work.search, phase="looking", first=work.search.first or one, best=one)

        def enough() -> bool:
            if work.looking is None:
                work.looking = self._monotonic()
            return bool(work.wish) or self._monotonic() - work.looking >= work.search.seconds or self._changed(work)

        told(0, 1)
        job = work.at_hand.read.job
        if job is None:  # a job with faults has no programme to set out from
            raise _Ended
        issued = self._jobs.issued(work.at_hand.name) if isinstance(work.standing, tuple) else None
        held = None if issued is None else records_of_folder(self._jobs.shelf.records(work.at_hand.name))
        plan = self._searcher(job, issued, held, Wish(work.search.seconds, begins, seen, enough), told)
        # What was asked at the very end counts too.
        told(1, 1)
        return plan

    def _taken(self, work: _Work, plan: Plan) -> Phase:
        """Let the plan stand as the current one, where its job is still the same."""
        work.changed = self._is_changed(work) or not self._jobs.take(work.standing, plan)
        if work.changed:
            raise _Ended
        work.plan = plan
        first, best = work.search.first, work.search.best
        if first is None or best is None:
            return "same"
        if plan.programme is not None and _rank(plan.programme) < _rank(work.before):
            # It may have set out from a better order of streets than the one at hand: what it is better than is the one at hand.
            work.search = replace(work.search, first=replace(first, shifts=work.before.shifts))
            return "better"
        return "better" if best.weight < first.weight else "same"
