"""Timetables: against the solver of others, against brute force, and against what must never be broken."""

import itertools
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.plan.programme.bounds import earliest_starts, lower_bound
from mainwright.plan.programme.check import violations
from mainwright.plan.programme.problem import Holding, Link, SchedulingProblem, Task
from mainwright.plan.programme.solve import Effort, search, solve_programme
from tests.unit.plan.programme.problems import random_problem, sections

# Three tasks of a textbook flow: two need the only crew.
SMALL = SchedulingProblem(
    20,
    0,
    ("crew",),
    ((1,) * 20,),
    (Task("a", 3, ((0, 1),)), Task("b", 4, ((0, 1),)), Task("c", 2)),
    (Link(0, 2),),
)


def test_two_that_need_the_only_crew_go_one_after_the_other() -> None:
    made = solve_programme(SMALL)
    assert made is not None
    assert (made.makespan, made.bound, made.because, made.proven) == (7, 7, "crew", True)


def test_without_tasks_there_is_nothing_to_do() -> None:
    made = solve_programme(SchedulingProblem(5, 0, (), (), (), ()))
    assert made is not None
    assert made.makespan == 0


def test_where_the_horizon_is_too_short_there_is_no_timetable() -> None:
    short = SchedulingProblem(5, 0, ("crew",), ((1,) * 5,), SMALL.tasks, SMALL.links)
    assert solve_programme(short) is None
    assert solve_programme(short, effort=Effort(lists=10, exact=1.0)) is None


def test_a_task_that_waits_for_itself_is_refused() -> None:
    with pytest.raises(InputError, match="no task that waits for itself"):
        SchedulingProblem(5, 0, (), (), (Task("a", 1), Task("b", 1)), (Link(0, 1), Link(1, 0)))


def test_what_is_held_is_not_lent_twice() -> None:
    tasks = tuple(Task(f"{name}{number}", 2, section=number) for number in range(2) for name in ("take", "give"))
    links = (Link(0, 1), Link(2, 3))
    problem = SchedulingProblem(20, 0, ("pipe",), ((5,) * 20,), tasks, links, (Holding(0, 3, 0, 1), Holding(0, 3, 2, 3)))
    made = solve_programme(problem)
    assert made is not None
    assert made.makespan == 8
    assert (made.bound, made.because) == (8, "pipe")


def test_a_fixed_task_stays_and_the_others_go_round_it() -> None:
    tasks = (Task("done", 3, ((0, 1),), fixed=1), Task("next", 2, ((0, 1),)))
    made = solve_programme(SchedulingProblem(20, 0, ("crew",), ((1,) * 20,), tasks, ()))
    assert made is not None
    assert made.starts == (1, 4)


@settings(max_examples=60)
@given(st.integers(0, 10**9), st.integers(1, 9))
def test_every_timetable_keeps_everything_and_no_bound_lies(seed: int, count: int) -> None:
    problem = random_problem(random.Random(seed), count=count)
    made = solve_programme(problem, effort=Effort(lists=60))
    if made is not None:
        assert violations(problem, made.starts) == ()
        assert lower_bound(problem).slots <= made.makespan
        assert all(start >= least for start, least in zip(made.starts, earliest_starts(problem), strict=True))


# Of 401 small problems the lists alone came to the best on 400; on the last, one slot was lacking.
ONE_SLOT_SHORT = 9234106


@pytest.mark.parametrize("seed", [*range(14), ONE_SLOT_SHORT])
def test_the_search_comes_close_to_the_exact_solver_on_small_problems_and_never_past_it(seed: int) -> None:
    problem = random_problem(random.Random(seed), count=6)
    own = search(problem, lists=1500, lowest=lower_bound(problem).slots)
    both = solve_programme(problem, effort=Effort(lists=50, exact=20.0))
    assert (own is None) == (both is None)
    if own is not None and both is not None:
        assert violations(problem, both.starts) == ()
        assert both.proven
        assert both.weight <= own[1] <= both.weight + (seed == ONE_SLOT_SHORT)


def test_small_ones_against_every_order() -> None:
    generator = random.Random(7)
    for _ in range(6):
        problem = random_problem(generator, count=5, calendars=False)
        best = None
        for order in itertools.permutations(range(5)):
            found = search(problem, lists=0, lowest=0, warm=tuple(order.index(one) for one in range(5)))
            if found is not None:
                best = found[1] if best is None else min(best, found[1])
        own = search(problem, lists=800, lowest=0)
        assert (None if own is None else own[1]) == best


def test_compiled_and_plain_give_the_same_timetable() -> None:
    problem = sections(4, seed=3)
    assert search(problem, lists=300, lowest=0, compiled=True) == search(problem, lists=300, lowest=0, compiled=False)


def test_a_search_can_be_stopped() -> None:
    def stop(_weight: int, _lowest: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        search(sections(3, seed=1), lists=1000, lowest=0, progress=stop)


def test_the_same_problem_gives_the_same_timetable() -> None:
    problem = sections(3, seed=5)
    assert search(problem, lists=400, lowest=0) == search(problem, lists=400, lowest=0)


def test_sections_of_a_main_are_solved_to_a_proven_gap() -> None:
    problem = sections(5, seed=2)
    made = solve_programme(problem, effort=Effort(lists=2000, exact=10.0))
    assert made is not None
    assert violations(problem, made.starts) == ()
    assert made.gap < 0.05


def test_who_looks_on_is_asked_now_and_then_on_a_long_list() -> None:
    told: list[int] = []
    search(sections(50, seed=1), lists=60, lowest=0, compiled=False, progress=lambda weight, _lowest: told.append(weight))
    assert len(told) == 2
    assert told == sorted(told, reverse=True)


def test_the_bound_of_a_resource_counts_the_longest_tails_first() -> None:
    # Three jobs of one crew that can begin at once: two of them are followed by something long.
    tasks = (*(Task(f"work{number}", 3, ((0, 1),)) for number in range(3)), Task("long", 10), Task("long too", 9))
    problem = SchedulingProblem(40, 0, ("crew",), ((1,) * 40,), tasks, (Link(0, 3), Link(2, 4)))
    assert lower_bound(problem).slots == 15
    made = solve_programme(problem)
    assert made is not None
    assert (made.makespan, made.proven, made.because) == (15, True, "crew")
