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
    plan = _plan(request, job)
    if plan is None:
        return RedirectResponse(f"/jobs/{job}/documents", status_code=303)
    desk = use_cases(request).papers
    for one, order in desk.papers(job, plan):
        if one.name == paper:
            if order is None or order.content is None:
                return RedirectResponse(f"/jobs/{job}/documents", status_code=303)
            headers = {"content-disposition": f'attachment; filename="{job}-{one.name}"'}
            return Response(order.content, media_type=_KINDS[one.name.rpartition(".")[2]], headers=headers)
    raise HTTPException(404)


@router.post("/jobs/{job}/documents/{paper}")
async def _order(request: Request, job: str, paper: str) -> Response:
    fields = await fields_of(request)
    plan = _plan(request, job)
    desk = use_cases(request).papers
    if plan is not None and not (desk.stop if fields.get("do") == "stop" else desk.ask)(job, plan, paper):
        raise HTTPException(404)
    return RedirectResponse(f"/jobs/{job}/documents", status_code=303)


def _plan(request: Request, job: str) -> Plan | None:
    """Return the plan of a job; None where it is not there yet or the job has faults: the page says which."""
    plan = use_cases(request).jobs.current(job_at_hand(request, job))
    return None if isinstance(plan, Making) else plan
