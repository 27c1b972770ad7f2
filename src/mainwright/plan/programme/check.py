"""Whether a timetable keeps everything it must: looked at slot by slot, by nothing that made it."""

from collections.abc import Sequence

from mainwright.plan.programme.problem import SchedulingProblem

__all__ = ["violations", "weight_of"]


def violations(problem: SchedulingProblem, starts: Sequence[int]) -> tuple[str, ...]:
    """Return what a timetable breaks.

    Parameters
    ----------
    problem : SchedulingProblem
        The problem. [-]
    starts : sequence of int
        Start of each task. [slots]

    Returns
    -------
    tuple of str
        One text for each breach, for whoever looks into it; empty where everything is kept.
    """
    ends = [start + task.duration for start, task in zip(starts, problem.tasks, strict=True)]
    return (*_of_tasks(problem, starts, ends), *_of_links(problem, starts, ends), *_of_resources(problem, starts, ends))


def weight_of(problem: SchedulingProblem, starts: Sequence[int]) -> int:
    """Return what a timetable weighs: the end of its last task, and every penalty at the end of the last task that it is of.

    Parameters
    ----------
    problem : SchedulingProblem
        The problem. [-]
    starts : sequence of int
        Start of each task, within the horizon. [slots]

    Returns
    -------
    int
        Its weight. [slots]
    """
    ends = [start + task.duration for start, task in zip(starts, problem.tasks, strict=True)]
    return max(ends, default=0) + sum(one.weights[max(ends[task] for task in one.tasks)] for one in problem.penalties)


def _of_tasks(problem: SchedulingProblem, starts: Sequence[int], ends: Sequence[int]) -> list[str]:
    found = []
    for task, start, end in zip(problem.tasks, starts, ends, strict=True):
        if end > problem.horizon:
            found.append(f"{task.name} ends at {end}, after {problem.horizon}")
        if task.fixed is not None:
            if start != task.fixed:
                found.append(f"{task.name} begins at {start}, not at {task.fixed}")
            continue
        if start < task.earliest:
            found.append(f"{task.name} begins at {start}, before {task.earliest}")
        if task.one_shift and problem.shift and task.duration and start // problem.shift != (end - 1) // problem.shift:
            found.append(f"{task.name} goes on over the end of a shift")
    return found


def _of_links(problem: SchedulingProblem, starts: Sequence[int], ends: Sequence[int]) -> list[str]:
    found = []
    for link in problem.links:
        before, after = problem.tasks[link.before], problem.tasks[link.after]
        if after.fixed is not None or ends[link.before] > problem.horizon:
            continue
        least = problem.tables[link.table][ends[link.before]] if problem.tables else ends[link.before]
        if starts[link.after] < least:
            found.append(f"{after.name} begins at {starts[link.after]}, before {least} after {before.name}")
    return found


def _of_resources(problem: SchedulingProblem, starts: Sequence[int], ends: Sequence[int]) -> list[str]:
    found = []
    used = [[0] * problem.horizon for _ in problem.resources]
    for task, start, end in zip(problem.tasks, starts, ends, strict=True):
        for resource, amount in task.needs:
            for slot in range(start, min(end, problem.horizon)):
                used[resource][slot] += amount
    for hold in problem.holdings:
        for slot in range(starts[hold.taken_by], min(ends[hold.given_back_by], problem.horizon)):
            used[hold.resource][slot] += hold.amount
    for name, taken, there in zip(problem.resources, used, problem.capacities, strict=True):
        found += [
            f"{name}: {taken[slot]} used in slot {slot}, {there[slot]} there"
            for slot in range(problem.horizon)
            if taken[slot] > there[slot]
        ]
    return found
