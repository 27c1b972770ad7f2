"""Codes that let one device in, and devices that stay known until they are removed."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from mainwright.workflow.pairing import CODE_GOOD_FOR, IDLE, MOST_DEVICES, Pairing, Refused, plain_code

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mainwright.workflow.pairing import Device


class Kept:
    def __init__(self) -> None:
        self.devices: Sequence[Device] = ()

    def load(self) -> Sequence[Device]:
        return self.devices

    def save(self, devices: Sequence[Device]) -> None:
        self.devices = tuple(devices)


class Clock:
    def __init__(self) -> None:
        self.now = datetime(2026, 4, 13, 7, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def kept() -> Kept:
    return Kept()


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def pairing(kept: Kept, clock: Clock) -> Pairing:
    return made(kept, clock)


def made(kept: Kept, clock: Clock, start: int = 1) -> Pairing:
    counter = itertools.count(start)
    return Pairing(kept, clock=clock, random_bytes=lambda size: (next(counter) * 7919).to_bytes(4, "big").rjust(size, b"\x07")[-size:])


def test_a_code_lets_one_device_in_once(pairing: Pairing, kept: Kept) -> None:
    code = pairing.offer("crew")
    device, token = pairing.pair(code.text.lower().replace("-", " "), name="Ben", where="127.0.0.2")
    assert (device.name, device.role) == ("Ben", "crew")
    assert pairing.known(token) == device
    with pytest.raises(Refused, match="wrong"):
        pairing.pair(code.text, name="Eve", where="127.0.0.3")
    assert token not in repr(kept.devices)
    assert len(token) == 64


@pytest.mark.parametrize("text", ["", "-", "AAAA-AAAA", "0", "x" * 1000, "ä", "\x00"])
def test_another_text_is_no_code(pairing: Pairing, text: str) -> None:
    with pytest.raises(Refused, match="wrong"):
        pairing.pair(text, name="Eve", where="a")
    pairing.offer("lead")
    with pytest.raises(Refused, match="wrong"):
        pairing.pair(text, name="Eve", where="b")


def test_a_code_ends(pairing: Pairing, clock: Clock) -> None:
    code = pairing.offer("crew")
    clock.now += CODE_GOOD_FOR
    assert pairing.offered() is None
    with pytest.raises(Refused, match="wrong"):
        pairing.pair(code.text, name="Ben", where="a")


def test_a_new_code_ends_the_former(pairing: Pairing) -> None:
    old, new = pairing.offer("lead"), pairing.offer("viewer")
    assert old.text != new.text
    with pytest.raises(Refused, match="wrong"):
        pairing.pair(old.text, name="Ben", where="a")
    assert pairing.pair(new.text, name="Ben", where="a")[0].role == "viewer"


def test_whoever_guesses_must_wait_and_the_others_need_not(pairing: Pairing, clock: Clock) -> None:
    code = pairing.offer("crew")
    for _ in range(5):
        with pytest.raises(Refused, match="wrong"):
            pairing.pair("AAAA-AAAA", name="Eve", where="a")
    with pytest.raises(Refused, match="wait"):
        pairing.pair(code.text, name="Eve", where="a")
    assert pairing.pair(code.text, name="Ben", where="b")[0].name == "Ben"
    clock.now += timedelta(minutes=10)
    with pytest.raises(Refused, match="wrong"):
        pairing.pair("AAAA-AAAA", name="Eve", where="a")


def test_a_code_at_which_many_guess_ends_and_then_all_wait(pairing: Pairing) -> None:
    code = pairing.offer("lead")
    for number in range(10):
        with pytest.raises(Refused, match="wrong"):
            pairing.pair("AAAA-AAAA", name="Eve", where=f"{number}")
    with pytest.raises(Refused, match="wrong"):
        pairing.pair(code.text, name="Eve", where="new")
    code = pairing.offer("lead")
    for number in range(9):
        with pytest.raises(Refused, match="wrong"):
            pairing.pair("AAAA-AAAA", name="Eve", where=f"x{number}")
    with pytest.raises(Refused, match="wait"):
        pairing.pair(code.text, name="Ben", where="yet another")


def test_devices_outlive_the_program(pairing: Pairing, kept: Kept, clock: Clock) -> None:
    device, token = pairing.pair(pairing.offer("crew").text, name="Ben", where="a")
    again = made(kept, clock, start=100)
    assert again.known(token) == device
    assert again.known(token[:-1] + ("0" if token[-1] != "0" else "1")) is None
    assert again.known(device.digest) is None
    assert again.known("") is None


def test_a_removed_device_is_nobody(pairing: Pairing, kept: Kept) -> None:
    device, token = pairing.pair(pairing.offer("lead").text, name="Ben", where="a")
    assert pairing.remove(device.id) == device
    assert pairing.remove(device.id) is None
    assert pairing.known(token) is None
    assert not pairing.stands(device.id)
    assert kept.devices == ()


def test_a_device_that_stays_away_ends(pairing: Pairing, clock: Clock) -> None:
    _, token = pairing.pair(pairing.offer("crew").text, name="Ben", where="a")
    clock.now += IDLE - timedelta(seconds=1)
    found = pairing.known(token)
    assert found is not None
    assert found.seen == clock.now
    clock.now += IDLE
    assert pairing.known(token) is None
    assert pairing.devices() == []


def test_to_be_let_in_anew_gives_a_new_token_and_ends_the_old(pairing: Pairing) -> None:
    _, first = pairing.pair(pairing.offer("viewer").text, name="Ben", where="a")
    device, second = pairing.pair(pairing.offer("crew").text, name="Ben", where="a", old=first)
    assert first != second
    assert pairing.known(first) is None
    assert pairing.devices() == [device]


def test_so_many_devices_and_no_more(pairing: Pairing) -> None:
    for number in range(MOST_DEVICES):
        pairing.pair(pairing.offer("viewer").text, name="x", where=f"{number}")
    with pytest.raises(Refused, match="full"):
        pairing.pair(pairing.offer("viewer").text, name="x", where="more")


def test_what_is_misread_is_meant() -> None:
    assert plain_code("oil-0-\t1") == "01101"
