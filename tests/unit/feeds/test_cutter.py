"""Bytes into lines."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from mainwright.feeds.cutter import Cutter


@given(st.lists(st.text("ab\n", max_size=30).map(str.encode), max_size=10), st.lists(st.integers(0, 300)))
def test_lines_do_not_depend_on_the_pieces_and_stand_where_they_say(parts: list[bytes], cuts: list[int]) -> None:
    whole = b"".join(parts)
    places = sorted({0, len(whole), *(cut for cut in cuts if cut < len(whole))})
    cutter, found = Cutter(5), []
    for first, last in pairwise(places):
        found += cutter.cut(whole[first:last])
        assert len(cutter.rest) <= 5
    assert cutter.read == len(whole)
    expected, at = [], 0
    for line in whole.split(b"\n")[:-1]:
        expected.append((at, line if len(line) <= 5 else None))
        at += len(line) + 1
    if len(whole) - at > 5:
        expected.append((at, None))
    assert found == expected


def test_a_line_that_began_before_is_dropped() -> None:
    cutter = Cutter(5, from_middle=True)
    assert cutter.cut(b"x" * 20) == []
    assert cutter.cut(b"x\nab\n") == [(22, b"ab")]
