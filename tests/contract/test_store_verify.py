"""Whatever is changed in a store behind its back is found, and its place is told."""

import itertools
import random
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from functools import partial
from pathlib import Path

import pytest
from sqlalchemy import Column, ColumnElement, Connection, Engine, Table, and_, delete, insert, select, text, update
from sqlalchemy.exc import IntegrityError

from mainwright.errors import NotFound, StoreError
from mainwright.job.document import Document
from mainwright.store.engine import connect
from mainwright.store.store import DatabaseStore, verify_store
from mainwright.store.tables import METADATA, blocks, chains, records, revisions, runs
from mainwright.store.verify import verify
from mainwright.workflow.deeds import Deed
from mainwright.workflow.live_ports import LogEntry, RunKey
from mainwright.workflow.store_ports import NewRecord, Report
from tests.contract.conftest import SteadyClock
from tests.contract.test_store_run_log import event, reading

KEYS = (RunKey("A", "R1"), RunKey("B", "R1"))


def fill(store: DatabaseStore) -> None:
    with store.transaction() as shelf:
        for job in ("A", "B"):
            for client in ("x", "y"):
                shelf.put(Document({"job": [{"reference": job, "name": "Main", "client": client}]}), author="a")
            rows = [NewRecord("batches", {"run": "R1", "batch": str(number)}) for number in range(3)]
            shelf.add_records(job, [*rows, NewRecord("batches", None, corrects=2)], author="a", method="typed")
    for name, content in (("one.png", b"one"), ("two.png", b"two two")):
        kept = store.files.put(lambda content=content: [content], name=name)  # type: ignore[misc]
        with store.transaction() as shelf:
            cells = {"name": name, "sha256": kept.digest, "bytes": kept.size}
            shelf.add_records("A", [NewRecord("file", cells)], author="a", method="typed")
    store.deeds.add(Deed("saved", "a", "lead", "local", "127.0.0.1", "A", "x", "y", "all"))
    store.deeds.add(Deed("refused", "b", "crew", "c", "127.0.0.2", "A", "x", "y", "more"))
    for key in KEYS:
        store.log.begin(key, {"revision": "ab"}, author="a")
        given: list[LogEntry] = [event("begins"), *(reading(number) for number in range(1, 8)), event("ends")]
        for first, last in ((0, 1), (1, 4), (4, 8), (8, 9)):
            store.log.append(key, given[first:last], after=first)


@pytest.fixture
def filled(store_place: str) -> str:
    with DatabaseStore(store_place, clock=SteadyClock()) as store:
        fill(store)
    return store_place


@contextmanager
def behind_its_back(place: str) -> Iterator[Callable[[Callable[[Connection], object]], Report]]:
    """Give a function that makes a change, verifies, and takes the change back."""
    engine: Engine = connect(place)

    def look(change: Callable[[Connection], object]) -> Report:
        with engine.connect() as connection:
            # Whoever does such a thing does not let himself be stopped by a foreign key.
            if engine.dialect.name == "sqlite":
                connection.connection.driver_connection.execute("PRAGMA foreign_keys = OFF")  # type: ignore[union-attr]
            with connection.begin() as transaction:
                if engine.dialect.name != "sqlite":
                    connection.execute(text("SET LOCAL session_replication_role = replica"))
                change(connection)
                report = verify(connection, place=place)
                transaction.rollback()
        return report

    try:
        yield look
    finally:
        engine.dispose()


def rows_of(place: str, table: Table) -> list[dict[str, object]]:
    engine = connect(place)
    with engine.connect() as connection:
        found = [dict(row._mapping) for row in connection.execute(select(table))]
    engine.dispose()
    return found


def is_row(table: Table, row: dict[str, object]) -> ColumnElement[bool]:
    return and_(*(column == row[column.name] for column in table.primary_key.columns))


def changed(value: object, random_: random.Random) -> object:
    """Return a value with one byte changed."""
    if value is None:
        return 1
    if isinstance(value, int):
        return value ^ (1 << random_.randrange(8))
    assert isinstance(value, str | bytes)
    place = random_.randrange(len(value)) if value else 0
    if isinstance(value, str):
        return value[:place] + chr(33 + (ord(value[place]) + 7) % 90) + value[place + 1 :] if value else "x"
    data = bytearray(value)
    data[place] ^= 1 << random_.randrange(8)
    return bytes(data)


