"""One run as it was lined, beside what was asked and written down there: what its faults are looked for in."""

from collections.abc import Sequence
from dataclasses import dataclass

from mainwright.job.job import Job
from mainwright.job.records import Event
from mainwright.plan.host import HostStretch
from mainwright.plan.result import LinedStretch, Run
from mainwright.prove.timeline import Timeline

__all__ = ["AsLined"]


@dataclass(frozen=True, slots=True)
class AsLined:
    """A run with what is held against it.

    Attributes
    ----------
    job
        The job.
    run
        The run, in the direction in which it was lined.
    stretches
        The main with what the contract asks.
    host
        The main as it lay, with the greatest single coat.
    events
        What was written down of the run.
    coats
        The run against the clock, a line a coat; empty without readings.
    """

    job: Job
    run: Run
    stretches: Sequence[LinedStretch]
    host: Sequence[HostStretch]
    events: Sequence[Event]
    coats: Sequence[Timeline]

    def asked(self, chainage: float) -> LinedStretch:
        """Return what the contract asks at a chainage [m]."""
        return next((one for one in self.stretches if chainage <= one.end), self.stretches[-1])
