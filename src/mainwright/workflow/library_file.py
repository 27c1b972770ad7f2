"""The whole library as one file, to carry it elsewhere: written so that the same library gives the same bytes, and read with every fault at once."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any, Final, cast

from mainwright.words.message import Message, message
from mainwright.workflow.library_entry import STATUSES, Entry, EntryRevision, Facts, step_of, wrong_facts
from mainwright.workflow.library_parts import KINDS, check_part, part_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mainwright.workflow.library_parts import Kind

__all__ = ["FORMAT", "library_text", "read_library"]

FORMAT: Final = 1
"""Which shape of the file this is."""

_MOST_FAULTS: Final = 50
_MOST_STEPS: Final = 10_000


def library_text(entries: Sequence[Entry]) -> str:
    """Return entries with all their revisions as one text.

    Parameters
    ----------
    entries : sequence of Entry
        In any order. [-]

    Returns
    -------
    str
        JSON in order of the ids, with a newline at the end.
    """
    written = [
        {"entry": one.id, "kind": one.kind, "history": [{"author": step.author, "time": step.time.astimezone(UTC).isoformat(), **step_of(step)} for step in one.history]}
        for one in sorted(entries, key=lambda one: one.id)
    ]  # fmt: skip
    return json.dumps({"mainwright_library": FORMAT, "entries": written}, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def read_library(content: bytes) -> tuple[tuple[Entry, ...], tuple[tuple[str, Message], ...]]:
    """Return the entries of a file, and everything that is wrong with it.

    Parameters
    ----------
    content : bytes
        As `library_text` writes it. [-]

    Returns
    -------
    tuple
        The entries, only where nothing is wrong; and each fault with its place.
    """
    try:
        given = json.loads(content.decode("utf-8-sig"))
    except (ValueError, RecursionError):
        return (), (("", message("This is no file of a library: the one that the page of the library hands out is right.")),)
    if not isinstance(given, dict) or not isinstance(given.get("entries"), list) or "mainwright_library" not in given:
        return (), (("", message("This is no file of a library: the one that the page of the library hands out is right.")),)
    if given["mainwright_library"] != FORMAT:
        return (), (("", message("The file was written by another version: format {n} is right.", n=FORMAT)),)
    reader = _Reader()
    entries = [reader.entry(one, f"entries[{place}]") for place, one in enumerate(given["entries"])]
    if reader.faults:
        return (), tuple(reader.faults[:_MOST_FAULTS])
    return tuple(one for one in entries if one is not None), ()


class _Reader:
    def __init__(self) -> None:
        self.faults: list[tuple[str, Message]] = []
        self._ids: set[str] = set()
        self._steps = 0

    def wrong(self, place: str, text: Message) -> None:
        self.faults.append((place, text))

    def entry(self, given: object, place: str) -> Entry | None:
        if not isinstance(given, dict) or given.get("kind") not in KINDS or not isinstance(given.get("entry"), str):
            self.wrong(place, message("It is no entry: an id, and one of the kinds {kinds}, are right.", kinds=", ".join(KINDS)))
            return None
        kind, name, steps = cast("Kind", given["kind"]), given["entry"], given.get("history")
        if name in self._ids:
            self.wrong(place, message("{name} stands twice: once is right.", name=name[:80]))
        self._ids.add(name)
        if not isinstance(steps, list) or not steps or (isinstance(steps[0], dict) and steps[0].get("withdrawn")):
            self.wrong(place, message("It has no revision: one or more are right."))
            return None
        self._steps += len(steps)
        if self._steps > _MOST_STEPS:
            self.wrong(place, message("The file holds more than {most} revisions: at most that many are right.", most=_MOST_STEPS))
            return None
        history: list[EntryRevision] = []
        for number, step in enumerate(steps, start=1):
            made = self._step(kind, step, number, f"{place}.history[{number - 1}]", history[-1].facts if history else None)
            if made is None:
                return None
            history.append(made)
        return Entry(name, kind, tuple(history), 0)

    def _step(self, kind: Kind, given: object, number: int, place: str, before: Facts | None) -> EntryRevision | None:
        if not isinstance(given, dict):
            self.wrong(place, message("It is no revision."))
            return None
        time, author = _moment(given.get("time")), given.get("author")
        if time is None:
            self.wrong(f"{place}.time", message("It is no moment: ISO 8601 with an offset is right."))
        if not isinstance(author, str) or len(author) > 80 or not author.isprintable():
            self.wrong(f"{place}.author", message("It is no name of a person."))
        if time is None or not isinstance(author, str):
            return None
        if given.get("withdrawn") is True and before is not None:
            return EntryRevision(number, before, {}, author, time, withdrawn=True)
        texts = {name: given.get(name, "") for name in ("name", "day", "status", "origin", "currency", "note")}
        tables = given.get("tables")
        if not all(isinstance(one, str) for one in texts.values()) or not _are_tables(tables):
            self.wrong(place, message("Its facts are texts and its tables lists of rows: something else stands here."))
            return None
        part, aside = part_of(kind, cast("Any", tables))
        known = set(cast("dict[str, Any]", tables)) <= set(KINDS[kind])
        if aside or not known:
            more = ", ".join([*aside, *sorted(set(cast("dict[str, Any]", tables)) - set(KINDS[kind]))])[:200]
            self.wrong(f"{place}.tables", message("An entry of this kind does not hold {names}.", names=more))
        facts = Facts(texts["name"], _day(texts["day"]), texts["status"] if texts["status"] in STATUSES else "", texts["origin"], texts["currency"], texts["note"])  # fmt: skip
        for field, text in wrong_facts(kind, facts, part).items():
            self.wrong(f"{place}.{field}", text)
        for one in check_part(kind, part):
            self.wrong(f"{place}.tables.{one.table}[{one.row or 0}].{one.column or ''}".rstrip("."), one.message)
        return EntryRevision(number, facts, part, author, time)


def _are_tables(given: object) -> bool:
    return (
        isinstance(given, dict)
        and bool(given)
        and all(
            isinstance(name, str) and isinstance(rows, list) and rows and all(isinstance(row, dict) for row in rows)
            for name, rows in given.items()
        )
    )


def _moment(given: object) -> datetime | None:
    try:
        found = datetime.fromisoformat(given) if isinstance(given, str) and len(given) < 60 else None
    except ValueError:
        return None
    return None if found is None or found.tzinfo is None else found


def _day(given: str) -> date | None:
    try:
        return date.fromisoformat(given) if len(given) == len("2026-04-13") else None
    except ValueError:
        return None
