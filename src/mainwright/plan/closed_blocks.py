"""Which lengths of the main are out of use at once: between valves that hold, as the runs need it.

The one definition of a block: programme, temporary supply, giving back and notices all take it from here.
"""

from collections.abc import Sequence

from mainwright.job.job import Job
from mainwright.job.survey import Feature
from mainwright.plan.result import Run
from mainwright.plan.result_giving_back import Block

__all__ = ["closed_blocks"]

_VALVES = ("gate_valve", "butterfly_valve")


def _isolating(job: Job, *, chainage: float, up: bool) -> Feature | None:
    """Return the nearest valve that holds beyond one end of a run; one in the opening itself is cut out or stays outside."""
    found = [
        one
        for one in job.features
        if one.kind in _VALVES and one.state == "holds" and (one.chainage >= chainage if up else one.chainage <= chainage)
    ]
    return None if not found else min(found, key=lambda one: (abs(one.chainage - chainage), one.chainage))


def closed_blocks(job: Job, runs: Sequence[Run]) -> tuple[Block, ...]:
    """Return the blocks that are given back, each whole: a relined length is not used before its whole block is released.

    Parameters
    ----------
    job : Job
        The job. [-]
    runs : sequence of Run
        In order of chainage. [-]

    Returns
    -------
    tuple of Block
        In order of chainage. A valve that lets by, is seized or was never tried closes none; without one the block goes to the end of
        the main. Blocks that overlap are one. A block is named by its first chainage, which stays when other blocks come and go.
    """
    if not job.main:
        return ()
    first, last = job.main[0].start, job.main[-1].end
    found: list[tuple[float, float, Feature | None, Feature | None, list[str]]] = []
    for run in runs:
        below = _isolating(job, chainage=run.start, up=False)
        above = _isolating(job, chainage=run.end, up=True)
        start = first if below is None else below.chainage
        end = last if above is None else above.chainage
        if found and start < found[-1][1]:
            before = found.pop()
            wider = before[1] >= end
            found.append((before[0], max(before[1], end), before[2], before[3] if wider else above, [*before[4], run.id]))
        else:
            found.append((start, end, below, above, [run.id]))
    return tuple(Block(f"B{start:g}", start, end, _name(below), _name(above), tuple(names)) for start, end, below, above, names in found)


def _name(valve: Feature | None) -> str | None:
    return None if valve is None else valve.ref or f"{valve.chainage:g}"
