"""The plan of a job that was issued: what the works follow, and what the plan goes on from once something really happened."""

from __future__ import annotations

import json
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

from mainwright.workflow.keeping import PLAN, records_in_force
from mainwright.workflow.store_ports import NewRecord

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime

    from mainwright.workflow.store_ports import KeptRecord

__all__ = ["IssuedPlan", "IssuedProgramme", "issued_plan", "issuing"]


@dataclass(frozen=True, slots=True)
class IssuedProgramme:
    """The programme of a plan that was issued, as its text says.

    Attributes
    ----------
    begins
        When each activity begins, by the clock of the job, to the minute as ``2026-05-04T07:00``.
    bound, because, gap, proven
        What no programme could be under, what said so, how far it was from that, and whether nothing better existed. [shifts]
    """

    begins: Mapping[str, str]
    bound: float
    because: str
    gap: float
    proven: bool


@dataclass(frozen=True, slots=True)
class IssuedPlan:
    """A plan that was issued.

    Attributes
    ----------
    text
        Its ``plan.json``.
    revision
        Of the job that it was made of; empty where the text is no plan, which whoever plans from it tells.
    author, time
        Who issued it, and when.
    place
        Of its record.
    programme
        None where it has none.
    """

    text: str
    revision: str
    author: str
    time: datetime
    place: int
    programme: IssuedProgramme | None = None


def issued_plan(records: Sequence[KeptRecord]) -> IssuedPlan | None:
    """Return the plan that the works follow.

    Parameters
    ----------
    records : sequence of KeptRecord
        All of a job. [-]

    Returns
    -------
    IssuedPlan or None
        The last one that was issued; None without any.
    """
    found = [one for one in records_in_force(records) if one.kind == PLAN]
    if not found:
        return None
    last = found[-1]
    text = str((last.row or {}).get("text", ""))
    document = _document(text)
    return IssuedPlan(text, str(document.get("revision", "")), last.author, last.time, last.place, _programme(document.get("programme")))


def issuing(records: Sequence[KeptRecord], text: str) -> NewRecord | None:
    """Return the record that issues a plan.

    Parameters
    ----------
    records : sequence of KeptRecord
        All of a job. [-]
    text : str
        The plan as ``plan.json``. [-]

    Returns
    -------
    NewRecord or None
        It stands in the place of the plan that was issued before; None where that is the same.
    """
    before = issued_plan(records)
    if before is not None and before.text == text:
        return None
    return NewRecord(PLAN, {"text": text}, corrects=None if before is None else before.place)


def _document(text: str) -> dict[str, object]:
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def _programme(found: object) -> IssuedProgramme | None:
    if not isinstance(found, dict):
        return None
    try:
        begins = {str(one["id"]): str(one["begin"])[:16] for one in found["activities"]}
        return IssuedProgramme(
            MappingProxyType(begins), float(found["bound_shifts"]), str(found["bounded_by"]), float(found["gap"]), found["proven"] is True
        )
    except (KeyError, TypeError, ValueError):
        return None
