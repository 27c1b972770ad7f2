"""A writer that is killed at any moment loses nothing that it acknowledged."""

import random
import subprocess
import sys
from contextlib import closing
from typing import TYPE_CHECKING

import pytest

from mainwright.errors import StoreError
from mainwright.store.store import DatabaseStore, verify_store
from tests.contract.conftest import SteadyClock
from tests.contract.killing import KEY, check_numbers, group_of, kill_at_random

if TYPE_CHECKING:
    from mainwright.workflow.live_ports import LogEntry


@pytest.mark.parametrize("times", [20, pytest.param(200, marks=pytest.mark.slow)])
def test_nothing_acknowledged_is_lost_and_nothing_doubled(store_place: str, times: int) -> None:
    random_ = random.Random(7)
    acknowledged = 0
    for _ in range(times):
        killed = kill_at_random(store_place, random_, longest=0.15)
        assert killed.found >= acknowledged
        acknowledged = max(killed.acknowledged, killed.found)
    assert verify_store(store_place).sound
    with DatabaseStore(store_place, clock=SteadyClock()) as store:
        entries = list(store.log.entries(KEY))
        check_numbers(entries, acknowledged=acknowledged)
        assert entries == group_of(0, len(entries))
        assert store.verify().sound
    assert acknowledged > times


def test_a_store_that_would_lose_is_found_out(store_place: str) -> None:
    """The check itself: a lost and a doubled entry do not pass it."""
    whole = group_of(0, 10)
    check_numbers(whole, acknowledged=10)
    lost: list[tuple[list[LogEntry], int]] = [(whole[:9], 10), ([*whole[:5], *whole[4:]], 10), (whole[1:], 9)]
    for entries, acknowledged in lost:
        with pytest.raises(AssertionError):
            check_numbers(entries, acknowledged=acknowledged)


def test_a_store_that_is_being_made_when_it_is_killed(store_place: str) -> None:
    """Killed while the tables are made, it is empty or a store, never half of one."""
    random_ = random.Random(3)
    command = [sys.executable, "-c", f"from tests.contract.killing import write; write({store_place!r}, 1)"]
    for _ in range(6):
        child = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)  # noqa: S603
        try:
            child.wait(random_.uniform(0.3, 1.2))
        except subprocess.TimeoutExpired:
            child.kill()
            child.wait()
    with closing(DatabaseStore(store_place, clock=SteadyClock())) as store:
        try:
            entries = list(store.log.entries(KEY))
        except StoreError:
            entries = []
        check_numbers(entries, acknowledged=0)
        assert store.verify().sound
