"""The chain of hashes."""

import hashlib

from hypothesis import given
from hypothesis import strategies as st

from mainwright.store.chain import CHAIN_START, birth_link, block_link, link, record_link, revision_link, run_link

_part = st.binary(max_size=4) | st.text(max_size=4) | st.integers(-5, 300) | st.none()


@given(st.lists(_part, max_size=3), st.lists(_part, max_size=3))
def test_only_the_same_parts_give_the_same_hash(one: list[bytes | str | int | None], two: list[bytes | str | int | None]) -> None:
    assert (link(CHAIN_START, *one) == link(CHAIN_START, *two)) == ([(type(x), x) for x in one] == [(type(x), x) for x in two])


def test_a_link_by_hand() -> None:
    # SHA-256 over the hash before, then for each part one letter for its kind, its length in 8 bytes, and itself.
    parts = b"t" + (7).to_bytes(8, "big") + b"entries" + b"i" + (8).to_bytes(8, "big") + b"12345678" + b"i" + (1).to_bytes(8, "big") + b"2"
    parts += b"b" + (3).to_bytes(8, "big") + b"abc"
    assert block_link(CHAIN_START, last=12345678, entries=2, payload=b"abc") == hashlib.sha256(bytes(32) + parts).digest()


def test_kinds_of_links_are_told_apart() -> None:
    made = {
        birth_link(CHAIN_START, number=1, kind="a", name="b"),
        run_link(name="a", header="b", author="c", time="d"),
        block_link(CHAIN_START, last=1, entries=1, payload=b""),
        revision_link(CHAIN_START, place=1, revision="a", name="b", document="c", author="d", time="e"),
        record_link(CHAIN_START, place=1, kind="a", row=None, author="d", time="e", method="", revision=None, corrects=None),
        record_link(CHAIN_START, place=1, kind="a", row="", author="d", time="e", method="", revision=None, corrects=None),
    }
    assert len(made) == 6
