"""Proving that nothing in a store was changed, taken away, added or put in another order since it was kept."""

import json
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial
from typing import Any, Final

from sqlalchemy import Connection, Table, select, text
from sqlalchemy.exc import DBAPIError

from mainwright.store.chain import CHAIN_START, birth_link, block_link, deed_link, record_link, revision_link, run_link
from mainwright.store.files import file_faults
from mainwright.store.rows import run_name, run_words
from mainwright.store.tables import blocks, chains, deeds, pieces, records, revisions, runs
from mainwright.workflow.keeping import FILE
from mainwright.workflow.live_ports import RunKey
from mainwright.workflow.ports import Progress
from mainwright.workflow.store_ports import Anchor, ChainReport, Report

__all__ = ["verify"]

_PAGE: Final = 64
_MOST: Final = 20
"""Faults that are told of one chain."""

_TABLES: Final = {"job": revisions, "records": records, "run": blocks, "deeds": deeds}


@dataclass(slots=True)
class _Faults:
    told: list[str] = field(default_factory=list)
    more: int = 0

    def add(self, what: str) -> None:
        if len(self.told) < _MOST:
            self.told.append(what)
        else:
            self.more += 1

    def all(self) -> tuple[str, ...]:
        return (*self.told, f"{self.more} more") if self.more else tuple(self.told)


@dataclass(frozen=True, slots=True)
class _Row:
    """One row of a chain: which places it fills, what it should stand on, what it says its hash is, and how to compute that."""

    first: int
    last: int
    hash: bytes
    link: Callable[[bytes], bytes]

    @property
    def places(self) -> str:
        return f"{self.last}" if self.first == self.last else f"{self.first} to {self.last}"


def verify(connection: Connection, *, place: str, anchors: Sequence[Anchor] = (), progress: Progress | None = None) -> Report:
    """Return what is wrong in a store.

    Parameters
    ----------
    connection : Connection
        That sees the store as it is at one moment. [-]
    place : str
        The store, as a person names it. [-]
    anchors : sequence of Anchor
        Where chains ended once, as it was written down. [-]
    progress : callable, optional
        Told how many chains are verified, and of how many. [-]

    Returns
    -------
    Report
        Each chain, and what is wrong with it.
    """
    passed: dict[Anchor, str] = {}
    whole = _Faults()
    if connection.dialect.name == "sqlite":
        for (said,) in _safely(connection, text(f"PRAGMA integrity_check({_MOST})"), whole):
            if said != "ok":
                whole.add(f"SQLite says of the file: {said}")
    listed = list(_safely(connection, select(chains).order_by(chains.c.number), whole))
    _check_births(listed, whole)
    made = []
    followed = [row for row in listed if row.number != 0]
    for place_, row in enumerate(followed):
        made.append(_one(connection, row, anchors, passed))
        if progress is not None:
            progress(place_ + 1, len(followed))
    _check_strangers(connection, listed, whole)
    _check_files(connection, whole)
    return Report(place, tuple(made), whole.all(), tuple((str(one), passed.get(one)) for one in anchors))


def _safely(connection: Connection, wanted: Any, faults: _Faults) -> Iterator[Any]:  # noqa: ANN401 - what SQLAlchemy executes, and its rows
    """Yield rows; where the database cannot read on, say so and end."""
    mark = connection.begin_nested()
    try:
        with connection.execute(wanted, execution_options={"yield_per": _PAGE}) as found:
            yield from found
    except (DBAPIError, UnicodeDecodeError) as error:
        faults.add(f"it cannot be read from here on: {getattr(error, 'orig', None) or error}")
    finally:
        mark.rollback()


def _check_births(listed: list[Any], whole: _Faults) -> None:
    """See that the list of chains is whole: each is bound to the one before it, and the store knows how many there are."""
    if not listed or listed[0].number != 0:
        whole.add("the row that counts the chains is missing")
        store, listed = None, [row for row in listed if row.number != 0]
    else:
        store, *listed = listed
        if (store.kind, store.name, store.birth) != ("store", "", CHAIN_START):
            whole.add("the row that counts the chains was changed")
    head = CHAIN_START
    for number, row in enumerate(listed, start=1):
        if row.number != number:
            whole.add(f"chain {number} of the store is missing: a job, its records, or a run was taken away as a whole")
            break
        if not _same(row.birth, partial(birth_link, head, number=row.number, kind=row.kind, name=row.name)):
            whole.add(f"the beginning of chain {number} ({row.kind} {row.name!r}) was changed")
        head = row.birth
    if store is not None and (store.count, store.head) != (len(listed), head):
        whole.add(
            f"the store counts {store.count} chains, and {len(listed)} are there: a job, its records, or a run was taken away or added"
        )


def _same(said: object, link: Callable[[], bytes]) -> bool:
    try:
        return said == link()
    except (TypeError, AttributeError, UnicodeError):
        return False


