"""Entries to bytes and back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import StoreError
from mainwright.store.packing import pack, unpack
from mainwright.workflow.live_ports import LogEntry

_number = st.floats(allow_nan=False, allow_infinity=False)
_value = st.none() | st.booleans() | st.integers() | _number | st.text(max_size=20)
_sensor = st.none() | _number
_reading = st.builds(
    lambda time, number, *values: LogEntry(
        "reading", time, {"number": number, **dict(zip(("odometer", "flow", "pressure", "head_air", "head_speed"), values, strict=True))}
    ),
    _number,
    st.integers(0, 2**63 - 1),
    *[_sensor] * 5,
)
_event = st.builds(LogEntry, st.text(max_size=12), _number, st.dictionaries(st.text(max_size=12), _value, max_size=5))
_entries = st.lists(_reading | _event, max_size=30)


def _bits(entries: list[LogEntry]) -> str:
    """Return all of them told apart to the last bit: -0.0 from 0.0, 1 from 1.0 and True."""
    return repr([(one.kind, one.time, dict(one.values)) for one in entries])


@given(_entries)
def test_what_is_packed_comes_back_bit_for_bit(entries: list[LogEntry]) -> None:
    payload = pack(entries)
    back = list(unpack(payload))
    assert _bits(back) == _bits(entries)
    assert pack(back) == payload


def test_readings_take_few_bytes() -> None:
    readings = [
        LogEntry(
            "reading", 1e9 + n, {"number": n, "odometer": 0.1 * n, "flow": 5e-4, "pressure": None, "head_air": None, "head_speed": None}
        )
        for n in range(1000)
    ]
    assert len(pack(readings)) < 33 * 1000
    counted = [LogEntry("reading", one.time, {**one.values, "strokes": None, "source": 0}) for one in readings]
    assert len(pack(counted)) < 42 * 1000


def test_the_form_of_the_first_release_is_read_for_ever() -> None:
    # Written by hand from the description of the form: version, one segment of text, one of a single reading without its last two channels.
    text = b'[["remark",1.5,{"text":"a"}]]'
    names = b"number,odometer,flow,pressure,head_air,head_speed"
    body = (
        bytes.fromhex("01000000")
        + len(names).to_bytes(2, "little")
        + names
        + b"d"
        + bytes.fromhex("000000000000f03f")
        + b"q"
        + bytes.fromhex("0700000000000000")
    )
    body += b"d" + bytes.fromhex("0000000000000040") + b"m\x01" + bytes.fromhex("000000000000e03f") + b"---"
    payload = b"\x01J" + len(text).to_bytes(4, "little") + text + b"R" + len(body).to_bytes(4, "little") + body
    values = {"number": 7, "odometer": 2.0, "flow": 0.5, "pressure": None, "head_air": None, "head_speed": None}
    assert list(unpack(payload)) == [LogEntry("remark", 1.5, {"text": "a"}), LogEntry("reading", 1.0, values)]


@pytest.mark.parametrize(
    ("payload", "words"),
    [
        (b"", "the form empty"),
        (b"\x02", "the form 02"),
        (b"\x01Z\x00\x00\x00\x00", "segment of a group"),
        (b"\x01R\x07\x00\x00\x00\x01\x00\x00\x00\x00\x00z", "column of readings"),
    ],
)
def test_an_unknown_form_is_told(payload: bytes, words: str) -> None:
    with pytest.raises(StoreError, match=words):
        list(unpack(payload))
