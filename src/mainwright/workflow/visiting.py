"""The jobs at hand, as pages ask for them: each is read again when it changed, and planned once a revision."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field
from datetime import UTC
from typing import TYPE_CHECKING, Protocol

from mainwright.errors import MainwrightError

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from concurrent.futures import Future
    from datetime import datetime, tzinfo

    from mainwright.job.job import Job
    from mainwright.line.run_plan import RunPlan
    from mainwright.plan.result import Plan
    from mainwright.workflow.live_commands import Command
    from mainwright.workflow.live_ports import Screen
    from mainwright.workflow.ports import JobRead, Progress

__all__ = ["Background", "FollowedRun", "JobAtHand", "JobsAtHand", "Making", "Shelf", "UseCases"]


class Shelf(Protocol):
    """Where jobs lie."""

    def names(self) -> Sequence[str]:
        """Return their names, in the order in which they are listed; each stands in an address."""
        ...

    def stamp(self, name: str) -> object:
        """Return something that differs once the job was changed."""
        ...

    def read(self, name: str) -> JobRead:
        """Return what it says."""
        ...

    def place(self, name: str) -> str:
        """Return where it lies, for people."""
        ...


class Background(Protocol):
    """Does work later, one after the other."""

    def __call__(self, work: Callable[[], None], /) -> None:
        """Take it."""
        ...


class FollowedRun(Protocol):
    """A run that is followed in this process; its methods may be called from any thread."""

    @property
    def plan(self) -> RunPlan:
        """What it was meant to be."""
        ...

    def screen(self) -> Screen:
        """Return all that a page shows of it now."""
        ...

    def do(self, command: Command, *, who: str, press: str = "") -> Future[int]:
        """Do what a person wants, the same press once; the future is done when it is on disk."""
        ...


@dataclass(frozen=True, slots=True)
class JobAtHand:
    """One job, its name in addresses, and where it lies."""

    name: str
    place: str
    read: JobRead


@dataclass(frozen=True, slots=True)
class Making:
    """A plan that is being made: how far it is, from 0 to 1, and what went wrong, if anything."""

    share: float
    failed: str | None = None


class JobsAtHand:
    """Keeps what was read and planned, for as long as it is true.

    Parameters
    ----------
    shelf : Shelf
        Where the jobs lie. [-]
    planner : callable
        Makes a plan. [-]
    background : Background
        Where plans are made. [-]
    """

    def __init__(self, shelf: Shelf, *, planner: Callable[[Job, Progress | None], Plan], background: Background) -> None:
        self._shelf = shelf
        self._planner = planner
        self._background = background
        self._lock = threading.Lock()
        self._read: dict[str, tuple[object, JobAtHand]] = {}
        self._plans: dict[str, Plan | Making] = {}

    def names(self) -> Sequence[str]:
        """Return the names of the jobs, in the order of the list."""
        return self._shelf.names()

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
        if name not in self._shelf.names():
            return None
        stamp = self._shelf.stamp(name)
        with self._lock:
            kept = self._read.get(name)
        if kept is not None and kept[0] == stamp:
            return kept[1]
        found = JobAtHand(name, self._shelf.place(name), self._shelf.read(name))
        with self._lock:
            self._read[name] = (stamp, found)
            self._forget()
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
        with self._lock:
            kept = self._plans.get(job.revision)
            if kept is not None:
                return kept
            begun = self._plans[job.revision] = Making(0.0)
        self._background(lambda: self._make(job))
        with self._lock:
            return self._plans.get(job.revision, begun)

    def _make(self, job: Job) -> None:
        def told(done: int, of: int) -> None:
            with self._lock:
                self._plans[job.revision] = Making(0.0 if of <= 0 else min(done / of, 1.0))

        try:
            made: Plan | Making = self._planner(job, told)
        except MainwrightError as error:
            made = Making(0.0, str(error))
        except BaseException:
            made = Making(0.0, "The plan could not be made.")
            raise
        finally:
            with self._lock:
                self._plans[job.revision] = made

    def _forget(self) -> None:
        """Drop plans of revisions that nobody can ask for any more."""
        current = {one.read.job.revision for _, one in self._read.values() if one.read.job is not None}
        for revision in [one for one in self._plans if one not in current]:
            del self._plans[revision]


@dataclass(frozen=True, slots=True)
class UseCases:
    """Everything that a person can ask for on the pages.

    Attributes
    ----------
    jobs
        The jobs at hand.
    clock
        Gives the time of day, aware.
    token
        What a form must bring back: nobody who cannot read our pages knows it.
    zone
        Where the clock on the wall hangs.
    live
        The runs that are followed now, by their id.
    """

    jobs: JobsAtHand
    clock: Callable[[], datetime]
    token: str = field(repr=False)
    zone: tzinfo = UTC
    live: Mapping[str, FollowedRun] = field(default_factory=dict)
