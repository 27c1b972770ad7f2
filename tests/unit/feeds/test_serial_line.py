"""Lines of a serial port: sentences with a checksum, and patterns."""

from itertools import pairwise
from threading import Event

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.feeds.mapping import SerialSource
from mainwright.feeds.outlet import Outlet
from mainwright.feeds.serial_line import SerialLines, sentence_fields
from mainwright.feeds.unreadable import Unreadable
from tests.unit.feeds.rig import Bench, mapped

GGA = "GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,"
"""The example of this sentence that descriptions of NMEA 0183 commonly print, with its checksum 47."""

SENTENCES = """
[[feed]]
source = "rig"
kind = "serial"
port = "p"
format = "sentences"
sentence = "GPGGA"
[feed.channels.odometer]
field = 9
unit = "m"
"""
PATTERN = """
[[feed]]
source = "rig"
kind = "serial"
port = "p"
format = "pattern"
pattern = 'L=(?P<way>[0-9.]+)( Q=(?P<flow>[0-9.]+))?'
[feed.channels.odometer]
group = "way"
unit = "m"
[feed.channels.flow]
group = "flow"
unit = "l_min"
"""


def lines(text: str, bench: Bench) -> SerialLines:
    mapping = mapped(text)
    assert isinstance(mapping.origin, SerialSource)
    return SerialLines(mapping, mapping.origin, Outlet("rig", mapping.limits, bench.desk))


def values(bench: Bench) -> list[dict[str, float]]:
    return [dict(one.reading.values) for one in bench.inbox.take(1000, timeout=0.0)]  # type: ignore[arg-type]


@pytest.mark.outside("NMEA 0183, example of a GGA sentence as it is commonly printed, checksum 47")
def test_the_checksum_is_that_of_the_published_sentence() -> None:
    assert sentence_fields(f"${GGA}*47", checksum=True)[:3] == ("GPGGA", "123519", "4807.038")


@pytest.mark.parametrize(
    ("text", "why"),
    [
        (f"${GGA}*48", "is 47, not 48"),
        (f"${GGA}", "has no checksum"),
        (f"{GGA}*47", "is no sentence"),
        (f"$A$${GGA}*47", "is no sentence"),
        (f"${GGA}*4", "is no sentence"),
        ("$Ä*00", "is no sentence"),
        ("", "is no sentence"),
    ],
)
def test_what_is_no_sentence_is_refused(text: str, why: str) -> None:
    with pytest.raises(Unreadable, match=why):
        sentence_fields(text, checksum=True)


def test_a_checksum_may_be_left_out_where_the_mapping_allows_it_and_is_checked_all_the_same() -> None:
    assert sentence_fields("$A,1", checksum=False) == ("A", "1")
    with pytest.raises(Unreadable, match="checksum"):
        sentence_fields("$A,1*00", checksum=False)


@given(st.text(st.characters(min_codepoint=32, max_codepoint=126, exclude_characters="$!*"), min_size=1), st.data())
def test_one_wrong_character_is_noticed(body: str, data: st.DataObject) -> None:
    made = 0
    for character in body.encode():
        made ^= character
    assert sentence_fields(f"${body}*{made:02x}", checksum=True) == tuple(body.split(","))
    at = data.draw(st.integers(0, len(body) - 1))
    other = data.draw(st.characters(min_codepoint=32, max_codepoint=126, exclude_characters="$!*" + body[at]))
    with pytest.raises(Unreadable, match="checksum"):
        sentence_fields(f"${body[:at]}{other}{body[at + 1 :]}*{made:02X}", checksum=True)


@given(st.lists(st.integers(0, 200)), st.sampled_from([b"\r\n", b"\n", b"\r"]))
def test_lines_are_the_same_however_they_are_cut(cuts: list[int], end: bytes) -> None:
    bench = Bench()
    reader = lines(SENTENCES, bench)
    whole = b"rest" + end + (f"${GGA}*47".encode() + end) * 3
    places = sorted({0, len(whole), *(cut for cut in cuts if cut < len(whole))})
    for first, last in pairwise(places):
        assert reader.take(whole[first:last], Event())
    assert values(bench) == [{"odometer": 545.4}] * 3
    assert bench.signals == []


def test_half_a_line_at_the_beginning_is_not_a_reading() -> None:
    bench = Bench()
    reader = lines(PATTERN.replace("L=", ""), bench)
    reader.take(b"2.5\r\n112.5\r\n", Event())
    assert values(bench) == [{"odometer": 112.5}]


def test_a_pattern_fits_the_whole_line_and_a_group_may_be_absent() -> None:
    bench = Bench()
    reader = lines(PATTERN, bench)
    reader.take(b"\nL=1.5 Q=30\nL=2.5\nL=3.5 Q=3x\n", Event())
    assert values(bench) == [{"odometer": 1.5, "flow": pytest.approx(0.0005)}, {"odometer": 2.5}]
    assert len([text for text in bench.texts() if "does not fit the pattern" in text]) == 1


def test_another_sentence_is_no_fault_and_a_short_one_is() -> None:
    bench = Bench()
    reader = lines(SENTENCES.replace("GPGGA", "A"), bench)
    reader.take(b"\n$B,1*5F\n$A,1*5C\n", Event())
    assert values(bench) == []
    assert "the sentence has no field 9" in "".join(bench.texts())


def test_noise_is_told_once_and_counted() -> None:
    bench = Bench()
    reader = lines(SENTENCES, bench)
    for _ in range(50):
        assert reader.take(b"\xf0\x0f" * 4000 + b"\n", Event())
    assert bench.kinds() == ["unreadable"]
    reader.take(f"\n${GGA}*47\n".encode(), Event())
    assert values(bench) == [{"odometer": 545.4}]


@given(st.lists(st.binary(max_size=60), max_size=10), st.sampled_from([SENTENCES, PATTERN]))
def test_no_bytes_break_a_line(noise: list[bytes], text: str) -> None:
    bench = Bench()
    reader = lines(text, bench)
    for some in noise:
        assert reader.take(some, Event())
    reader.take(f"\n${GGA}*47\nL=545.4\n".encode(), Event())
    assert values(bench)[-1] == {"odometer": 545.4}
