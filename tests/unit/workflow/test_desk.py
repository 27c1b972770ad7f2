"""Orders: made once, in the background, stopped cleanly, and nothing half made is handed out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from mainwright.errors import InputError
from mainwright.workflow.desk import Order, Orders

if TYPE_CHECKING:
    from collections.abc import Callable

    from mainwright.workflow.ports import Progress


class Later:
    """Does work when it is told to."""

    def __init__(self) -> None:
        self.work: list[Callable[[], None]] = []

    def __call__(self, work: Callable[[], None], /) -> None:
        self.work.append(work)

    def all(self) -> None:
        while self.work:
            self.work.pop(0)()


def test_made_once_and_then_handed_out() -> None:
    later, made = Later(), []

    def make(told: Progress) -> bytes:
        told(1, 2)
        made.append(orders.state("a"))
        return b"whole"

    orders = Orders(later)
    assert orders.state("a") is None
    orders.ask("a", make)
    orders.ask("a", make)
    assert orders.state("a") == Order(0.0)
    later.all()
    orders.ask("a", make)
    later.all()
    assert made == [Order(0.5)]
    assert orders.state("a") == Order(1.0, content=b"whole")


def test_stopped_before_it_began_nothing_is_made() -> None:
    later, made = Later(), []
    orders = Orders(later)
    orders.ask("a", lambda told: made.append(told) or b"")  # type: ignore[func-returns-value]
    orders.stop("a")
    later.all()
    assert not made
    assert orders.state("a") is None


def test_stopped_on_the_way_nothing_is_kept_and_it_can_be_asked_for_again() -> None:
    later, steps = Later(), []
    orders = Orders(later)

    def make(told: Progress) -> bytes:
        for step in range(5):
            told(step, 5)
            steps.append(step)
            if step == 2 and len(steps) == 3:
                orders.stop("a")
        return b"whole"

    orders.ask("a", make)
    later.all()
    assert steps == [0, 1, 2]
    assert orders.state("a") is None
    orders.ask("a", make)
    later.all()
    assert orders.state("a") == Order(1.0, content=b"whole")


def test_stopped_at_the_last_moment_the_content_is_not_kept() -> None:
    later = Later()
    orders = Orders(later)

    def make(_told: Progress) -> bytes:
        orders.stop("a")
        return b"whole"

    orders.ask("a", make)
    later.all()
    assert orders.state("a") is None


def test_what_failed_says_why_and_is_tried_again() -> None:
    later = Later()
    orders = Orders(later)

    def fails(_told: Progress) -> bytes:
        raise InputError("bore", -1.0, "m", "more than 0")

    orders.ask("a", fails)
    later.all()
    state = orders.state("a")
    assert state is not None
    assert state.failed is not None
    assert "bore" in state.failed
    orders.ask("a", lambda _told: b"whole")
    later.all()
    assert orders.state("a") == Order(1.0, content=b"whole")


def test_a_slip_of_ours_is_not_hidden_but_the_order_ends() -> None:
    later = Later()
    orders = Orders(later)

    def slips(_told: Progress) -> bytes:
        raise ZeroDivisionError

    orders.ask("a", slips)
    with pytest.raises(ZeroDivisionError):
        later.all()
    state = orders.state("a")
    assert state is not None
    assert not state.going_on


def test_only_so_many_are_kept_and_none_that_is_going_on_is_lost() -> None:
    later = Later()
    orders = Orders(later)
    orders.ask("first", lambda _told: b"")
    held = later.work.pop()
    for number in range(100):
        orders.ask(number, lambda _told: b"1")
        later.all()
    assert sum(orders.state(number) is not None for number in range(100)) < 100
    assert orders.state(99) == Order(1.0, content=b"1")
    held()
    assert orders.state("first") == Order(1.0, content=b"")
