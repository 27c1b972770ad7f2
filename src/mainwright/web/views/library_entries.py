"""What the pages of the library say of its entries: lists, facts, values, history, and what differs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from mainwright.job.columns import TABLES
from mainwright.job.document import Document
from mainwright.web.views.survey import change_rows
from mainwright.words.message import Message, message
from mainwright.workflow.comparing import compare_documents
from mainwright.workflow.editing import cells_of
from mainwright.workflow.library_entry import STATUSES
from mainwright.workflow.library_parts import KINDS

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from mainwright.job.job import Job
    from mainwright.words.wording import Wording
    from mainwright.workflow.library_entry import Entry, EntryRevision, Facts
    from mainwright.workflow.library_parts import Kind

__all__ = [
    "KIND_NAMES",
    "entries_view",
    "entry_facts",
    "entry_history",
    "entry_lists",
    "entry_tables",
    "fault_lines",
    "files_of",
    "origin_rows",
    "revision_changes",
    "status_choices",
]

KIND_NAMES: Final[Mapping[Kind, Message]] = {
    "specification": message("Specifications of clients"),
    "plant": message("Plant and outputs"),
    "prices": message("Prices"),
}

_FILES: Final[Mapping[Kind, tuple[str, ...]]] = {
    "specification": ("specification.toml",),
    "plant": ("plant.toml", "crews.csv", "outputs.csv"),
    "prices": ("prices.csv",),
}
_UNSURE: Final = ("memory", "practice")


def files_of(kind: Kind) -> tuple[str, ...]:
    """Return the names of the files that an entry of a kind may have."""
    return _FILES[kind]


def status_choices(say: Wording) -> list[tuple[str, str]]:
    """Return every way in which values are come by, in words."""
    return [(one, say.code(one)) for one in STATUSES]


def entry_lists(entries: Sequence[Entry], say: Wording) -> list[dict[str, Any]]:
    """Return a table of entries for each kind, those that were withdrawn last."""
    lists = []
    for kind, title in KIND_NAMES.items():
        mine = sorted((one for one in entries if one.kind == kind), key=lambda one: (one.withdrawn, one.latest.facts.name.lower(), one.id))
        lists.append({"kind": kind, "title": say.word(title), "rows": [_listed(one, say) for one in mine]})
    return lists


def entries_view(entries: Sequence[Entry], say: Wording, *, asked: Mapping[str, str]) -> dict[str, Any]:
    """Return what the page of the library shows of its entries."""
    counts = {kind: sum(one.kind == kind and not one.withdrawn for one in entries) for kind in KIND_NAMES}
    text = "The library keeps for every job: specifications {specifications}, sets of plant {plant}, price lists {prices}."
    answer = [say.word(message(text, specifications=counts["specification"], plant=counts["plant"], prices=counts["prices"]))]
    answer.append(say.text("Nothing is overwritten: each change is a further revision, and a job says which one it took."))
    taken_in = ""
    if all((given := asked.get(name, "")).isascii() and given.isdigit() and len(given) < 7 for name in ("entries", "revisions")):
        text = "The file holds {entries} {entries:entry/entries}; {revisions} of {entries:its/their} revisions {revisions:was/were} not here and {revisions:was/were} taken in."
        taken_in = say.word(message(text, entries=int(asked["entries"]), revisions=int(asked["revisions"])))
    empties = {
        "specification": say.text("None is kept: add what a client's governing document asks, or keep it out of a job."),
        "plant": say.text("None is kept: add a plant.toml with its crews and outputs, or keep those of a job."),
        "prices": say.text("None is kept: add a prices.csv, or keep the prices of a job."),
    }
    return {"kept_answer": answer, "taken_in": taken_in, "lists": entry_lists(entries, say), "empties": empties}


def _listed(one: Entry, say: Wording) -> list[Any]:
    facts = one.latest.facts
    return [
        {"text": facts.name, "href": f"/library/entries/{one.id}"},
        "–" if facts.day is None else say.day(facts.day, short=True),
        {"state": "bad", "text": say.text("withdrawn")} if one.withdrawn else _status(facts, say),
        facts.origin,
        facts.currency or "–",
        str(one.latest.number),
        one.latest.author or "–",
    ]


def _status(facts: Facts, say: Wording) -> dict[str, object]:
    return {"text": say.code(facts.status), "assumed": facts.status in _UNSURE}


def entry_facts(one: EntryRevision, say: Wording) -> list[tuple[str, str]]:
    """Return what a revision says of itself."""
    facts = one.facts
    pairs = [
        (say.text("Of day"), "–" if facts.day is None else say.day(facts.day)),
        (say.text("Status"), say.code(facts.status)),
        (say.text("Origin"), facts.origin),
        (say.text("Currency"), facts.currency),
        (say.text("Kept by"), f"{one.author or '–'}, {say.day(one.time.date())}"),
    ]
    if one.taken_in is not None:
        pairs.append((say.text("Taken in by"), f"{one.taken_in_by or '–'}, {say.day(one.taken_in.date())}"))
    pairs.append((say.text("Remark"), facts.note))
    return [(name, text) for name, text in pairs if text]


def entry_tables(tables: Mapping[str, Any], say: Wording) -> list[dict[str, Any]]:
    """Return the values of a revision as tables: as they stand in the files, in their units."""
    document = Document(dict(tables))
    found: list[dict[str, Any]] = []
    for name in TABLES:
        if name not in tables:
            continue
        cells = cells_of(document, name)
        meaning = say.text(TABLES[name].meaning)
        if TABLES[name].shape == "single":
            known = {column.name: say.text(column.meaning) for column in TABLES[name].columns}
            rows: list[list[str]] = [
                [key, value, known.get(key, "")] for key, value in zip(cells.header, cells.rows[0], strict=True) if value
            ]
            found.append(
                {
                    "name": name,
                    "says": meaning,
                    "heads": [say.text("Key"), say.text("Value"), say.text("What it says")],
                    "rows": rows,
                }
            )
            continue
        filled = [at for at, _ in enumerate(cells.header) if any(row[at] for row in cells.rows)]
        rows = [[row[at] for at in filled] for row in cells.rows]
        numeric = {column.name for column in TABLES[name].columns if column.kind in ("number", "integer")}
        heads = [cells.header[at] for at in filled]
        numbers = [place for place, head in enumerate(heads) if head in numeric]
        found.append({"name": name, "says": meaning, "heads": heads, "rows": rows, "numbers": numbers})
    return found


def entry_history(one: Entry, say: Wording) -> list[dict[str, Any]]:
    """Return the steps of an entry, the latest first."""
    return [
        {
            "number": step.number,
            "day": say.day(step.time.date(), short=True),
            "hour": f"{step.time:%H:%M}",
            "author": step.author or "–",
            "withdrawn": step.withdrawn,
            "name": step.facts.name,
            "latest": step.number == one.latest.number,
        }
        for step in reversed(one.history)
    ]


def revision_changes(before: EntryRevision, after: EntryRevision, say: Wording) -> list[list[str]]:
    """Return what differs between two revisions: what they say of themselves, then value by value."""
    facts = []
    names = (("name", "Name"), ("day", "Of day"), ("status", "Status"), ("origin", "Origin"), ("currency", "Currency"), ("note", "Remark"))
    for field, head in names:
        was, now = (_fact(one.facts, field, say) for one in (before, after))
        if was != now:
            facts.append(["–", "–", say.text(head), was or "–", now or "–"])
    return [*facts, *change_rows(compare_documents(Document(dict(before.tables)), Document(dict(after.tables))), say)]


def _fact(facts: Facts, field: str, say: Wording) -> str:
    found = getattr(facts, field)
    if field == "day":
        return "" if found is None else say.day(found)
    return say.code(found) if field == "status" else str(found)


def fault_lines(faults: Sequence[tuple[str, int, str, Message]], say: Wording) -> list[list[str]]:
    """Return faults as rows of a table: file, line, column, what is wrong and what would be right."""
    return [[file or "–", str(line), column or "–", say.word(text)] for file, line, column, text in faults]


def origin_rows(job: Job, say: Wording) -> list[list[Any]]:
    """Return where values of a job come from, and whether they still are what was taken."""
    rows: list[list[Any]] = []
    for one in job.origins:
        if one.stands is None:
            continue
        entry = one.entry if one.revision is None else say.word(message("{entry}, revision {n}", entry=one.entry, n=one.revision))
        status = "" if one.status is None else say.code(one.status)
        rows.append(
            [
                one.dotted,
                {"state": "good", "text": say.text("as taken")} if one.stands else {"state": "watch", "text": say.text("changed since")},
                entry,
                "–" if one.day is None else say.day(one.day, short=True),
                {"text": status, "assumed": one.status in _UNSURE},
                one.origin or "–",
            ]
        )
    return rows


assert tuple(KIND_NAMES) == tuple(KINDS)  # noqa: S101 - the two lists are one