def cells() -> list[Column[object]]:
    return [column for table in METADATA.tables.values() for column in table.columns]


def test_a_whole_store_is_sound(filled: str) -> None:
    seen: list[tuple[int, int]] = []
    with DatabaseStore(filled, clock=SteadyClock()) as store:
        report = store.verify(progress=lambda done, of: seen.append((done, of)))
        assert report.sound
        assert [(one.kind, one.what) for one in report.chains] == [
            ("job", "job A"),
            ("records", "records of job A"),
            ("job", "job B"),
            ("records", "records of job B"),
            ("deeds", "who did what"),
            ("run", "run R1 of job A"),
            ("run", "run R1 of job B"),
        ]
        assert [one.anchor and one.anchor.count for one in report.chains] == [2, 6, 2, 4, 2, 9, 9]
        assert report.chains[5].anchor == store.log.anchor(KEYS[0])
    assert seen[-1] == (7, 7)
    assert verify_store(filled).sound


def test_any_byte_that_is_changed_is_found(filled: str) -> None:
    random_ = random.Random(1)
    with behind_its_back(filled) as look:
        assert look(lambda connection: None).sound
        for column in cells():
            table = column.table
            assert isinstance(table, Table)
            tried = 0
            for row in rows_of(filled, table):
                new = changed(row[column.name], random_)
                change = update(table).where(is_row(table, row)).values({column.name: new})
                try:
                    report = look(partial(Connection.execute, statement=change))
                except IntegrityError:
                    continue
                tried += 1
                assert not report.sound, f"{column} of {row} as {new!r}"
            assert tried, column


@pytest.mark.parametrize("table", METADATA.tables.values(), ids=str)
def test_any_row_that_is_missing_is_found(filled: str, table: Table) -> None:
    with behind_its_back(filled) as look:
        for row in rows_of(filled, table):
            assert not look(partial(Connection.execute, statement=delete(table).where(is_row(table, row)))).sound, row


@pytest.mark.parametrize("table", [revisions, records, blocks], ids=str)
def test_rows_in_another_order_are_found(filled: str, table: Table) -> None:
    place = "last" if table is blocks else "place"
    order = table.c[place]
    with behind_its_back(filled) as look:
        rows = [row for row in rows_of(filled, table) if row["chain"] == rows_of(filled, table)[0]["chain"]]
        for one, two in itertools.pairwise(rows):

            def swap(connection: Connection, one: dict[str, object] = one, two: dict[str, object] = two) -> None:
                connection.execute(update(table).where(is_row(table, one)).values({place: 1000}))
                connection.execute(update(table).where(is_row(table, two)).values({place: one[place]}))
                connection.execute(update(table).where(order == 1000).values({place: two[place]}))

            assert not look(swap).sound


@pytest.mark.parametrize("table", [revisions, records, blocks], ids=str)
def test_rows_that_were_added_are_found(filled: str, table: Table) -> None:
    place = "last" if table is blocks else "place"
    with behind_its_back(filled) as look:
        last = rows_of(filled, table)[-1]
        for shift in (1, 5):
            new = {**last, place: last[place] + shift}  # type: ignore[operator]
            assert not look(partial(Connection.execute, statement=insert(table).values(**new))).sound
        stranger = {**last, "chain": 77}
        assert any(
            "chain 77 that is not there" in told
            for told in look(lambda connection: connection.execute(insert(table).values(**stranger))).broken
        )


def test_it_says_which_run_and_place(filled: str) -> None:
    (run,) = [row for row in rows_of(filled, runs) if row["job"] == "B"]
    number = run["chain"]
    in_run = blocks.c.chain == number
    with behind_its_back(filled) as look:

        def told(change: Callable[[Connection], object]) -> list[str]:
            return [f"{one.what}: {fault}" for one in look(change).chains for fault in one.broken]

        assert told(lambda c: c.execute(update(blocks).where(in_run, blocks.c.last == 4).values(payload=b"\x01"))) == [
            "run R1 of job B: entry 2 to 4 was changed, or what stands before it"
        ]
        assert told(lambda c: c.execute(delete(blocks).where(in_run, blocks.c.last == 4))) == ["run R1 of job B: entry 2 to 4 missing"]
        assert told(lambda c: c.execute(delete(blocks).where(in_run, blocks.c.last > 4))) == [
            "run R1 of job B: the chain ends at entry 4, and it was noted that it ends at 9: the end was cut off or added to"
        ]
        assert told(lambda c: c.execute(update(runs).where(runs.c.chain == number).values(header='{"revision":"ac"}'))) == [
            "run R1 of job B: what the run was meant to be was changed"
        ]
        assert told(lambda c: c.execute(update(records).where(records.c.place == 3).values(row="{}")))[1] == (
            "records of job B: record 3 was changed, or what stands before it"
        )


