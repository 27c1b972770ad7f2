"""The place ``programme``, and the issue of the plan."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, HTTPException, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import RedirectResponse

from mainwright.web.forms import fields_of
from mainwright.web.pages import reader_from, use_cases
from mainwright.web.place import Visit, job_at_hand, place_page, plan_page
from mainwright.web.views.programme import programme_view, seen_mark
from mainwright.workflow.issuing import issuing
from mainwright.workflow.making import Making

if TYPE_CHECKING:
    from collections.abc import Mapping

    from fastapi.responses import HTMLResponse, Response

__all__ = ["router"]

router: Final = APIRouter()
_LONGEST: Final = 80


@router.get("/jobs/{job}/programme")
def _programme_page(request: Request, job: str) -> HTMLResponse:
    view = partial(programme_view, by=request.query_params.get("bars"))
    return plan_page(request, job, "programme", "programme.html", view, going_on=True)


@router.post("/jobs/{job}/programme/issue")
async def _issue(request: Request, job: str) -> Response:
    return await run_in_threadpool(_issued, request, job, await fields_of(request))


def _issued(request: Request, name: str, fields: Mapping[str, str]) -> Response:
    """Issue the plan as it is seen: one that was made of another revision, or of other records, is not issued unseen."""
    uses = use_cases(request)
    at_hand = job_at_hand(request, name)
    plan = uses.jobs.current(at_hand)
    if plan is None or isinstance(plan, Making) or plan.programme is None:
        raise HTTPException(409)
    records = uses.jobs.shelf.records(name)
    visit = Visit(reader_from(request), uses, at_hand, plan)
    if fields.get("seen") != seen_mark(visit):
        shown = programme_view(visit)
        return place_page(request, at_hand, "programme", "programme.html", status=409, changed_meanwhile=True, **shown)
    new = issuing(records, uses.papers.plan_text(plan))
    if new is not None:
        uses.jobs.shelf.add_records(name, [new], author=fields.get("author", "").strip()[:_LONGEST] or "-")
    return RedirectResponse(f"/jobs/{name}/programme", status_code=303)
