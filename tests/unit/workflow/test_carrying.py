"""A run as one file: out and in again, twice, longer, otherwise, and with any byte changed."""

from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import Conflict, InputError
from mainwright.workflow.carrying import carried_in, carried_out, read_carried, verify_carried
from mainwright.workflow.live_ports import LogEntry, RunKey
from tests.unit.workflow.memory_log import MemoryLog

KEY = RunKey("TL-03", "R01")


def entries(count: int) -> list[LogEntry]:
    return [
        LogEntry("reading", 1.5e9 + number, {"number": number, "odometer": 0.1 * number, "flow": None, "note": "ä"})
        for number in range(count)
    ]


def log_of(count: int, header: str = "plan") -> MemoryLog:
    log = MemoryLog()
    log.begin(KEY, {"of": header}, author="a")
    log.append(KEY, entries(count), after=0)
    return log


def lines(count: int) -> list[str]:
    return list(carried_out(log_of(count), KEY))


@pytest.mark.parametrize("count", [0, 1, 500, 1203])
def test_what_goes_out_comes_in(count: int) -> None:
    other = MemoryLog()
    assert carried_in(other, lines(count), author="b") == (KEY, count, count)
    assert list(other.entries(KEY)) == entries(count)
    assert list(carried_out(other, KEY)) == lines(count)


def test_the_same_once_more_adds_nothing_and_a_longer_one_what_is_new() -> None:
    log = log_of(600)
    assert carried_in(log, lines(600), author="b")[1] == 0
    assert carried_in(log, lines(20), author="b") == (KEY, 0, 600)
    assert carried_in(log, lines(700), author="b") == (KEY, 100, 700)


def test_another_record_of_the_same_run_is_refused_whole() -> None:
    log = log_of(5)
    log.kept[KEY][3] = LogEntry("remark", 1.0, {"text": "other"})
    with pytest.raises(Conflict, match="from entry 4"):
        carried_in(log, lines(9), author="b")
    assert len(log.kept[KEY]) == 5
    with pytest.raises(Conflict, match="another beginning"):
        carried_in(log_of(0, header="other"), lines(9), author="b")


@given(st.integers(0, 10**9), st.integers(1, 255))
def test_any_byte_that_is_changed_is_found(place: int, change: int) -> None:
    data = bytearray("".join(lines(7)).encode())
    data[place % len(data)] ^= change
    changed = bytes(data).decode("utf-8", "replace").splitlines(keepends=True)
    assert not verify_carried(changed, place="file").sound


@given(st.data())
def test_a_line_that_is_missing_doubled_or_moved_is_found(data: st.DataObject) -> None:
    text = lines(1800)
    place = data.draw(st.integers(0, len(text) - 1))
    other = data.draw(st.integers(0, len(text) - 1))
    missing = text[:place] + text[place + 1 :]
    assert not verify_carried(missing, place="file").sound
    doubled = text[: place + 1] + text[place:]
    # After the end nothing is read any more.
    assert place == len(text) - 1 or not verify_carried(doubled, place="file").sound
    if place != other:
        text[place], text[other] = text[other], text[place]
        assert not verify_carried(text, place="file").sound


def test_a_sound_file_tells_where_it_ends() -> None:
    report = verify_carried(lines(7), place="file")
    assert report.sound
    assert report.chains[0].anchor == read_carried(lines(7))[3]


@pytest.mark.parametrize("text", ["", "{}\n", "nonsense\n", '{"hash":"0","of":{"form":"other"}}\n', "[" * 100_000])
def test_what_is_no_file_of_a_run_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="file of a run"):
        read_carried(_lines(text))


def _lines(text: str) -> Iterator[str]:
    yield from text.splitlines(keepends=True)
