"""A search sets out from what is at hand, gets no worse, and is seen while it goes on."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest

from mainwright.plan.programme.check import violations, weight_of
from mainwright.plan.programme.problem import Penalty
from mainwright.plan.programme.programme import Search, make_programme
from mainwright.plan.programme.solve import Effort, solve_programme
from tests.unit.plan.programme.problems import random_problem
from tests.unit.prove.demo_plan import demo_plan

if TYPE_CHECKING:
    from mainwright.plan.programme.sighting import Sighting
    from mainwright.plan.programme.solve import Timetable

NOTHING = Effort(lists=0, exact=0.0)


@pytest.mark.parametrize("seed", range(6))
def test_what_keeps_everything_is_not_given_up_for_the_same_or_worse(seed: int) -> None:
    problem = random_problem(random.Random(seed), count=7)
    good = solve_programme(problem, effort=Effort(lists=300, exact=0.0))
    assert good is not None
    # The same, one slot later wherever that breaks nothing and weighs nothing: no search that finds no better one may move it back.
    later = good.starts
    for task in range(len(later)):
        moved = tuple(start + (number == task) for number, start in enumerate(later))
        if not violations(problem, moved) and weight_of(problem, moved) == good.weight:
            later = moved
    again = solve_programme(problem, effort=NOTHING, warm=later)
    assert again is not None
    assert again.weight == good.weight
    assert again.starts == later


def test_what_breaks_something_gives_its_order_alone() -> None:
    problem = random_problem(random.Random(3), count=7)
    made = solve_programme(problem, effort=NOTHING, warm=(0,) * len(problem.tasks))
    assert made is not None
    assert violations(problem, made.starts) == ()


def test_a_timetable_weighs_its_end_and_its_penalties() -> None:
    problem = random_problem(random.Random(1), count=7)
    made = solve_programme(problem)
    assert made is not None
    assert weight_of(problem, made.starts) == made.weight
    last = max(start + task.duration for start, task in zip(made.starts, problem.tasks, strict=True))
    charged = replace(
        problem, penalties=(Penalty("late", tuple(range(len(problem.tasks))), (*(0,) * last, *(7,) * (problem.horizon + 1 - last))),)
    )
    assert weight_of(charged, made.starts) == last + 7


@pytest.mark.parametrize("seed", [2, 5, 9])
def test_whoever_looks_on_sees_it_get_better_and_the_bound_rise(seed: int) -> None:
    pytest.importorskip("ortools")
    seen: list[Timetable] = []
    made = solve_programme(random_problem(random.Random(seed), count=7), effort=Effort(lists=20, exact=2.0), told=seen.append)
    assert made is not None
    assert seen[-1] == made
    assert all(after.weight <= before.weight and after.bound >= before.bound for before, after in pairwise(seen))
    assert all((after.weight, after.bound) != (before.weight, before.bound) for before, after in pairwise(seen))


def test_a_programme_is_searched_from_the_one_at_hand_and_seen_in_its_words() -> None:
    plan = demo_plan()
    assert plan.programme is not None
    seen: list[Sighting] = []
    begins = {one.id: one.begin for one in plan.programme.activities}
    programme, _, _ = make_programme(plan.job, runs=plan.runs, search=Search(NOTHING, seen=seen.append, begins=begins))
    assert programme == plan.programme
    assert (seen[-1].shifts, seen[-1].bound, seen[-1].because) == (programme.shifts, programme.bound, programme.because)
    assert (seen[-1].gap, seen[-1].proven, seen[-1].overrun) == (programme.gap, programme.proven, 0)
