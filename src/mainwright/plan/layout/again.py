"""What one question about a layout leaves for the next: a place that is moved changes little, and only that is reckoned anew."""

from dataclasses import dataclass, field, replace

from mainwright.plan.layout.candidates import LENGTH_SLACK, KnownPlaces
from mainwright.plan.layout.limits import Line, usable_length
from mainwright.plan.layout.problem import LayoutProblem
from mainwright.plan.layout.reaches import Reaches, alike, find_reaches
from mainwright.plan.lining import RunLining

__all__ = ["Again", "reaches_again"]


@dataclass(slots=True)
class Again:
    """Kept between questions about one job; whoever asks keeps one for each job.

    Attributes
    ----------
    known
        The places of the job as they are before any is fixed or ruled out.
    problem
        The last one that was built.
    lined
        Runs that were lined, by start, end, number of their equipment and way.
    """

    known: KnownPlaces | None = None
    problem: LayoutProblem | None = None
    lined: dict[tuple[float, float, int, int], RunLining] = field(default_factory=dict)


def reaches_again(line: Line, before: LayoutProblem | None) -> Reaches:
    """Return how far runs may go, as `find_reaches` does, from what is known of nearly the same candidates.

    Parameters
    ----------
    line : Line
        Candidates, limits and how runs are lined; no run is done yet. [-]
    before : LayoutProblem or None
        An earlier problem of the same job. [-]

    Returns
    -------
    Reaches
        By candidate.

    Raises
    ------
    InputError
        As `find_reaches`.

    Notes
    -----
    Whether a run may be depends on the candidates from its start to the first beyond its end alone. So all starts whose furthest run
    ends well before the first change, and all behind the last, keep what they had; those between are reckoned on the piece of the
    line on which their runs lie.
    """
    usual = before is not None and not before.fixed and before.line.sets is line.sets and before.line.linings is line.linings
    if before is None or not usual or (line.relaxed, line.closing) != (before.line.relaxed, before.line.closing):
        return find_reaches(line)
    old, new = before.line.candidates, line.candidates
    head, tail = alike(old, new)
    shift, behind = len(new) - len(old), len(new) - tail
    furthest = list(map(max, *(row for way in before.reaches.lasts for row in way)))
    low = next((start for start in range(head) if furthest[start] + 1 >= head), head)
    stop = _stop(line, behind)
    piece = replace(line, candidates=new[low:stop])
    found = find_reaches(piece) if behind > low else Reaches(tuple([[] for _ in line.sets] for _ in range(2)), frozenset())  # type: ignore[arg-type]
    inner = behind - low
    if stop < len(new) and any(max(row[:inner], default=0) >= stop - low - 1 for way in found.lasts for row in way):
        return find_reaches(line)
    lasts = tuple(
        [
            row[:low] + [end + low for end in middle[:inner]] + [end + shift for end in row[behind - shift :]]
            for row, middle in zip(rows, middles, strict=True)
        ]
        for rows, middles in zip(before.reaches.lasts, found.lasts, strict=True)
    )
    blocked = {one for one in before.reaches.blocked if one[2] < low}
    blocked |= {(way, number, start + low, end + low) for way, number, start, end in found.blocked if start < inner}
    blocked |= {(way, number, start + shift, end + shift) for way, number, start, end in before.reaches.blocked if start >= behind - shift}
    return Reaches((lasts[0], lasts[1]), frozenset(blocked))


def _stop(line: Line, behind: int) -> int:
    """Return how many candidates a piece must have so that no run that begins before a candidate ends beyond it."""
    if behind >= len(line.candidates):
        return len(line.candidates)
    longest = max(
        min(
            line.job.runs.max_length or float("inf"),
            usable_length(equipment),
            float("inf") if equipment.rope is None else equipment.rope.length,
        )
        for equipment in line.sets
    )
    beyond = line.candidates[behind].chainage + longest + 2.0 * LENGTH_SLACK
    within = sum(one.chainage <= beyond for one in line.candidates)
    return min(len(line.candidates), within + 2)
