"""A run as one file of text, to carry it from one store to another, with its chain.

Each line is a JSON table. The first names the run, what it was meant to be, and when and by whom it was begun; each further one holds a group of entries and the
hash that binds it to what stands before; the last one says how many there are and repeats the hash. A line has one form only, so that no byte of it can be
another without notice. The hashes are those of the store: the same run has the same in every store that it was carried to.
"""

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import Connection, insert, select

from mainwright.errors import Conflict, InputError, NotFound
from mainwright.store.chain import CHAIN_START, block_link, run_link
from mainwright.store.chains import Chain, advance, begin_chain, find_chain
from mainwright.store.packing import pack, plain_entries, unpack
from mainwright.store.rows import json_text, plain, run_name, run_words
from mainwright.store.tables import blocks, runs
from mainwright.workflow.live_ports import LogEntry, RunKey
from mainwright.workflow.store_ports import Anchor, Carried, ChainReport, Report

__all__ = ["export_run", "import_run", "verify_run_file"]

_FORM: Final = 1
_PAGE: Final = 64
_HEAD_NAMES: Final = ("mainwright_run", "job", "run", "coat", "part", "author", "time", "header", "hash")


@dataclass(frozen=True, slots=True)
class _Head:
    key: RunKey
    author: str
    time: str
    header: str
    hash: bytes


@dataclass(frozen=True, slots=True)
class _Group:
    last: int
    entries: int
    payload: bytes
    hash: bytes


def export_run(connection: Connection, key: RunKey, *, place: str) -> Iterator[str]:
    """Yield the lines of a run's file.

    Parameters
    ----------
    connection : Connection
        That sees the store as it is at one moment. [-]
    key : RunKey
        The run. [-]
    place : str
        The store, as a person names it. [-]

    Yields
    ------
    str
        A line without its end.

    Raises
    ------
    NotFound
        If the run has no log.
    """
    chain = find_chain(connection, "run", run_name(key))
    row = None if chain is None else connection.execute(select(runs).where(runs.c.chain == chain.number)).one_or_none()
    if chain is None or row is None:
        raise NotFound(f"{place}: {run_words(key)} has no log here.")
    values = (_FORM, key.job, key.run, key.coat, key.part, row.author, row.time, plain(row.header), row.hash.hex())
    yield _line(dict(zip(_HEAD_NAMES, values, strict=True)))
    found = connection.execute(
        select(blocks).where(blocks.c.chain == chain.number).order_by(blocks.c.last), execution_options={"yield_per": _PAGE}
    )
    for block in found:
        yield _line({"last": block.last, "entries": plain_entries(list(unpack(block.payload))), "hash": block.hash.hex()})
    yield _line({"count": chain.count, "head": chain.head.hex()})


def import_run(connection: Connection, lines: Iterable[str], *, name: str) -> Carried:
    """Take a run's file into a store; what is there already is not added again.

    Parameters
    ----------
    connection : Connection
        Within a transaction. [-]
    lines : iterable of str
        The lines of the file. [-]
    name : str
        The file, as a person names it. [-]

    Returns
    -------
    Carried
        Which run it is, and what was added.

    Raises
    ------
    InputError
        If the file is damaged, cut off, or none of this kind.
    Conflict
        If the store has another run of this name, or one that went on in another way.
    """
    read = _read(lines, name)
    head = next(read)
    assert isinstance(head, _Head)  # noqa: S101 - the reader sees to it
    begun = begin_chain(connection, "run", run_name(head.key))
    there = connection.execute(select(runs.c.hash).where(runs.c.chain == begun.number)).scalar_one_or_none()
    if there is None:
        key = head.key
        values = {"job": key.job, "run": key.run, "coat": key.coat, "part": key.part, "author": head.author, "time": head.time}
        connection.execute(insert(runs).values(chain=begun.number, header=head.header, hash=head.hash, **values))
    elif there != head.hash:
        raise Conflict(
            f"{name}: the store has a {run_words(head.key)} already that was begun otherwise (by somebody else, at another time, or with another plan). "
            "Nothing was taken in. Which of the two is right must be decided by a person; the other one can be kept as its file."
        )
    return _add_groups(connection, begun, head, read, new=there is None, name=name)


