"""Timetables of a programme: public instances with known optima, and sections of a main against the constraint solver alone.

Every timetable is checked by code that did not make it, and every figure stands beside its bound, before it is printed. Run it with
``python -m benchmarks.programme [sample] [seconds] [seeds]``: every so many of the public instances (1 is all of them, which takes up to an hour; 8
where not given), for how long the solver alone looks at each size of the growth (60), and the seeds of the sections, as ``7,8,9`` (7). It prints as it goes and ends with an error where a
timetable is wrong, a bound lies, or a goal is missed. The instances are looked for beside ``MAINWRIGHT_OPEN_DATA``.
"""

import csv
import os
import sys
from pathlib import Path
from time import perf_counter, process_time

from tests.unit.plan.programme.problems import read_rcp, sections

from mainwright.plan.programme.bounds import lower_bound
from mainwright.plan.programme.check import violations
from mainwright.plan.programme.exact import solve_exactly
from mainwright.plan.programme.problem import SchedulingProblem
from mainwright.plan.programme.solve import Effort, search, solve_programme

GOALS = {"proven": 0.9, "first": 0.005, "small": 1.0, "large": 5.0}
"""Share of the instances proven; seconds to a first timetable, to the optimum at 120 activities, and to the solver's minute at 300 and 600."""

_SIZES = (60, 120, 300, 600)
_SEEDS = (7,)
_PROBE = 4096


def say(text: str) -> None:
    print(text, flush=True)


def right(problem: SchedulingProblem, starts: tuple[int, ...]) -> None:
    """End where a timetable breaks anything."""
    broken = violations(problem, starts)
    assert not broken, broken[0]


def public(sample: int) -> list[str]:
    """Solve public instances to their known optima."""
    folder = Path(os.environ.get("MAINWRIGHT_OPEN_DATA", "")).parent / "references" / "data" / "psplib"
    if not os.environ.get("MAINWRIGHT_OPEN_DATA") or not folder.is_dir():
        say("public instances: not here (MAINWRIGHT_OPEN_DATA)")
        return []
    with (folder / "optima.csv").open(encoding="utf-8") as rows:
        known = {row["instance"]: int(row["makespan"]) for row in csv.DictReader(rows) if row["status"] == "OPTIMAL"}
    missed = []
    for name in ("j30", "j60"):
        files = [one for one in sorted(folder.glob(f"{name}_*.rcp")) if one.stem in known][::sample]
        proven, slowest, begun = 0, 0.0, perf_counter()
        for file in files:
            problem = read_rcp(file.read_text(encoding="utf-8"))
            start = perf_counter()
            made = solve_programme(problem, effort=Effort(lists=1000, exact=60.0))
            took = perf_counter() - start
            assert made is not None
            right(problem, made.starts)
            assert made.bound <= known[file.stem] <= made.makespan, (
                f"{file.stem}: {made.bound} to {made.makespan}, known {known[file.stem]}"
            )
            good = made.proven and made.makespan == known[file.stem] and took <= 60.0
            proven, slowest = proven + good, max(slowest, took)
            say(f"  {file.stem}: {made.makespan} of {known[file.stem]}, bound {made.bound} ({made.because}), {took:.2f} s")
        say(f"{name}: {proven} of {len(files)} proven, the slowest {slowest:.1f} s, all {perf_counter() - begun:.0f} s")
        if proven < GOALS["proven"] * len(files):
            missed.append(f"{name}: {proven} of {len(files)} proven")
    return missed


def _within(problem: SchedulingProblem, *, lowest: int, seconds: float) -> tuple[int, float]:
    """Return the weight that our own search comes to within so many seconds of the process, and when it first had it."""
    begun = process_time()
    search(problem, lists=_PROBE, lowest=0, compiled=True)
    # It cools by the number of its lists: as many as fit into the time.
    lists = max(_PROBE, round(seconds * _PROBE / (process_time() - begun)))
    best, when, begun = 0, 0.0, process_time()

    def told(weight: int, _bound: int) -> None:
        nonlocal best, when
        if not best or weight < best:
            best, when = weight, process_time() - begun

    enough = lambda: process_time() - begun > seconds  # noqa: E731 said once
    found = search(problem, lists=lists, lowest=lowest, progress=told, enough=enough, compiled=True)
    assert found is not None
    right(problem, found[0])
    return found[1], when


def growth(seconds: float, sizes: tuple[int, ...], seeds: tuple[int, ...]) -> list[str]:
    """Let our own search and the solver alone look at growing problems."""
    search(sections(5, seed=1), lists=1000, lowest=0, compiled=True)  # the compiled search is loaded before anything is timed
    missed = []
    for size, seed in ((size, seed) for size in sizes for seed in seeds):
        problem = sections(size // 12, seed=seed)
        floor = lower_bound(problem)
        begun = process_time()
        first = search(problem, lists=0, lowest=0, compiled=True)
        at_once = process_time() - begun
        assert first is not None
        right(problem, first[0])
        start = perf_counter()
        peer = solve_exactly(problem, hint=None, effort=seconds)
        peer_took = perf_counter() - start
        bound, because = (peer.bound, "exact") if peer.bound > floor.slots else (floor.slots, floor.because)
        if peer.starts is not None:
            right(problem, peer.starts)
        limit = GOALS["small"] if size <= 120 else GOALS["large"]
        target = peer.weight or 0
        ours, when = _within(problem, lowest=bound, seconds=limit)
        assert ours >= bound
        say(
            f"{size} activities, seed {seed}: bound {bound} ({because}); first {first[1]} in {1e3 * at_once:.1f} ms; search {ours} after {when:.2f} s "
            f"(gap {100 * (ours - bound) / bound:.1f} %); solver alone {peer.weight} in {peer_took:.0f} s"
            + (f" (gap {100 * (peer.weight - bound) / bound:.1f} %)" if peer.weight else "")
        )
        if target and ours > target:
            missed.append(f"{size} activities, seed {seed}: {ours} within {limit:g} s, the solver alone {target}")
        if at_once > GOALS["first"]:
            missed.append(f"{size} activities, seed {seed}: the first timetable took {1e3 * at_once:.1f} ms")
    return missed


def main() -> None:
    """Run both parts."""
    sample = int(sys.argv[1]) if len(sys.argv) > 1 else 8
    seconds = float(sys.argv[2]) if len(sys.argv) > 2 else 60.0
    seeds = tuple(map(int, sys.argv[3].split(","))) if len(sys.argv) > 3 else _SEEDS
    missed = [*growth(seconds, _SIZES, seeds), *public(sample)]
    if missed:
        raise SystemExit("missed: " + "; ".join(missed))


if __name__ == "__main__":
    main()
