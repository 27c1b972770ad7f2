"""A search for a programme goes on by itself, is seen by everybody, and ends with the best so far or with nothing."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, cast

import pytest

from mainwright.errors import StoreError
from mainwright.plan.programme.sighting import Sighting
from mainwright.workflow.searching import Searches
from tests.unit.prove.demo_plan import demo_plan

if TYPE_CHECKING:
    from collections.abc import Callable

    from mainwright.plan.result import Plan
    from mainwright.workflow.jobs_at_hand import JobAtHand, JobsAtHand
    from mainwright.workflow.ports import Progress
    from mainwright.workflow.searching import Wish

FIRST = Sighting(74.0, 57.0, "supply gang", 0, None, 0.3, proven=False, weight=1333)
BETTER = replace(FIRST, shifts=70.0, gap=0.24, weight=1274)


class Jobs:
    """A job at hand, with a plan that is there."""

    def __init__(self) -> None:
        self.plan = demo_plan()
        self.at_hand = cast("JobAtHand", At("a", Read(self.plan.job)))
        self.state: object = "revision 1"

    def current(self, at_hand: JobAtHand) -> Plan:
        return self.plan

    def standing(self, at_hand: JobAtHand) -> object:
        return self.state

    def job(self, name: str) -> JobAtHand | None:
        return self.at_hand

    def issued(self, name: str) -> None:
        return None

    def take(self, standing: object, plan: Plan) -> bool:
        self.plan = plan
        return True


@dataclass
class Read:
    job: object


@dataclass
class At:
    name: str
    read: Read


@dataclass
class Stage:
    """A search step by step: what is done between two looks of the solver, and the clock."""

    jobs: Jobs = field(default_factory=Jobs)
    work: list[Callable[[], None]] = field(default_factory=list)
    now: float = 100.0
    script: Callable[[Wish, Progress], None] = lambda wish, told: None
    looked: int = 0

    def searches(self) -> Searches:
        def searcher(job: object, issued: object, held: object, wish: Wish, told: Progress) -> Plan:
            told(1, 22)
            wish.seen(FIRST)
            while not wish.enough():
                self.looked += 1
                self.now += 10.0
                self.script(wish, told)
            told(20, 22)
            return replace(demo_plan(), retired=("searched",))

        return Searches(cast("JobsAtHand", self.jobs), searcher=searcher, background=self.work.append, monotonic=lambda: self.now)

    def run(self) -> None:
        while self.work:
            self.work.pop(0)()


def test_it_is_one_search_for_everybody_and_its_end_stands_as_the_plan_at_hand() -> None:
    stage = Stage()
    searches, at_hand = stage.searches(), stage.jobs.at_hand
    assert searches.search(at_hand) is None
    assert searches.begin(at_hand, seconds=60.0)
    assert not searches.begin(at_hand, seconds=60.0)  # somebody else presses it too
    assert len(stage.work) == 1
    seen = []

    def script(wish: Wish, told: Progress) -> None:
        if stage.looked == 3:
            wish.seen(BETTER)
        seen.append(searches.search(at_hand))

    stage.script = script
    stage.run()
    assert stage.looked == 6  # a minute
    assert [one.phase for one in seen if one is not None] == ["looking"] * 6
    assert [one.best for one in seen if one is not None] == [FIRST] * 2 + [BETTER] * 4
    assert [one.spent for one in seen if one is not None] == [10.0, 20.0, 30.0, 40.0, 50.0, 60.0]
    ended = searches.search(at_hand)
    assert ended is not None
    assert (ended.phase, ended.current, ended.spent, ended.going_on) == ("better", True, 60.0, False)
    assert stage.jobs.plan.retired == ("searched",)
    stage.jobs.plan = demo_plan()  # made anew by whatever changed
    after = searches.search(at_hand)
    assert after is not None
    assert not after.current


def test_stopped_it_keeps_the_best_so_far() -> None:
    stage = Stage()
    searches, at_hand = stage.searches(), stage.jobs.at_hand
    searches.begin(at_hand, seconds=600.0)

    def script(wish: Wish, told: Progress) -> None:
        wish.seen(BETTER)
        searches.enough(at_hand, 1)
        searches.enough(at_hand, 1)  # pressed twice
        going = searches.search(at_hand)
        assert going is not None
        assert going.stopping

    stage.script = script
    stage.run()
    ended = searches.search(at_hand)
    assert ended is not None
    assert (ended.phase, stage.looked, ended.best) == ("better", 1, BETTER)
    searches.enough(at_hand, 1)
    searches.cancel(at_hand, 1)
    assert searches.search(at_hand) == ended  # what is over stays as it is


def test_it_is_better_than_the_one_at_hand_whatever_it_set_out_from() -> None:
    stage = Stage()
    programme = demo_plan().programme
    assert programme is not None
    # The one at hand is longer than what the search sees first, which it got by another order of streets.
    stage.jobs.plan = replace(demo_plan(), programme=replace(programme, shifts=programme.shifts + 9.0))
    searches, at_hand = stage.searches(), stage.jobs.at_hand
    searches.begin(at_hand, seconds=20.0)
    stage.run()
    ended = searches.search(at_hand)
    assert ended is not None
    assert ended.phase == "better"
    assert ended.first is not None
    assert ended.first.shifts == programme.shifts + 9.0


def test_cancelled_it_leaves_the_former_one() -> None:
    stage = Stage()
    searches, at_hand = stage.searches(), stage.jobs.at_hand
    searches.begin(at_hand, seconds=600.0)

    def script(wish: Wish, told: Progress) -> None:
        wish.seen(BETTER)
        searches.cancel(at_hand, 1)
        searches.enough(at_hand, 1)  # too late for that

    stage.script = script
    stage.run()
    ended = searches.search(at_hand)
    assert ended is not None
    assert (ended.phase, ended.current) == ("cancelled", False)
    assert stage.jobs.plan is demo_plan()


def test_a_stop_that_was_meant_for_another_search_does_nothing() -> None:
    stage = Stage()
    searches, at_hand = stage.searches(), stage.jobs.at_hand
    searches.begin(at_hand, seconds=20.0)
    searches.cancel(at_hand, 7)
    stage.run()
    ended = searches.search(at_hand)
    assert ended is not None
    assert (ended.phase, stage.looked) == ("same", 2)


@pytest.mark.parametrize("gone", [False, True])
def test_another_revision_ends_it_and_it_says_so(gone: bool) -> None:
    stage = Stage()
    searches, at_hand = stage.searches(), stage.jobs.at_hand
    searches.begin(at_hand, seconds=600.0)

    def script(wish: Wish, told: Progress) -> None:
        stage.jobs.state = "revision 2"
        if gone:
            stage.jobs.at_hand = cast("JobAtHand", None)

    stage.script = script
    stage.run()
    ended = searches.search(at_hand)
    assert ended is not None
    assert (ended.phase, stage.looked, ended.current) == ("changed", 1, False)
    assert stage.jobs.plan is demo_plan()


def test_a_store_that_does_not_answer_for_a_while_ends_no_search() -> None:
    stage = Stage()
    searches, at_hand = stage.searches(), stage.jobs.at_hand
    searches.begin(at_hand, seconds=30.0)
    asked = []

    def silent(name: str) -> JobAtHand | None:
        asked.append(name)
        if len(asked) < 3:
            raise StoreError("The disk is away.")
        return at_hand

    stage.jobs.job = silent  # type: ignore[method-assign]
    stage.run()
    ended = searches.search(at_hand)
    assert ended is not None
    assert (ended.phase, stage.looked) == ("same", 3)


def test_one_that_waits_is_cancelled_at_once_and_never_begun() -> None:
    stage = Stage()
    searches, at_hand = stage.searches(), stage.jobs.at_hand
    searches.begin(at_hand, seconds=600.0)
    searches.enough(at_hand, 1)
    waiting = searches.search(at_hand)
    assert waiting is not None
    assert waiting.phase == "cancelled"
    assert searches.begin(at_hand, seconds=10.0)
    stage.run()
    ended = searches.search(at_hand)
    assert ended is not None
    assert (ended.number, ended.phase, stage.looked) == (2, "same", 1)


def test_what_goes_wrong_is_told() -> None:
    stage = Stage()
    searches, at_hand = stage.searches(), stage.jobs.at_hand
    searches.begin(at_hand, seconds=600.0)

    def script(wish: Wish, told: Progress) -> None:
        raise ZeroDivisionError

    stage.script = script
    with pytest.raises(ZeroDivisionError, match=r".*"):
        stage.run()
    ended = searches.search(at_hand)
    assert ended is not None
    assert (ended.phase, ended.failed) == ("failed", "It could not be looked for; the log of this program says more.")
    for seconds in (0.0, -1.0, 3601.0, float("nan")):
        assert not searches.begin(at_hand, seconds=seconds)
