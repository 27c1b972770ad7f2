"""Taking a job folder into the store, and giving one out again."""

from __future__ import annotations

import json
from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from mainwright.errors import InputError
from mainwright.workflow.store_ports import NewRecord

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from mainwright.job.document import Document
    from mainwright.workflow.store_ports import KeptRecord, KeptRevision, Store

__all__ = [
    "FILE",
    "PLAN",
    "FolderRecords",
    "Kept",
    "keep_job",
    "keep_records",
    "records_in_force",
    "records_of_folder",
    "reference_of",
]

PLAN: Final = "issued_plan"
"""The kind of the record that holds the plan which was issued, as text."""

FILE: Final = "file"
"""The kind of the record that names a file of ``records/``: ``name`` there, ``sha256`` and ``bytes`` of its content."""

_READINGS: Final = "readings"
_CHUNK: Final = 1000
"""Readings of a run that stand in one record."""

_NAMES: Final[dict[str, tuple[str, ...]]] = {
    "runs_done": ("run", "coat", "time_from", "from_m"),
    "events": ("run", "time", "kind"),
    "pump_test": ("pump", "time", "setting"),
    "batches": ("run", "batch"),
    "thickness": ("run", "coat", "chainage_m", "clock", "state", "time"),
    "observations": ("run", "pass", "chainage_m", "kind", "clock_from", "time"),
    "curing": ("run", "time"),
    "strength": ("run", "batch", "specimen", "kind", "tested"),
    "connections": ("ref",),
    "bare_places": ("run", "from_m", "kind"),
    "obstructions": ("chainage_m", "time", "kind"),
    "connections_found": ("chainage_m", "clock", "seen_by"),
    "water_tests": ("point", "time", "parameter"),
    "pressure_test": ("section", "time"),
    "signatures": ("what", "run", "name", "time"),
    "quantities": ("item", "time", "ref", "from_m"),
    "extras": ("ref", "time", "item"),
    "payments": ("time", "kind", "ref"),
    FILE: ("name",),
    PLAN: (),
}
"""Columns that tell one row of a table from another: a row with the same of these and other cells else is the same thing, corrected."""

_Cells = dict[str, Any]


@dataclass(frozen=True, slots=True)
class FolderRecords:
    """What a folder holds beside the job itself: rows by table, readings by run, and the text of the issued plan."""

    tables: Mapping[str, Sequence[Mapping[str, object]]]
    readings: Mapping[str, Sequence[Mapping[str, object]]]
    plan: str | None = None


@dataclass(frozen=True, slots=True)
class Kept:
    """What became of a folder.

    Attributes
    ----------
    revision
        The revision that is in force now.
    new
        Whether it was not before.
    added, corrected, taken_away
        Records that are new, that stand for a former one, and that only take a former one away.
    missing
        Records that are kept and that the folder has not; they stay in force.
    """

    revision: KeptRevision
    new: bool
    added: int
    corrected: int
    taken_away: int
    missing: int

    @property
    def records(self) -> int:
        """How many records were added in all."""
        return self.added + self.corrected + self.taken_away


def keep_job(store: Store, document: Document, held: FolderRecords, *, author: str, replace: bool = False) -> Kept:
    """Take a job into the store as a revision, and what its records have that is not kept yet.

    Parameters
    ----------
    store : Store
        Where it is kept. [-]
    document : Document
        The job. [-]
    held : FolderRecords
        What else the folder holds. [-]
    author : str
        Who brings it. [-]
    replace : bool
        Whether records that the folder has not are taken away, each by a further record. [-]

    Returns
    -------
    Kept
        The same folder once more adds nothing.
    """
    with store.transaction() as shelf:
        before = {(one.job, one.number) for one in shelf.jobs()}
        revision = shelf.put(document, author=author)
        new, missing, left = _differing(records_in_force(shelf.records(revision.job)), held)
        gone = [NewRecord(one.kind, None, corrects=one.place) for one in (*missing, *left)] if replace else []
        shelf.add_records(revision.job, [*new, *gone], author=author, method="folder")
    return Kept(
        revision,
        (revision.job, revision.number) not in before,
        added=sum(1 for one in new if one.corrects is None),
        corrected=sum(1 for one in new if one.corrects is not None and one.row is not None),
        taken_away=len(gone) + sum(1 for one in new if one.row is None),
        missing=0 if replace else len(missing) + len(left),
    )


def keep_records(store: Store, job: str, change: Callable[[FolderRecords], FolderRecords], *, author: str, method: str) -> int:
    """Keep what is new in the records of a job, and return how many records that took; what is kept already is not kept again.

    Parameters
    ----------
    store : Store
        Where they are kept. [-]
    job : str
        Reference of the job. [-]
    change : callable
        Given the records that are in force, returns them as they are to be. [-]
    author, method : str
        Who says so, and how it came. [-]

    Returns
    -------
    int
        Records that were added.
    """
    with store.transaction() as shelf:
        kept = shelf.records(job)
        new, _, _ = _differing(records_in_force(kept), change(records_of_folder(kept)))
        shelf.add_records(job, new, author=author, method=method)
    return len(new)


def _differing(there: Sequence[KeptRecord], held: FolderRecords) -> tuple[list[NewRecord], list[KeptRecord], list[KeptRecord]]:
    """Return what is to be added; rows, and readings, that are kept and not held."""
    new, missing = _table_records(there, held)
    more, left = _reading_records(there, held)
    return [*new, *more], missing, left


