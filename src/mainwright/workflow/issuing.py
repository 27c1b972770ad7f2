"""The plan of a job that was issued: what the works follow, and what the plan goes on from once something really happened."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING

from mainwright.workflow.keeping import PLAN, records_in_force
from mainwright.workflow.store_ports import NewRecord

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from mainwright.workflow.store_ports import KeptRecord

__all__ = ["IssuedPlan", "issued_plan", "issuing"]


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
    """

    text: str
    revision: str
    author: str
    time: datetime
    place: int


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
    return IssuedPlan(text, _revision(text), last.author, last.time, last.place)


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


def _revision(text: str) -> str:
    try:
        return str(json.loads(text)["revision"])
    except (ValueError, KeyError, TypeError):
        return ""