def test_a_run_that_was_taken_away_with_all_its_traces_is_found(filled: str) -> None:
    last = rows_of(filled, runs)[-1]["chain"]

    def take(connection: Connection) -> None:
        for table in (blocks, runs):
            connection.execute(delete(table).where(table.c.chain == last))
        connection.execute(delete(chains).where(chains.c.number == last))

    with behind_its_back(filled) as look:
        report = look(take)
    assert any("7 chains, and 6 are there" in told for told in report.broken)


def test_a_cut_end_that_was_covered_up_shows_by_the_anchor_on_paper(filled: str) -> None:
    """Whoever can write the database can cut the end off and note a new one; only what was written down elsewhere shows it."""
    with DatabaseStore(filled, clock=SteadyClock()) as store:
        printed = str(store.log.anchor(KEYS[1]))
    number = rows_of(filled, runs)[-1]["chain"]
    kept = max((row for row in rows_of(filled, blocks) if row["chain"] == number and row["last"] == 8), key=lambda row: str(row["last"]))

    def cut(connection: Connection) -> None:
        connection.execute(delete(blocks).where(blocks.c.chain == number, blocks.c.last > 8))
        connection.execute(update(chains).where(chains.c.number == number).values(count=8, head=kept["hash"]))

    with behind_its_back(filled) as look:
        report = look(cut)
    assert report.sound
    assert str(report.chains[-1].anchor) != printed


def test_any_byte_of_the_file_that_is_changed_is_found_or_holds_nothing(tmp_path: Path, full_size: bool) -> None:
    path = tmp_path / "store.sqlite"
    with DatabaseStore(str(path), clock=SteadyClock()) as store:
        fill(store)
    whole = path.read_bytes()
    said = _everything(path)
    random_ = random.Random(4)
    spoiled = tmp_path / "spoiled.sqlite"
    found = 0
    for _ in range(2000 if full_size else 60):
        data = bytearray(whole)
        data[random_.randrange(len(data))] ^= 1 << random_.randrange(8)
        spoiled.write_bytes(data)
        try:
            sound = verify_store(str(spoiled)).sound
        except StoreError:
            sound = False
        assert not sound or _everything(spoiled) == said
        found += not sound
    assert found


def test_a_file_that_cannot_even_say_what_is_wrong_in_letters_is_damaged(tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite"
    with DatabaseStore(str(path), clock=SteadyClock()) as store:
        fill(store)
    # The message of SQLite repeats this text of its schema, which is no UTF-8 any more.
    path.write_bytes(path.read_bytes().replace(b"CREATE TABLE blocks (", b"CREATE TABLE\xa0blocks ("))
    with pytest.raises(StoreError, match="the file is damaged"):
        verify_store(str(path))


def _everything(path: Path) -> list[list[tuple[object, ...]]]:
    copy = path.with_suffix(".copy")
    shutil.copyfile(path, copy)
    with closing(sqlite3.connect(copy)) as plain:
        return [plain.execute(f"SELECT * FROM {name} ORDER BY 1, 2").fetchall() for name in METADATA.tables]  # noqa: S608


def test_where_there_is_no_store(tmp_path: Path) -> None:
    with pytest.raises(NotFound, match="there is no store here"):
        verify_store(str(tmp_path / "x.sqlite"))
    assert not list(tmp_path.iterdir())
    (tmp_path / "empty.sqlite").write_bytes(b"")
    with pytest.raises(NotFound, match="the database is empty"):
        verify_store(str(tmp_path / "empty.sqlite"))


def test_verifying_writes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite"
    with DatabaseStore(str(path), clock=SteadyClock()) as store:
        fill(store)
    before = path.read_bytes()
    assert verify_store(str(path)).sound
    assert path.read_bytes() == before


def test_a_version_of_the_schema_is_text(filled: str) -> None:
    engine = connect(filled)
    with engine.connect() as connection:
        assert isinstance(connection.execute(text("SELECT version_num FROM alembic_version")).scalar(), str)
    engine.dispose()