def reference_of(document: Document) -> str:
    """Return under what name a job is kept.

    Raises
    ------
    InputError
        If it has no reference.
    """
    info = document.rows("job")[0] if document.rows("job") else {}
    job = info.get("reference")
    if not isinstance(job, str) or not job:
        raise InputError("reference of the job", job, "", "a text: the store keeps a job under it")
    return job


def records_in_force(records: Sequence[KeptRecord]) -> list[KeptRecord]:
    """Return the records that nothing corrects or takes away; one that corrects another stands in its place."""
    corrected = {one.corrects for one in records if one.corrects is not None}
    stands_at: dict[int, int] = {}
    for one in records:
        stands_at[one.place] = one.place if one.corrects is None else stands_at.get(one.corrects, one.place)
    kept = [one for one in records if one.place not in corrected and one.row is not None]
    return sorted(kept, key=lambda one: (stands_at[one.place], one.place))


def records_of_folder(records: Sequence[KeptRecord]) -> FolderRecords:
    """Return what a folder holds, of the records that are in force."""
    tables: dict[str, list[_Cells]] = defaultdict(list)
    plan: str | None = None
    force = records_in_force(records)
    for one in force:
        cells = dict(one.row or {})
        if one.kind == PLAN:
            plan = str(cells.get("text", ""))
        elif one.kind != _READINGS:
            tables[one.kind].append(cells)
    return FolderRecords(tables, {run: _rows(chunks) for run, chunks in _chunks(force).items()}, plan)


def _table_records(there: Sequence[KeptRecord], held: FolderRecords) -> tuple[list[NewRecord], list[KeptRecord]]:
    """Return what is to be added, and what is kept and the folder has not."""
    tables: dict[str, Sequence[Mapping[str, object]]] = dict(held.tables)
    if held.plan is not None:
        tables[PLAN] = [{"text": held.plan}]
    waiting: dict[tuple[str, str], list[KeptRecord]] = defaultdict(list)
    for one in there:
        if one.kind != _READINGS:
            waiting[one.kind, _text(one.row or {})].append(one)
    fresh: list[tuple[str, _Cells]] = []
    for kind, rows in tables.items():
        for row in rows:
            cells = {name: value for name, value in row.items() if value not in (None, "")}
            same = waiting.get((kind, _text(cells)))
            if same:
                same.pop(0)
            else:
                fresh.append((kind, cells))
    missing = sorted((one for some in waiting.values() for one in some), key=lambda one: one.place)
    former = _alone((_name(one.kind, one.row or {}), one) for one in missing)
    alone = _alone((_name(kind, cells), cells) for kind, cells in fresh)
    new = []
    for kind, cells in fresh:
        name = _name(kind, cells)
        corrects = former.pop(name).place if name in former and name in alone else None
        new.append(NewRecord(kind, cells, corrects=corrects))
    corrected = {one.corrects for one in new}
    return new, [one for one in missing if one.place not in corrected and (one.kind != PLAN or held.plan is not None)]


def _alone(named: Iterable[tuple[str, Any]]) -> dict[str, Any]:
    """Return by its name what has a name that nothing else has."""
    found: dict[str, list[Any]] = defaultdict(list)
    for name, thing in named:
        found[name].append(thing)
    return {name: things[0] for name, things in found.items() if len(things) == 1}


def _name(kind: str, row: Mapping[str, object]) -> str:
    return _text([kind, [row.get(column) for column in _NAMES.get(kind, tuple(sorted(row)))]])


def _text(value: object) -> str:
    return json.dumps(value, sort_keys=True)


def _chunks(force: Sequence[KeptRecord]) -> dict[str, list[KeptRecord]]:
    """Return the records of readings by run, in the order in which they came."""
    found: dict[str, list[KeptRecord]] = defaultdict(list)
    for one in sorted(force, key=lambda one: one.place):
        if one.kind == _READINGS:
            found[str((one.row or {}).get("run"))].append(one)
    return found


def _rows(chunks: Sequence[KeptRecord]) -> list[_Cells]:
    rows: list[_Cells] = []
    for one in chunks:
        row: Mapping[str, Any] = one.row or {}
        names = row["columns"]
        rows += [{name: value for name, value in zip(names, cells, strict=True) if value is not None} for cells in row["rows"]]
    return rows


def _reading_records(there: Sequence[KeptRecord], held: FolderRecords) -> tuple[list[NewRecord], list[KeptRecord]]:
    """Return what is to be added of the readings, and what is kept of runs that the folder has no readings of.

    Readings that go on are added. Readings that are others than they were stand for the former ones, all of them.
    """
    kept = _chunks(there)
    new: list[NewRecord] = []
    for run, given in held.readings.items():
        rows = [{name: value for name, value in row.items() if value not in (None, "")} for row in given]
        former = kept.pop(run, [])
        before = _rows(former)
        if rows == before[: len(rows)]:
            continue
        same = before == rows[: len(before)]
        made = [NewRecord(_READINGS, chunk) for chunk in _packed(run, rows[len(before) :] if same else rows)]
        new += made if same else [*(NewRecord(_READINGS, None, corrects=one.place) for one in former), *made]
    return new, [one for chunks in kept.values() for one in chunks]


def _packed(run: str, rows: Sequence[_Cells]) -> list[_Cells]:
    made = []
    for first in range(0, len(rows), _CHUNK):
        some = rows[first : first + _CHUNK]
        names = list(dict.fromkeys(name for row in some for name in row))
        made.append({"run": run, "columns": names, "rows": [[row.get(name) for name in names] for row in some]})
    return made
