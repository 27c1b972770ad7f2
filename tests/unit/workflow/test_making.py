"""What takes a while is made once, can be stopped, and does not stand in the way of what is wanted now."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.errors import MainwrightError
from mainwright.workflow.making import Making, Makings

if TYPE_CHECKING:
    from collections.abc import Callable

    from mainwright.workflow.ports import Progress


class Later:
    """Does work when it is told to."""

    def __init__(self) -> None:
        self.work: list[Callable[[], None]] = []

    def __call__(self, work: Callable[[], None], /) -> None:
        self.work.append(work)

    def do(self) -> None:
        while self.work:
            self.work.pop(0)()


def ten_steps(told: Progress | None) -> str:
    assert told is not None
    for done in range(10):
        told(done, 10)
    return "made"


def test_it_is_made_once_and_kept() -> None:
    later: Later = Later()
    makings: Makings[str] = Makings(later)
    assert makings.get("a", ten_steps) == Making(0.0)
    assert makings.get("a", ten_steps) == Making(0.0)
    assert len(later.work) == 1
    later.do()
    assert makings.get("a", ten_steps) == "made"


def test_what_is_stopped_ends_at_its_next_step_and_is_made_anew_when_asked() -> None:
    later: Later = Later()
    makings: Makings[str] = Makings(later)
    steps: list[int] = []

    def stopped_half_way(told: Progress | None) -> str:
        assert told is not None
        for done in range(10):
            if done == 5:
                makings.stop("a")
            told(done, 10)
            steps.append(done)
        return "made"

    makings.get("a", stopped_half_way)
    later.do()
    assert steps == [0, 1, 2, 3, 4]
    assert makings.get("a", ten_steps) == Making(0.0, stopped=True)
    makings.forget("a")
    makings.get("a", ten_steps)
    later.do()
    assert makings.get("a", ten_steps) == "made"
    makings.stop("a")
    makings.forget("a")
    assert makings.get("a", ten_steps) == "made"  # what is there stays


def test_what_nobody_wants_any_more_does_not_hold_up_what_is_wanted_now() -> None:
    later: Later = Later()
    makings: Makings[str] = Makings(later)
    makings.get("old", ten_steps)
    makings.keep_only({"new"})
    makings.get("new", ten_steps)
    later.do()
    assert makings.peek("old") is None
    assert makings.get("new", ten_steps) == "made"
    # Nothing of the old one is left: asked for again, it is begun again.
    assert makings.get("old", ten_steps) == Making(0.0)


def test_what_went_wrong_is_told_until_it_is_forgotten() -> None:
    later: Later = Later()
    makings: Makings[str] = Makings(later)

    def wrong(_told: Progress | None) -> str:
        raise MainwrightError("The pit is full of water.")

    makings.get("a", wrong)
    later.do()
    assert makings.get("a", ten_steps) == Making(0.0, "The pit is full of water.")
    makings.stop("a")
    assert makings.get("a", ten_steps) == Making(0.0, "The pit is full of water.")
    makings.forget("a")
    assert makings.get("a", ten_steps) == Making(0.0)


def test_something_better_takes_the_place_of_what_was_made_and_of_nothing_else() -> None:
    later: Later = Later()
    makings: Makings[str] = Makings(later)
    assert not makings.replace("a", "better")
    makings.get("a", ten_steps)
    assert not makings.replace("a", "better")  # it is being made: what is better than that nobody knows
    later.do()
    assert makings.replace("a", "better")
    assert makings.get("a", ten_steps) == "better"
