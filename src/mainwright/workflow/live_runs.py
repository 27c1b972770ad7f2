"""The runs that are followed in this program: which there are, how a run of a job stands, and beginning to follow one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Sequence
    from concurrent.futures import Future

    from mainwright.line.run_plan import RunPlan
    from mainwright.plan.result import Plan
    from mainwright.workflow.live_commands import Command
    from mainwright.workflow.live_ports import Screen
    from mainwright.workflow.running import RunState

__all__ = ["FollowedRun", "FollowingBegun", "LiveRuns", "NoLiveRuns", "Standing"]


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
class Standing:
    """How a run stands that is not followed now.

    Attributes
    ----------
    state
        By the log of the coat that is next.
    coat
        The coat that is next, from 1.
    coats
        How many it gets.
    """

    state: RunState
    coat: int
    coats: int


@dataclass(frozen=True, slots=True)
class FollowingBegun:
    """How somebody wants a run to be followed.

    Attributes
    ----------
    who
        Who begins, and is in charge.
    feed
        Name of what its readings come from, one of `LiveRuns.feeds`; None for marks by hand.
    turned
        Whether what is left of a run that was broken off is lined from the other end.
    """

    who: str
    feed: str | None = None
    turned: bool = False


class LiveRuns(Protocol):
    """The runs of all jobs that are followed in this program."""

    def get(self, job: str, run: str) -> FollowedRun | None:
        """Return a run by the name of its job in addresses and its id; None where it is not followed."""
        ...

    def job_of(self, run: str) -> str | None:
        """Return the name of a job of which a run with this id is followed."""
        ...

    def followed(self, job: str) -> Sequence[str]:
        """Return the ids of the runs of a job that are followed."""
        ...

    def feeds(self) -> Sequence[str]:
        """Return the names of what readings can come from here, beside marks by hand."""
        ...

    def standing(self, job: str, plan: Plan, run: str) -> Standing | None:
        """Return how a run of a job stands; None where nothing can be followed from here."""
        ...

    def begin(self, job: str, plan: Plan, run: str, how: FollowingBegun) -> None:
        """Follow a run of a job, or go on with it; a run that is followed already stays as it is.

        Raises
        ------
        InputError
            If there is no such run or feed, or it is complete.
        StoreError
            If it cannot be kept.
        """
        ...

    def go_on(self) -> Sequence[str]:
        """Follow again what pages followed when the program ended, and return what cannot be, in words."""
        ...

    def close(self) -> None:
        """Stop following, and make records of all of it."""
        ...


class NoLiveRuns:
    """Nothing is followed, and nothing can be."""

    def get(self, job: str, run: str) -> FollowedRun | None:
        """Return None."""
        return None

    def job_of(self, run: str) -> str | None:
        """Return None."""
        return None

    def followed(self, job: str) -> Sequence[str]:
        """Return none."""
        return ()

    def feeds(self) -> Sequence[str]:
        """Return none."""
        return ()

    def standing(self, job: str, plan: Plan, run: str) -> Standing | None:
        """Return None."""
        return None

    def begin(self, job: str, plan: Plan, run: str, how: FollowingBegun) -> None:
        """Refuse."""
        from mainwright.errors import InputError

        del job, plan, how
        raise InputError("run", run, "", "a run that this program can follow: it has no store")

    def go_on(self) -> Sequence[str]:
        """Return none."""
        return ()

    def close(self) -> None:
        """Do nothing."""
