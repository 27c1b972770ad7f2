"""The place ``documents``: papers made on demand, stopped, and handed out whole."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse, Response

from mainwright.web.forms import fields_of
from mainwright.web.pages import use_cases
from mainwright.web.place import job_at_hand, plan_page
from mainwright.web.views.documents import documents_view
from mainwright.workflow.making import Making

if TYPE_CHECKING:
    from collections.abc import Mapping

    from fastapi.responses import HTMLResponse

    from mainwright.plan.result import Plan

__all__ = ["router"]

router: Final = APIRouter()

_KINDS: Final[Mapping[str, str]] = {
    "pdf": "application/pdf",
    "json": "application/json",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "ics": "text/calendar; charset=utf-8",
    "geojson": "application/geo+json",
    "gpkg": "application/geopackage+sqlite3",
    "csv": "text/csv; charset=utf-8",
    "zip": "application/zip",
}


@router.get("/jobs/{job}/documents")
def _documents_page(request: Request, job: str) -> HTMLResponse:
    return plan_page(request, job, "documents", "documents.html", documents_view, going_on=True)


@router.get("/jobs/{job}/documents/{paper}")
def _hand_out(request: Request, job: str, paper: str) -> Response:
    plans = _plans(request, job)
    if plans is None:
        return RedirectResponse(f"/jobs/{job}/documents", status_code=303)
    desk = use_cases(request).papers
    for one, order in desk.papers(job, *plans):
        if one.name == paper:
            if order is None or order.content is None:
                return RedirectResponse(f"/jobs/{job}/documents", status_code=303)
            headers = {"content-disposition": f'attachment; filename="{job}-{one.name}"'}
            return Response(order.content, media_type=_KINDS[one.name.rpartition(".")[2]], headers=headers)
    raise HTTPException(404)


@router.post("/jobs/{job}/documents/{paper}")
async def _order(request: Request, job: str, paper: str) -> Response:
    fields = await fields_of(request)
    plans = _plans(request, job)
    desk = use_cases(request).papers
    if plans is not None and not (desk.stop if fields.get("do") == "stop" else desk.ask)(job, *plans, paper):
        raise HTTPException(404)
    return RedirectResponse(f"/jobs/{job}/documents", status_code=303)


def _plans(request: Request, job: str) -> tuple[Plan, Plan] | None:
    """Return the plan of a job and how it goes on; None where one is not there yet or the job has faults: the page says which."""
    at_hand, jobs = job_at_hand(request, job), use_cases(request).jobs
    if at_hand.read.job is None:
        return None
    plan, current = jobs.plan(at_hand.read.job), jobs.current(at_hand)
    return None if current is None or isinstance(plan, Making) or isinstance(current, Making) else (plan, current)
