"""The exact choice: least cost over a line of candidates, by dynamic programming.

The functions below ``kernel`` are written once over indexable arrays. Small problems run them as they stand, on lists; above a size that
was measured they run through numba, which is imported only then. All weights are whole numbers, so both give the same answer to the
last unit and a tie is a tie.
"""

from collections.abc import Callable, MutableSequence, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

from mainwright.errors import InputError

__all__ = ["COMPILE_FROM", "UNREACHABLE", "Choice", "LineProblem", "follow", "kernel", "reach", "solve", "solve_dp", "two_pointer"]

UNREACHABLE: Final = 1 << 61
"""Weight of what cannot be done; every sum of real weights stays below half of it."""

COMPILE_FROM: Final = 3_000_000
"""Runs from which the compiled kernel is worth its import: loading it from its cache took 1.2 s where plain Python took 0.4 us a run."""


@dataclass(frozen=True, slots=True)
class LineProblem:
    """Candidates on a line, and what it costs to open and to run. Weights are whole numbers.

    Attributes
    ----------
    opening
        Weight of opening at each candidate.
    inside
        Prefix sums of what it costs to pass a candidate within a run: entry k is the sum over candidates before k; one longer.
    last_increasing, last_decreasing
        For each class of equipment and each candidate, the furthest candidate that a run which begins there may reach with the head
        travelling that way; the candidate itself where none. Each class takes what the classes before it cannot reach.
    run
        Weight of a run of each class.
    pump
        Weight of a place of the pump. An increasing run has it at its end, a decreasing one at its start.
    extra_start, extra_increasing, extra_decreasing
        Further weight of single runs: that of the run from i to j stands at ``extra_start[i] + j - i - 1``; `UNREACHABLE` forbids it.
        Empty where there is none.
    """

    opening: Sequence[int]
    inside: Sequence[int]
    last_increasing: Sequence[Sequence[int]]
    last_decreasing: Sequence[Sequence[int]]
    run: Sequence[int]
    pump: int
    extra_start: Sequence[int]
    extra_increasing: Sequence[int]
    extra_decreasing: Sequence[int]


@dataclass(frozen=True, slots=True)
class Choice:
    """The chosen candidates by their index, the direction of each run between them (+1 increasing, -1 decreasing), and the weight."""

    openings: tuple[int, ...]
    directions: tuple[int, ...]
    weight: int


def reach(  # noqa: PLR0917 a compiled function takes its arguments by place
    position: Sequence[float], turn: Sequence[float], wall: Sequence[int], longest: float, most_turn: float, last: MutableSequence[int]
) -> None:
    """Write into `last` how far a run from each candidate may go.

    Parameters
    ----------
    position : sequence of float
        Chainage of each candidate, increasing. [m]
    turn : sequence of float
        Prefix sums of the bends: entry k is the sum at candidates before k; one longer. [rad]
    wall : sequence of int
        For each candidate the next one that no run may pass. [-]
    longest, most_turn : float
        Limits, inclusive. [m] [rad]
    last : mutable sequence of int
        Is filled: the furthest candidate, or the candidate itself where not even the next can be reached. [-]

    Notes
    -----
    All three limits only grow with the run, so the end never moves back while the start moves on: two pointers, linear time.
    """
    count = len(position)
    end = 0
    for start in range(count):
        end = max(end, start)
        while (
            end + 1 < count
            and end < wall[start]
            and position[end + 1] - position[start] <= longest
            and turn[end + 1] - turn[start + 1] <= most_turn
        ):
            end += 1
        last[start] = end


def two_pointer(count: int, allowed: Callable[[int, int], bool]) -> list[int]:
    """Return how far a run from each candidate may go under a limit that only grows with the run.

    Parameters
    ----------
    count : int
        How many candidates. [-]
    allowed : callable
        Whether the run from one candidate to another keeps the limit; if it does, so does every run inside it. [-]

    Returns
    -------
    list of int
        The furthest candidate, or the candidate itself where not even the next can be reached. [-]

    Examples
    --------
    >>> two_pointer(4, lambda start, end: end - start <= 2)
    [2, 3, 3, 3]
    """
    last = []
    end = 0
    for start in range(count):
        end = max(end, start)
        while end + 1 < count and allowed(start, end + 1):
            end += 1
        last.append(end)
    return last


