"""Registers to numbers, and which are asked for together."""

import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.feeds.mapping import Place, Word, register_count
from mainwright.feeds.modbus import Block, blocks, register_value

PACKED = {"int16": "h", "uint16": "H", "int32": "i", "uint32": "I", "int64": "q", "uint64": "Q", "float32": "f", "float64": "d"}


@pytest.mark.outside("IEEE 754-2019, binary32 and binary64 of -118.625, 1 and pi as printed in common tables")
@pytest.mark.parametrize(
    ("registers", "word", "value"),
    [
        ([0x3F80, 0x0000], "float32", 1.0),
        ([0xC2ED, 0x4000], "float32", -118.625),
        ([0x4049, 0x0FDB], "float32", 3.1415927410125732),
        ([0x3FF0, 0, 0, 0], "float64", 1.0),
        ([0x4009, 0x21FB, 0x5444, 0x2D18], "float64", 3.141592653589793),
    ],
)
def test_floating_numbers_are_those_of_the_standard(registers: list[int], word: Word, value: float) -> None:
    assert register_value(registers, Place(word=word)) == value


@pytest.mark.parametrize(
    ("high_word_first", "high_byte_first", "registers"),
    [
        (True, True, [0x1234, 0x5678]),
        (False, True, [0x5678, 0x1234]),
        (True, False, [0x3412, 0x7856]),
        (False, False, [0x7856, 0x3412]),
    ],
)
def test_all_four_orders_are_understood(high_word_first: bool, high_byte_first: bool, registers: list[int]) -> None:
    place = Place(word="uint32", high_word_first=high_word_first, high_byte_first=high_byte_first)
    assert register_value(registers, place) == 0x12345678


@pytest.mark.parametrize(("word", "value"), [("int16", -1), ("uint16", 65535), ("int32", -1), ("uint32", 2**32 - 1), ("int64", -1)])
def test_the_sign_is_that_of_the_type(word: Word, value: int) -> None:
    assert register_value([0xFFFF] * register_count(word), Place(word=word)) == value


@given(st.sampled_from(sorted(PACKED)), st.booleans(), st.booleans(), st.data())
def test_what_a_device_packs_is_what_is_read(word: Word, words: bool, byte: bool, data: st.DataObject) -> None:
    registers = data.draw(st.lists(st.integers(0, 65535), min_size=register_count(word), max_size=register_count(word)))
    place = Place(word=word, high_word_first=words, high_byte_first=byte)
    value = register_value(registers, place)
    if value == value and word not in ("int64", "uint64"):  # noqa: PLR0124 - it is not when it is no number
        raw = struct.pack(">" + PACKED[word], value if word.startswith("float") else int(value))
        back = [int.from_bytes(raw[at : at + 2], "big" if byte else "little") for at in range(0, len(raw), 2)]
        assert (back if words else back[::-1]) == registers


def test_neighbours_are_asked_for_together() -> None:
    places = [Place(register=12, word="uint32"), Place(register=10, word="float32"), Place(register=20), Place(table="input", register=14)]
    assert blocks(places) == (Block("holding", 10, 4), Block("holding", 20, 1), Block("input", 14, 1))


@given(
    st.lists(
        st.builds(Place, register=st.integers(0, 400), word=st.sampled_from(sorted(PACKED)), table=st.sampled_from(["holding", "input"]))
    )
)
def test_every_place_lies_in_one_request_that_the_protocol_allows(places: list[Place]) -> None:
    found = blocks(places)
    assert all(1 <= one.count <= 125 for one in found)
    asked = {(one.table, register) for one in found for register in range(one.first, one.first + one.count)}
    wanted = {
        (place.table, register) for place in places for register in range(place.register, place.register + register_count(place.word))
    }
    assert asked == wanted
    for place in places:
        end = place.register + register_count(place.word)
        assert any(one.table == place.table and one.first <= place.register and end <= one.first + one.count for one in found)
