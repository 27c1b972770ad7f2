"""The same problem for a general constraint solver, with our timetable as its hint: its bound says how far from the best we are."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import groupby
from threading import Event, Thread
from typing import TYPE_CHECKING, Final

from mainwright.errors import MissingExtra
from mainwright.plan.programme.problem import SchedulingProblem, Task

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, CpSolver, CpSolverSolutionCallback, IntervalVar, IntVar, LinearExpr

__all__ = ["Exact", "solve_exactly"]

_SEED: Final = 1


@dataclass(frozen=True, slots=True)
class Exact:
    """What the solver found: starts (None where it found none), their weight, the bound on the weight, and whether the two are one."""

    starts: tuple[int, ...] | None
    weight: int | None
    bound: int
    proven: bool


def solve_exactly(
    problem: SchedulingProblem,
    *,
    hint: Sequence[int] | None,
    effort: float,
    progress: Callable[[int, int], None] | None = None,
    enough: Callable[[], bool] | None = None,
    better: Callable[[Sequence[int], int], None] | None = None,
    bounded: Callable[[int], None] | None = None,
) -> Exact:
    """Return the best timetable that the solver finds within an effort, and its bound.

    Parameters
    ----------
    problem : SchedulingProblem
        The problem. [-]
    hint : sequence of int or None
        Starts of a timetable that is known. [slots]
    effort : float
        Deterministic time of the solver: the same effort gives the same answer on every machine; about seconds. [s]
    progress : callable or None
        Told the weight and the bound whenever a better timetable is found; raises to stop.
    enough : callable or None
        Asked now and then: true ends the search with the best so far.
    better : callable or None
        Told starts and weight of each better timetable; must not raise.
    bounded : callable or None
        Told each better bound; must not raise.

    Returns
    -------
    Exact
        The timetable and the bound.

    Raises
    ------
    MissingExtra
        If the solver is not installed.
    """
    try:
        from ortools.sat.python import cp_model
    except ImportError as error:
        raise MissingExtra("programme", "a programme with a proven bound") from error

    model = cp_model.CpModel()
    bars = _Bars(model, problem)
    _add_links(model, problem, bars)
    for number in range(len(problem.resources)):
        _add_resource(model, problem, number, bars)
    model.minimize(_weight(model, problem, bars))
    if hint is not None:
        for variable, value in zip(bars.starts, hint, strict=True):
            model.add_hint(variable, value)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = _SEED
    solver.parameters.max_deterministic_time = effort
    if bounded is not None:
        solver.best_bound_callback = lambda bound: bounded(round(bound))
    with _asking(solver, enough):
        status = solver.solve(model, _watch(bars, progress, better))
    bound = round(solver.best_objective_bound)
    if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        return Exact(None, None, bound, proven=status == cp_model.INFEASIBLE)
    found = tuple(int(solver.value(variable)) for variable in bars.starts)
    return Exact(found, round(solver.objective_value), bound, proven=status == cp_model.OPTIMAL)


class _Bars:
    """Start, end and bar of every task."""

    def __init__(self, model: "CpModel", problem: SchedulingProblem) -> None:
        self.starts: list[IntVar] = []
        self.ends: list[LinearExpr] = []
        self.intervals: list[IntervalVar] = []
        for task in problem.tasks:
            start = _start(model, problem, task)
            self.starts.append(start)
            self.ends.append(start + task.duration)
            self.intervals.append(model.new_fixed_size_interval_var(start, task.duration, task.name))


def _start(model: "CpModel", problem: SchedulingProblem, task: Task) -> "IntVar":
    from ortools.sat.python import cp_model

    if task.fixed is not None:
        return model.new_constant(task.fixed)
    if task.one_shift and problem.shift:
        last = problem.shift - task.duration
        days = [day * problem.shift for day in range(problem.horizon // problem.shift)]
        room = [[max(day, task.earliest), day + last] for day in days if day + last >= task.earliest]
        return model.new_int_var_from_domain(cp_model.Domain.from_intervals(room), task.name)
    return model.new_int_var(task.earliest, problem.horizon - task.duration, task.name)


def _add_links(model: "CpModel", problem: SchedulingProblem, bars: _Bars) -> None:
    for link in problem.links:
        if problem.tasks[link.after].fixed is not None:
            continue
        table = problem.tables[link.table] if problem.tables else None
        if table is None or all(value == slot for slot, value in enumerate(table)):
            model.add(bars.starts[link.after] >= bars.ends[link.before])
        else:
            after = model.new_int_var(0, max(table), "")
            model.add_element(bars.ends[link.before], list(table), after)
            model.add(bars.starts[link.after] >= after)


def _weight(model: "CpModel", problem: SchedulingProblem, bars: _Bars) -> "LinearExpr":
    makespan = model.new_int_var(0, problem.horizon, "makespan")
    model.add_max_equality(makespan, bars.ends)
    parts = [makespan]
    for penalty in problem.penalties:
        if any(penalty.weights):
            last = model.new_int_var(0, problem.horizon, "")
            model.add_max_equality(last, [bars.ends[one] for one in penalty.tasks])
            weight = model.new_int_var(0, max(penalty.weights), penalty.name)
            model.add_element(last, list(penalty.weights), weight)
            parts.append(weight)
    return sum(parts[1:], start=1 * parts[0])


def _add_resource(model: "CpModel", problem: SchedulingProblem, number: int, bars: _Bars) -> None:
    capacity = problem.capacities[number]
    most = max(capacity)
    intervals, amounts = [], []
    for one, task in enumerate(problem.tasks):
        for resource, amount in task.needs:
            if resource == number and amount and task.duration:
                intervals.append(bars.intervals[one])
                amounts.append(amount)
    for hold in problem.holdings:
        if hold.resource == number:
            size = model.new_int_var(0, problem.horizon, "")
            intervals.append(model.new_interval_var(bars.starts[hold.taken_by], size, bars.ends[hold.given_back_by], ""))
            amounts.append(hold.amount)
    if not intervals:
        return
    slot = 0
    for there, group in groupby(capacity):
        length = len(list(group))
        if there < most:
            intervals.append(model.new_fixed_size_interval_var(slot, length, ""))
            amounts.append(most - there)
        slot += length
    model.add_cumulative(intervals, amounts, most)


@contextmanager
def _asking(solver: "CpSolver", enough: Callable[[], bool] | None) -> Iterator[None]:
    """Ask five times a second whether it is enough, while the solver works."""
    if enough is None:
        yield
        return
    over = Event()

    def ask() -> None:
        while not over.wait(0.2):
            if enough():
                solver.stop_search()

    thread = Thread(target=ask, daemon=True)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()


def _watch(
    bars: _Bars, progress: Callable[[int, int], None] | None, better: Callable[[Sequence[int], int], None] | None
) -> "CpSolverSolutionCallback":
    from ortools.sat.python.cp_model import CpSolverSolutionCallback

    class Watch(CpSolverSolutionCallback):
        def on_solution_callback(self) -> None:
            if better is not None:
                better([int(self.value(variable)) for variable in bars.starts], round(self.objective_value))
            if progress is not None:
                progress(round(self.objective_value), round(self.best_objective_bound))

    return Watch()