def solve_dp(  # noqa: C901, PLR0912, PLR0915, PLR0917 a compiled function calls no other and takes its arguments by place
    opening: Sequence[int],
    inside: Sequence[int],
    last_increasing: Sequence[Sequence[int]],
    last_decreasing: Sequence[Sequence[int]],
    run: Sequence[int],
    pump: int,
    extra_start: Sequence[int],
    extra_increasing: Sequence[int],
    extra_decreasing: Sequence[int],
    alike: bool,
    key: MutableSequence[int],
    key_pump: MutableSequence[int],
    step: MutableSequence[int],
    step_pump: MutableSequence[int],
) -> int:
    """Return the least weight from the first candidate to the last; the steps are written into the last two arguments.

    ``key[j]`` is the least weight of all from the opening at j on, when the pump of the run before does not stand there; ``key_pump[j]``
    the same when it does. A step is the next opening, or its complement (``~j``) where the run to it decreases.
    Of equal weights the furthest next opening is taken.
    """
    count = len(opening)
    classes = len(run)
    tabled = len(extra_start) > 0
    unreachable = 1 << 61
    key[count - 1] = opening[count - 1] + inside[count - 1]
    key_pump[count - 1] = key[count - 1]
    step[count - 1] = count - 1
    step_pump[count - 1] = count - 1
    for back in range(count - 1):
        start = count - 2 - back
        up = unreachable
        up_to = start
        begin = start + 1
        for kind in range(classes):
            end = last_increasing[kind][start]
            weight = run[kind]
            if tabled:
                offset = extra_start[start] - start - 1
                for next_ in range(begin, end + 1):
                    total = key_pump[next_] + weight + extra_increasing[offset + next_]
                    if total <= up:
                        up = total
                        up_to = next_
            else:
                best = up - weight
                for next_ in range(begin, end + 1):
                    if key_pump[next_] <= best:
                        best = key_pump[next_]
                        up_to = next_
                up = best + weight
            begin = max(begin, end + 1)
        if alike:
            down = up
            down_to = up_to
        else:
            up += pump
            down = unreachable
            down_to = start
            begin = start + 1
            for kind in range(classes):
                end = last_decreasing[kind][start]
                weight = run[kind]
                if tabled:
                    offset = extra_start[start] - start - 1
                    for next_ in range(begin, end + 1):
                        total = key[next_] + weight + extra_decreasing[offset + next_]
                        if total <= down:
                            down = total
                            down_to = next_
                else:
                    best = down - weight
                    for next_ in range(begin, end + 1):
                        if key[next_] <= best:
                            best = key[next_]
                            down_to = next_
                    down = best + weight
                begin = max(begin, end + 1)
        here = opening[start] + inside[start] - inside[start + 1]
        # The pump of the run before stands here: a decreasing run shares its place.
        if up < down or (up == down and up_to >= down_to):
            best = up
            step_pump[start] = up_to
        else:
            best = down
            step_pump[start] = ~down_to
        key_pump[start] = min(best + here, unreachable) if best < unreachable else unreachable
        down += pump
        if up < down or (up == down and up_to >= down_to):
            best = up
            step[start] = up_to
        else:
            best = down
            step[start] = ~down_to
        key[start] = min(best + here, unreachable) if best < unreachable else unreachable
    return int(key[0]) if key[0] < unreachable else unreachable


def follow(step: Sequence[int], step_pump: Sequence[int], openings: MutableSequence[int], ways: MutableSequence[int]) -> int:
    """Write the chosen openings and the way of the run to each into the last two arguments, and return how many openings there are."""
    final = len(step) - 1
    count = 1
    openings[0] = 0
    pump_here = False
    while openings[count - 1] < final:
        here = openings[count - 1]
        coded = step_pump[here] if pump_here else step[here]
        pump_here = coded >= 0
        openings[count] = coded if pump_here else ~coded
        ways[count] = 1 if pump_here else -1
        count += 1
    return count


@cache
def kernel(name: str) -> Callable[..., Any]:
    """Return a compiled kernel; the compiled code is kept between processes."""
    import numba

    kernels: dict[str, Callable[..., Any]] = {"solve_dp": solve_dp, "reach": reach, "follow": follow}
    compiled: Callable[..., Any] = numba.njit(cache=True, nogil=True)(kernels[name])
    return compiled


def _arrays(problem: LineProblem) -> tuple[object, ...]:
    import numpy as np

    def whole(values: Sequence[int]) -> object:
        return np.ascontiguousarray(values, dtype=np.int64)

    def table(values: Sequence[Sequence[int]]) -> object:
        return np.ascontiguousarray(values, dtype=np.int64).reshape(len(problem.run), len(problem.opening))

    return (
        whole(problem.opening),
        whole(problem.inside),
        table(problem.last_increasing),
        table(problem.last_decreasing),
        whole(problem.run),
        problem.pump,
        whole(problem.extra_start),
        whole(problem.extra_increasing),
        whole(problem.extra_decreasing),
    )


def _size(problem: LineProblem) -> int:
    """Return how many runs the solver will look at, as far as it matters for the choice of the kernel."""
    if problem.extra_start:
        return len(problem.extra_increasing)
    furthest = problem.last_increasing[-1]
    return sum(furthest) - len(furthest) * (len(furthest) - 1) // 2


def solve(problem: LineProblem, *, compiled: bool | None = None) -> Choice | None:
    """Return the choice of least weight, None where the last candidate cannot be reached.

    Parameters
    ----------
    problem : LineProblem
        Candidates and weights; the first and the last candidate are always opened. [-]
    compiled : bool, optional
        Which kernel to use; by size where not said. [-]

    Returns
    -------
    Choice or None
        Of equal weights the one whose runs, from the first on, reach furthest. [-]

    Raises
    ------
    InputError
        If there are fewer than two candidates.
    """
    count = len(problem.opening)
    if count < 2:
        raise InputError("candidates", count, "", "at least 2, the ends of the main")
    alike = problem.pump == 0 and (
        problem.last_increasing is problem.last_decreasing and problem.extra_increasing is problem.extra_decreasing
    )
    if compiled if compiled is not None else _size(problem) >= COMPILE_FROM:
        import numpy as np

        outputs: tuple[Any, ...] = tuple(np.empty((4, count), dtype=np.int64))
        weight = int(kernel("solve_dp")(*_arrays(problem), alike, *outputs))
        trace = kernel("follow")
    else:
        outputs = tuple([0] * count for _ in range(4))
        weight = solve_dp(
            problem.opening,
            problem.inside,
            problem.last_increasing,
            problem.last_decreasing,
            problem.run,
            problem.pump,
            problem.extra_start,
            problem.extra_increasing,
            problem.extra_decreasing,
            alike,
            *outputs,
        )
        trace = follow
    if weight >= UNREACHABLE:
        return None
    # Nobody needs the weights any more: the openings go where they stood.
    chosen = trace(outputs[2], outputs[3], outputs[0], outputs[1])
    openings, ways = (part[:chosen] if isinstance(part, list) else part[:chosen].tolist() for part in outputs[:2])
    return Choice(tuple(openings), tuple(ways[1:]), weight)
