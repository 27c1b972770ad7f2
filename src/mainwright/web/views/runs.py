"""The place ``runs``: what the crew needs of each run."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from fastapi import HTTPException

from mainwright.plan.sentences import how
from mainwright.web.views.drawn import drawn, shown
from mainwright.web.views.origins import run_told, told

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from mainwright.web.place import Visit
    from mainwright.web.views.drawn import Shown

__all__ = ["run_view", "runs_view"]


def runs_view(visit: Visit) -> dict[str, object]:
    """Return what the page shows: what the crew needs of each run."""
    say = visit.reader.say
    sections = shown(visit.uses.sheets.place("runs", visit.plan, say))
    return {"answer": told("runs", how(visit.plan), say, visit.job), "sections": sections, "runs": visit.plan.runs}


def run_view(visit: Visit, run: str) -> dict[str, object]:
    """Return the sheet of one run, by its id.

    Parameters
    ----------
    visit : Visit
        Who looks. [-]
    run : str
        Id of the run. [-]

    Returns
    -------
    dict
        The sheet, and the runs before and after it.

    Raises
    ------
    HTTPException
        If there is no such run.
    """
    runs = visit.plan.runs
    at = next((number for number, one in enumerate(runs) if one.id == run), None)
    if at is None:
        raise HTTPException(404)
    sheet: Shown = dict(visit.uses.sheets.run(visit.plan, run, visit.reader.say))
    sheet["svg"] = drawn(str(sheet["svg"]), "run-")
    sheet["id"] = run
    sheet["big"] = run_told(cast("Sequence[Mapping[str, object]]", sheet["big"]), visit.reader.say, visit.job)
    found: dict[str, Any] = {"sheet": sheet, "before": runs[at - 1] if at else None, "after": runs[at + 1] if at + 1 < len(runs) else None}
    return found
