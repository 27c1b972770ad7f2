"""Texts and numbers of senders to readings in SI."""

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.feeds.decode import Decoded, Raw, decode, identity, number_in, time_in
from mainwright.feeds.mapping import Place, TimeRule
from mainwright.feeds.unreadable import Unreadable
from tests.unit.feeds.rig import NOON, mapped

MAPPING = mapped(
    '[[feed]]\nsource = "a"\nkind = "csv"\npath = "x"\n[feed.number]\ncolumn = "n"\n[feed.time]\ncolumn = "t"\nformat = "unix_ms"\n'
    '[feed.channels.odometer]\ncolumn = "way"\nunit = "mm"\nscale = 2.0\noffset = 100.0\nabsent = [-1]\n'
    '[feed.channels.flow]\ncolumn = "flow"\nunit = "l_min"\n'
)


def look(cells: dict[str, Raw]) -> Decoded:
    def at(place: Place) -> Raw:
        if place.name not in cells:
            raise Unreadable("no {key}", key=place.name)
        return cells[place.name]

    return decode(MAPPING, at, arrived=NOON, source="a")


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_number_is_read_as_it_is_written(value: float) -> None:
    assert number_in(repr(value), comma=False) == value
    assert number_in(repr(value).replace(".", ","), comma=True) == value


@pytest.mark.parametrize("text", ["", "1,5", "nan", "inf", "1e999", "0x10", "1_000", "1 000", "12.5 l", "--1", "1.2.3", "٣"])
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(Unreadable, match="no number"):
        number_in(text, comma=False)


@pytest.mark.parametrize("text", ["1.234,5", "1,234,5"])
def test_thousands_are_not_guessed(text: str) -> None:
    with pytest.raises(Unreadable, match="no number"):
        number_in(text, comma=True)


@given(st.datetimes(datetime(1971, 1, 1), datetime(2100, 1, 1)), st.integers(-14 * 60, 14 * 60))  # noqa: DTZ001 - the zone is added below
def test_a_time_is_the_same_in_every_way_of_writing(plain: datetime, minutes: int) -> None:
    zone = timezone(timedelta(minutes=minutes))
    moment = plain.replace(microsecond=0, tzinfo=zone)
    place = Place(name="t")
    assert time_in(moment.isoformat(), TimeRule(place, "iso", None)) == moment
    assert time_in(moment.replace(tzinfo=None).isoformat(), TimeRule(place, "iso", zone)) == moment
    assert time_in(moment.timestamp(), TimeRule(place, "unix_s", None)) == moment
    assert time_in(repr(moment.timestamp() * 1000.0), TimeRule(place, "unix_ms", None)) == moment
    assert time_in(moment.isoformat(), TimeRule(place, "iso", None)).tzinfo is UTC


@pytest.mark.parametrize(("raw", "form"), [("2026-05-04T12:00:00", "iso"), ("noon", "iso"), (1e300, "unix_s"), ("x", "unix_s")])
def test_what_is_no_time_is_refused(raw: str | float, form: str) -> None:
    with pytest.raises(Unreadable, match=r"does not say|no time|no number"):
        time_in(raw, TimeRule(Place(), form, None))  # type: ignore[arg-type]


def test_a_reading_is_in_si_and_utc() -> None:
    made = look({"n": 7.0, "t": NOON.timestamp() * 1000.0, "way": "1500", "flow": 30.0})
    assert made.reading is not None
    assert (made.reading.time, made.reading.number) == (NOON, identity(NOON, 7))
    assert made.reading.values == {"odometer": pytest.approx(3.1), "flow": pytest.approx(0.0005)}
    assert made.unreadable == ()


@pytest.mark.parametrize(
    ("cells", "values", "faults"),
    [
        ({"n": 1.0, "t": 0.0, "way": None, "flow": 60.0}, {"flow"}, 0),
        ({"n": 1.0, "t": 0.0, "way": -1.0, "flow": 60.0}, {"flow"}, 0),
        ({"n": 1.0, "t": 0.0, "way": "?", "flow": 60.0}, {"flow"}, 1),
        ({"n": 1.0, "t": 0.0, "flow": 60.0}, {"flow"}, 1),
        ({"n": 1.0, "t": 0.0, "way": "?", "flow": float("nan")}, None, 2),
        ({"n": 1.5, "t": 0.0, "way": 1.0, "flow": 60.0}, None, 1),
        ({"n": None, "t": 0.0, "way": 1.0, "flow": 60.0}, None, 1),
        ({"n": 1.0, "t": None, "way": 1.0, "flow": 60.0}, None, 1),
        ({"n": 1.0, "t": 0.0, "way": None, "flow": None}, None, 0),
    ],
)
def test_what_cannot_be_read_is_left_out_and_told(cells: dict[str, Raw], values: set[str] | None, faults: int) -> None:
    made = look(cells)
    assert len(made.unreadable) == faults
    assert (None if made.reading is None else set(made.reading.values)) == values
