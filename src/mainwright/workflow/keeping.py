"""Taking a job folder into the store, and giving one out again."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mainwright.workflow.store_ports import NewRecord

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from mainwright.job.document import Document
    from mainwright.workflow.store_ports import KeptRecord, KeptRevision, Store

__all__ = ["Kept", "keep_job", "records_in_force"]


@dataclass(frozen=True, slots=True)
class Kept:
    """What became of a folder: the revision in force, whether it is new, and how many records were added."""

    revision: KeptRevision
    new: bool
    records: int


def keep_job(store: Store, document: Document, rows: Mapping[str, Sequence[Mapping[str, str]]], *, author: str) -> Kept:
    """Take a job into the store as a revision, and what its records have that is not kept yet.

    Parameters
    ----------
    store : Store
        Where it is kept. [-]
    document : Document
        The job. [-]
    rows : mapping
        Rows of each table of ``records/``. [-]
    author : str
        Who brings it. [-]

    Returns
    -------
    Kept
        The same folder once more adds nothing.
    """
    with store.transaction() as shelf:
        before = {(one.job, one.number) for one in shelf.jobs()}
        revision = shelf.put(document, author=author)
        there = Counter(_name(one.kind, one.row) for one in records_in_force(shelf.records(revision.job)) if one.row is not None)
        fresh = []
        for kind in sorted(rows):
            for row in rows[kind]:
                name = _name(kind, row)
                if there[name] > 0:
                    there[name] -= 1
                else:
                    fresh.append(NewRecord(kind, dict(row)))
        shelf.add_records(revision.job, fresh, author=author, method="folder")
    return Kept(revision, (revision.job, revision.number) not in before, len(fresh))


def records_in_force(records: Sequence[KeptRecord]) -> list[KeptRecord]:
    """Return the records that nothing corrects or takes away, in the order in which they came."""
    corrected = {one.corrects for one in records if one.corrects is not None}
    return [one for one in records if one.place not in corrected and one.row is not None]


def _name(kind: str, row: Mapping[str, object] | None) -> tuple[str, tuple[tuple[str, str], ...]]:
    cells = {} if row is None else row
    return kind, tuple(sorted((name, str(value)) for name, value in cells.items() if value not in {None, ""}))
