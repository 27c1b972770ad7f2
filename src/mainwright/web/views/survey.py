"""The place ``survey``: what is known of the main, its tables as cells, what is wrong with them, and how they came to be so."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from mainwright.job.columns import TABLES
from mainwright.plan.sentences import assumed_value
from mainwright.web.views.origins import told
from mainwright.words.message import Quantity, message
from mainwright.workflow.editing import cells_of, check_cells, columns_of
from mainwright.workflow.reconciling import reconcile

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from mainwright.job.column import Table
    from mainwright.job.document import Document
    from mainwright.job.faults import Fault
    from mainwright.job.job import Job
    from mainwright.plan.result import Plan
    from mainwright.web.reader import Reader
    from mainwright.words.wording import Wording
    from mainwright.workflow.comparing import Change
    from mainwright.workflow.jobs_at_hand import JobAtHand
    from mainwright.workflow.store_ports import KeptRecord, KeptRevision

__all__ = ["GROUPS", "change_rows", "connection_rows", "fault_rows", "history_rows", "survey_view", "table_cells", "table_groups", "to_ask"]

GROUPS: Final = (
    (message("Along the main"), ("main", "bore", "features", "ground", "levels", "services", "feeds", "openings")),
    (message("Contract"), ("job", "lining", "by_dn", "runs", "mortar", "hydraulics", "shift", "acceptance", "curing", "test", "supply", "giving_back", "programme", "measurement", "classes", "payment", "water")),
    (message("Plant and office"), ("pump", "hose", "lining_head", "rope", "mixer", "supply_pipe", "crew", "mortar_flow", "prices", "crews", "outputs", "permits", "calendar", "origins")),
)  # fmt: skip
"""The tables as they are listed; what is in none of them stands in the last."""


def survey_view(at_hand: JobAtHand, reader: Reader) -> list[str]:
    """Return the answer: what is known of the main."""
    job, faults = at_hand.read.job, at_hand.read.faults
    if job is None:
        text = message("{n} {n:fault/faults}", n=len(faults))
        return [
            *told("survey", [text], reader.say, None),
            reader.say.text("Each stands at its cell below, with what would be right. A plan is made once none is left."),
        ]
    length = Quantity(job.main[-1].end - job.main[0].start, "m", 0)
    text = message("{length} of main, {services} {services:service/services}, {features} {features:fitting or other feature/fittings and other features}.", length=length, services=len(job.services), features=len(job.features))  # fmt: skip
    return told("survey", [text], reader.say, job)


def table_groups(document: Document, say: Wording) -> list[tuple[str, list[tuple[str, int]]]]:
    """Return the names of all tables by group, each with how many rows it has."""
    placed = {name for _, names in GROUPS for name in names}
    groups = [(say.word(title), [*names]) for title, names in GROUPS]
    groups[-1][1].extend(name for name in TABLES if name not in placed)
    return [(title, [(name, len(document.rows(name))) for name in names if name in TABLES]) for title, names in groups]


def table_cells(document: Document, name: str, say: Wording, *, most: int | None = None) -> dict[str, object]:
    """Return a table as a page edits it: its columns, and a text for each cell of as many rows as are wanted, all where nothing is said."""
    table, cells = TABLES[name], cells_of(document, name, most=most)
    known = {column.name: column for column in columns_of(table)}
    columns = []
    for label in cells.header:
        column = known.get(label)
        columns.append(
            {
                "name": label,
                "kind": column.kind if column else "text",
                "choices": list(column.choices) if column else [],
                "required": bool(column and column.required),
                "says": _says(column.meaning, column.default, say) if column else say.text("not known: kept, and not used"),
            }
        )
    return {
        "table": name,
        "file": table.file,
        "shape": table.shape,
        "says": say.text(table.meaning),
        "columns": columns,
        "rows": [list(row) for row in cells.rows] or ([[""] * len(cells.header)] if table.shape == "single" else []),
    }


def _says(meaning: str, default: object, say: Wording) -> str:
    said = say.text(meaning)
    return said if default is None else f"{said} ({say.text('where nothing is given')}: {default})"


def fault_rows(document: Document, say: Wording, faults: Sequence[Fault] | None = None) -> list[dict[str, object]]:
    """Return every fault and warning with its cell, in words."""
    return [
        {"table": one.table, "row": one.row or 0, "column": one.column or "", "text": say.word(one.message), "severity": one.severity, "whole": one.row is None and not _single(one.table)}
        for one in (check_cells(document) if faults is None else faults)
    ]  # fmt: skip


def _single(name: str) -> bool:
    table: Table | None = TABLES.get(name)
    return table is not None and table.shape == "single"


def history_rows(history: Sequence[KeptRevision], say: Wording) -> list[dict[str, object]]:
    """Return the revisions, the latest first."""
    return [
        {"number": one.number, "revision": one.revision, "author": one.author or "–", "day": say.day(one.time.date(), short=True), "hour": f"{one.time:%H:%M}"}
        for one in reversed(history)
    ]  # fmt: skip


def change_rows(changes: Sequence[Change], say: Wording) -> list[list[str]]:
    """Return what differs between two revisions as rows of a table."""
    whole = say.text("the whole row")
    return [[one.table, one.where, one.column or whole, one.before or "–", one.after or "–"] for one in changes]


def to_ask(plan: Plan, say: Wording) -> dict[str, list[list[str]]]:
    """Return what the plan assumes, and what is to be found out first."""
    assumed = [[one.what, assumed_value(one, say), say.word(one.because)] for one in plan.assumed]
    ask = [
        [
            say.word(one.subject),
            "–" if one.chainage is None else say.quantity(one.chainage, "m", 1),
            "–" if one.expected is None else f"{say.number(one.expected, 0)} {plan.job.info.currency}",
            "–" if one.cost_of_asking is None else f"{say.number(one.cost_of_asking, 0)} {plan.job.info.currency}",
        ]
        for one in plan.ask_first
    ]
    return {"assumed": assumed, "ask": ask}


def connection_rows(job: Job, records: Sequence[KeptRecord], say: Wording) -> list[list[object]]:
    """Return the connections of list, street and camera beside each other, those that disagree first; empty where nothing was seen yet."""
    sightings: list[Mapping[str, object]] = [one.row for one in records if one.kind == "connections_found" and one.row]
    if not sightings:
        return []
    agreeing: list[list[object]] = []
    rows: list[list[object]] = []
    for one in reconcile(job.services, sightings):
        agreed = one.listed and one.camera is not None
        if agreed and one.street is not None:
            state = {"state": "good", "text": say.text("all three agree")}
        elif one.listed and one.camera is None and one.street is None:
            state = {"state": "watch", "text": say.text("listed, never seen")}
        elif not one.listed:
            state = {"state": "bad", "text": say.text("seen, not listed")}
        elif agreed:
            state = {"state": "good", "text": say.text("listed and seen by camera")}
        else:
            state = {"state": "watch", "text": say.text("listed and seen in the street only")}
        seen = [say.measure(where, "m", 1) if where is not None else "–" for where in (one.street, one.camera)]
        row: list[object] = [say.measure(one.chainage, "m", 1), one.ref or "–", "✓" if one.listed else "–", *seen, state]
        (agreeing if agreed else rows).append(row)
    return [*rows, *agreeing]
