"""Files in a store: in pieces, once each, and found out where they are changed."""

import random
from collections.abc import Iterator

import pytest
from sqlalchemy import delete, func, select, update

from mainwright.errors import InputError, NotFound, StoreError
from mainwright.job.document import Document
from mainwright.store import files
from mainwright.store.engine import connect
from mainwright.store.store import DatabaseStore, verify_store
from mainwright.store.tables import pieces
from mainwright.workflow.store_ports import NewRecord


@pytest.fixture(autouse=True)
def small_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(files, "PIECE", 1000)


def _content(size: int) -> bytes:
    return random.Random(size).randbytes(size)


def _parts(content: bytes, step: int) -> Iterator[bytes]:
    return (content[first : first + step] for first in range(0, len(content), step))


def _count(place: str) -> int:
    engine = connect(place)
    with engine.connect() as connection:
        found = connection.execute(select(func.count()).select_from(pieces)).scalar_one()
    engine.dispose()
    return int(found)


@pytest.mark.parametrize("size", [0, 1, 999, 1000, 1001, 5500])
@pytest.mark.parametrize("step", [1, 700, 10_000])
def test_a_file_comes_back_whatever_its_size_and_however_it_is_read(store: DatabaseStore, size: int, step: int) -> None:
    content = _content(size)
    kept = store.files.put(lambda: _parts(content, step), name="a.png")
    assert kept.size == size
    assert b"".join(store.files.read(kept.digest)) == content


def test_the_same_file_is_kept_once(store: DatabaseStore, store_place: str) -> None:
    content = _content(5500)
    first = store.files.put(lambda: [content], name="a.png")
    assert store.files.put(lambda: _parts(content, 7), name="b.png") == first
    assert _count(store_place) == 6


def test_a_file_that_was_kept_half_is_gone_on_with(store: DatabaseStore, store_place: str) -> None:
    content = _content(5500)

    class Broken(Exception):
        pass

    asked = 0

    def broken() -> Iterator[bytes]:
        nonlocal asked
        asked += 1
        for number, part in enumerate(_parts(content, 500)):
            if asked == 2 and number == 7:
                raise Broken
            yield part

    with pytest.raises(Broken):
        store.files.put(broken, name="a.png")
    assert _count(store_place) == 3
    kept = store.files.put(lambda: [content], name="a.png")
    assert b"".join(store.files.read(kept.digest)) == content


def test_a_file_that_changes_while_it_is_read_is_refused(store: DatabaseStore) -> None:
    given = iter([[b"first"], [b"other"]])
    with pytest.raises(InputError, match="nobody changes"):
        store.files.put(lambda: next(given), name="a.png")


def test_a_file_that_is_too_large_is_refused(store: DatabaseStore, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(files, "LARGEST", 10)
    with pytest.raises(InputError, match=r"rings\.parquet with more than 10 bytes"):
        store.files.put(lambda: [b"12345678901"], name="rings.parquet")


def test_what_is_not_here_and_what_was_changed(store: DatabaseStore, store_place: str) -> None:
    content = _content(2500)
    with pytest.raises(NotFound, match="is not here"):
        list(store.files.read("ab" * 32))
    kept = store.files.put(lambda: [content], name="a.png")
    with store.transaction() as shelf:
        shelf.put(Document({"job": [{"reference": "A", "name": "Main"}]}), author="a")
        shelf.add_records(
            "A", [NewRecord("file", {"name": "a.png", "sha256": kept.digest, "bytes": kept.size})], author="a", method="typed"
        )
    assert verify_store(store_place).sound
    engine = connect(store_place)
    for change, said in (
        (update(pieces).where(pieces.c.number == 1).values(data=b"x" * 1000), "file a.png: its content was changed"),
        (delete(pieces).where(pieces.c.number == 2), "file a.png: its content was changed, or a piece of it is missing"),
        (delete(pieces), "file a.png is missing"),
    ):
        with engine.begin() as connection:
            connection.execute(change)
        assert any(one.startswith(said) for one in verify_store(store_place).broken), said
        with pytest.raises((StoreError, NotFound)):
            list(store.files.read(kept.digest))
    engine.dispose()
