"""Where a run is accepted or dissented from, and where it is signed that the water goes back: a form that a phone shows, also without script."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from mainwright.web.forms import fields_of
from mainwright.web.pages import reader_from, use_cases
from mainwright.web.place import Visit, job_at_hand, place_page, plan_page
from mainwright.web.views.signing import signature_in, signing_of, signing_view
from mainwright.words.message import message
from mainwright.workflow.making import Making
from mainwright.workflow.store_ports import NewRecord

if TYPE_CHECKING:
    from collections.abc import Mapping

    from fastapi.responses import HTMLResponse

__all__ = ["router"]

router: Final = APIRouter()


@router.get("/jobs/{job}/proof/{run}/sign")
def _run_page(request: Request, job: str, run: str) -> HTMLResponse:
    return plan_page(request, job, "proof", "sign.html", lambda visit: signing_view(visit, run))


@router.get("/jobs/{job}/water/sign")
def _water_page(request: Request, job: str) -> HTMLResponse:
    return plan_page(request, job, "water", "sign.html", lambda visit: signing_view(visit, None))


@router.post("/jobs/{job}/proof/{run}/sign")
async def _sign_run(request: Request, job: str, run: str) -> Response:
    return await run_in_threadpool(_signed, request, job, run, await fields_of(request))


@router.post("/jobs/{job}/water/sign")
async def _sign_water(request: Request, job: str) -> Response:
    return await run_in_threadpool(_signed, request, job, None, await fields_of(request))


def _signed(request: Request, name: str, run: str | None, fields: Mapping[str, str]) -> Response:
    at_hand, uses, reader = job_at_hand(request, name), use_cases(request), reader_from(request)
    place = "water" if run is None else "proof"
    plan = None if at_hand.read.job is None else uses.jobs.plan(at_hand.read.job)
    if plan is None or isinstance(plan, Making):
        raise HTTPException(409)
    visit = Visit(reader, uses, at_hand, plan)
    signing = signing_of(visit, run)
    if signing is None:
        raise HTTPException(409)
    try:
        row = signature_in(fields, signing, run=run, now=uses.clock())
    except ValueError as error:
        wrong = reader.say.word(message("Nothing was signed: {why}", why=error.args[0]))
        return place_page(request, at_hand, place, "sign.html", status=422, **signing_view(visit, run, given=fields, wrong=wrong))
    uses.jobs.shelf.add_records(name, [NewRecord("signatures", row)], author=str(row["name"]))
    return RedirectResponse(str(request.url.path), status_code=303)