def _add_groups(connection: Connection, chain: Chain, head: _Head, read: Iterator["_Head | _Group"], *, new: bool, name: str) -> Carried:
    wanted = select(blocks.c.last, blocks.c.hash).where(blocks.c.chain == chain.number).order_by(blocks.c.last)
    kept = iter(() if new else connection.execute(wanted).all())
    count, grown, added = 0, head.hash, 0
    for group in read:
        assert isinstance(group, _Group)  # noqa: S101 - the reader sees to it
        there = next(kept, None)
        if there is None:
            values = {"last": group.last, "entries": group.entries, "payload": group.payload, "hash": group.hash}
            connection.execute(insert(blocks).values(chain=chain.number, **values))
            added += group.entries
        elif (there.last, there.hash) != (group.last, group.hash):
            raise Conflict(
                f"{name}: {run_words(head.key)} went on in another way here than in the file, from entry {count + 1} on: it was followed in two places. "
                "Nothing was taken in. Which of the two is right must be decided by a person; keep both files."
            )
        count, grown = group.last, group.hash
    more = sum(1 for _ in kept)
    if added or new:
        advance(connection, chain, count=count, head=grown)
    return Carried(head.key, Anchor(count, grown.hex()), added=added, new=new, longer_here=more > 0)


def verify_run_file(lines: Iterable[str], *, name: str, anchors: Sequence[Anchor] = ()) -> Report:
    """Return whether anything in a run's file was changed since it was written.

    Parameters
    ----------
    lines : iterable of str
        The lines of the file. [-]
    name : str
        The file, as a person names it. [-]
    anchors : sequence of Anchor
        Where the run ended once, as it was written down. [-]

    Returns
    -------
    Report
        The one chain, and the first thing that is wrong with it.
    """
    what, anchor, broken = "run", None, ""
    passed: dict[Anchor, str] = {}
    try:
        for one in _read(lines, name):
            if isinstance(one, _Head):
                what, anchor = run_words(one.key), Anchor(0, one.hash.hex())
            else:
                anchor = Anchor(one.last, one.hash.hex())
            passed |= {wanted: what for wanted in anchors if wanted.stands_for(anchor.count, anchor.head)}
    except InputError as error:
        broken = str(error.value)
    chain = ChainReport(what, "run", anchor, (broken,) if broken else ())
    return Report(name, (chain,), anchors=tuple((str(one), passed.get(one)) for one in anchors))


def _line(table: dict[str, Any]) -> str:
    return json.dumps(table, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def _read(lines: Iterable[str], name: str) -> Iterator[_Head | _Group]:
    """Yield what the lines of a file say, each proved to stand on the one before; raise at the first that does not."""
    count, grown, ended, number = 0, CHAIN_START, False, 0
    for number, text in enumerate(lines, start=1):
        where = f"{name}, line {number}"
        if ended:
            raise _damaged(where, "something stands after the end")
        table = _table(text, where)
        if number == 1 and table.get("mainwright_run") not in (None, _FORM):
            raise _damaged(
                where, f"it was written in form {table['mainwright_run']}, by another version of Mainwright; this one reads form {_FORM}"
            )
        try:
            read = _head(table) if number == 1 else _group(table, count, grown) if "entries" in table else None
        except (KeyError, TypeError, ValueError, AttributeError) as error:
            raise _damaged(where, "it was changed, or what stands before it") from error
        if read is None:
            ended = True
            if table != {"count": count, "head": grown.hex()}:
                raise _damaged(where, f"it does not say that the run ends at entry {count}, which stands before it")
            continue
        count, grown = (0, read.hash) if isinstance(read, _Head) else (read.last, read.hash)
        yield read
    if not ended:
        raise _damaged(f"{name}, line {number + 1}", "the end of the file is missing")


def _table(text: str, where: str) -> dict[str, Any]:
    try:
        table = json.loads(text)
        sound = isinstance(table, dict) and _line(table) == text
    except (ValueError, RecursionError):
        sound = False
    if not sound:
        raise _damaged(where, "it is no line that `mainwright export` wrote")
    found: dict[str, Any] = table
    return found


def _head(table: dict[str, Any]) -> _Head:
    if tuple(table) != _HEAD_NAMES:
        raise ValueError
    form, job, run, coat, part, author, time, header, said = table.values()
    if form != _FORM:
        raise ValueError
    key = RunKey(job, run, coat, part)
    made = _Head(key, author, time, json_text(header), bytes.fromhex(said))
    if run_link(name=run_name(key), header=made.header, author=author, time=time) != made.hash:
        raise ValueError
    return made


def _group(table: dict[str, Any], before: int, grown: bytes) -> _Group:
    if tuple(table) != ("last", "entries", "hash"):
        raise ValueError
    entries = [LogEntry(kind, time, values) for kind, time, values in table["entries"]]
    payload = pack(entries)
    last = before + len(entries)
    made = block_link(grown, last=last, entries=len(entries), payload=payload)
    if table["last"] != last or table["hash"] != made.hex() or not entries:
        raise ValueError
    return _Group(last, len(entries), payload, made)


def _damaged(where: str, what: str) -> InputError:
    return InputError("run file", f"{where}: {what}", "", "a file as `mainwright export` wrote it, whole")