def _one(connection: Connection, chain: Any, anchors: Sequence[Anchor], passed: dict[Anchor, str]) -> ChainReport:  # noqa: ANN401 - a row of SQLAlchemy's
    faults = _Faults()
    what, begin = f"chain {chain.number}", chain.birth
    rows: Iterator[_Row] = iter(())
    unit = "entry"
    if chain.kind == "run":
        what, begin = _run(connection, chain, faults)
        rows = _rows(connection, blocks, chain.number, faults, _block)
    elif chain.kind == "job":
        what, unit = f"job {chain.name}", "revision"
        rows = _rows(connection, revisions, chain.number, faults, _revision)
    elif chain.kind == "records":
        what, unit = f"records of job {chain.name}", "record"
        rows = _rows(connection, records, chain.number, faults, _record)
    elif chain.kind == "library":
        what, unit = f"library {chain.name}", "entry"
        rows = _rows(connection, records, chain.number, faults, _record)
    elif chain.kind == "deeds":
        what, unit = "who did what", "deed"
        rows = _rows(connection, deeds, chain.number, faults, _deed)
    else:
        faults.add(f"there is no kind of chain {chain.kind!r}")
    count, head = 0, begin
    for row in rows:
        if row.first != count + 1:
            missing = f"{count + 1}" if row.first == count + 2 else f"{count + 1} to {row.first - 1}"
            faults.add(f"{unit} {missing} missing" if row.first > count else f"{unit} {row.places} stands where there was another already")
        elif not _same(row.hash, partial(row.link, head)):
            faults.add(f"{unit} {row.places} was changed, or what stands before it")
        count, head = row.last, row.hash
        passed |= {one: what for one in anchors if one.count == count and one.stands_for(count, head.hex())}
    if (count, head) != (chain.count, chain.head):
        faults.add(
            f"the chain ends at {unit} {count}, and it was noted that it ends at {chain.count}: the end was cut off or added to"
            if count != chain.count
            else f"the hash of the last {unit} ({count}) is not the one that was noted"
        )
    sound_head = chain.head.hex() if isinstance(chain.head, bytes) else ""
    return ChainReport(what, chain.kind, Anchor(chain.count, sound_head), faults.all())


def _run(connection: Connection, chain: Any, faults: _Faults) -> tuple[str, bytes]:  # noqa: ANN401 - a row of SQLAlchemy's
    """Return a run in words, and the hash that the first entries stand on."""
    try:
        what = run_words(RunKey(*json.loads(chain.name)))
    except (TypeError, ValueError):
        what = f"run {chain.name!r}"
    found = list(_safely(connection, select(runs).where(runs.c.chain == chain.number), faults))
    if len(found) != 1:
        faults.add("what the run was meant to be is missing")
        return what, chain.birth
    row = found[0]
    named = run_name(RunKey(row.job, row.run, row.coat, row.part))
    sound = named == chain.name and _same(row.hash, lambda: run_link(name=named, header=row.header, author=row.author, time=row.time))
    if not sound:
        faults.add("what the run was meant to be was changed")
    return what, row.hash


def _rows(connection: Connection, table: Table, number: int, faults: _Faults, make: Callable[[Any], _Row]) -> Iterator[_Row]:
    order = table.c.last if table is blocks else table.c.place
    for row in _safely(connection, select(table).where(table.c.chain == number).order_by(order), faults):
        try:
            yield make(row)
        except TypeError:
            faults.add(f"a row of table {table.name} was changed: its place is no number")


def _block(row: Any) -> _Row:  # noqa: ANN401 - a row of SQLAlchemy's
    link = partial(block_link, last=row.last, entries=row.entries, payload=row.payload)
    return _Row(row.last - row.entries + 1, row.last, row.hash, link)


def _revision(row: Any) -> _Row:  # noqa: ANN401 - a row of SQLAlchemy's
    return _Row(row.place + 0, row.place, row.hash, partial(revision_link, **_said(row)))


def _record(row: Any) -> _Row:  # noqa: ANN401 - a row of SQLAlchemy's
    return _Row(row.place + 0, row.place, row.hash, partial(record_link, **_said(row)))


def _deed(row: Any) -> _Row:  # noqa: ANN401 - a row of SQLAlchemy's
    return _Row(row.place + 0, row.place, row.hash, partial(deed_link, **_said(row)))


def _said(row: Any) -> dict[str, Any]:  # noqa: ANN401 - a row of SQLAlchemy's
    return {name: getattr(row, name) for name in row._fields if name not in ("chain", "hash")}


def _check_strangers(connection: Connection, listed: list[Any], whole: _Faults) -> None:
    """See that no row belongs to a chain that is not there."""
    for kind, table in (*_TABLES.items(), ("run", runs)):
        known = {row.number for row in listed if row.kind == kind or (table is records and row.kind == "library")}
        for (number,) in _safely(connection, select(table.c.chain).distinct(), whole):
            if number not in known:
                whole.add(f"table {table.name} has rows of a chain {number} that is not there")


def _check_files(connection: Connection, whole: _Faults) -> None:
    """See that each file is what its hash says, and that each file of a record is there; one of no record was left by a step that was broken off."""
    wrong: dict[str, str] = {}
    mark = connection.begin_nested()
    try:
        wrong = dict(file_faults(connection))
    except (DBAPIError, UnicodeDecodeError, TypeError) as error:
        whole.add(f"the files cannot be read: {getattr(error, 'orig', None) or error}")
    finally:
        mark.rollback()
    there = {digest for (digest,) in _safely(connection, select(pieces.c.digest).distinct(), whole)}
    named: dict[str, str] = {}
    for (row,) in _safely(connection, select(records.c.row).where(records.c.kind == FILE, records.c.row.is_not(None)), whole):
        # What is no such row was changed, and its chain says so.
        with suppress(TypeError, ValueError, KeyError):
            cells = json.loads(row)
            named[cells["sha256"]] = str(cells["name"])
    for digest, what in wrong.items():
        whole.add(f"file {named.get(digest, digest[:16])}: {what}")
    for digest, name in named.items():
        if digest not in there:
            whole.add(f"file {name} is missing")
