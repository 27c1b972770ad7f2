"""The place ``layout``: alternatives, and an opening that is moved, fixed or ruled out, with price and limits at once."""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING, Final, get_args

from fastapi import APIRouter, HTTPException, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import JSONResponse

from mainwright.errors import Conflict, InputError, MainwrightError
from mainwright.job.lining import LayoutWish
from mainwright.job.survey import OpeningChoice
from mainwright.web.forms import fields_of
from mainwright.web.pages import reader_from, use_cases
from mainwright.web.place import job_at_hand, plan_page
from mainwright.web.views.layout import layout_view, searched_view, tried_view
from mainwright.workflow.layout_desk import with_choices

if TYPE_CHECKING:
    from collections.abc import Mapping

    from fastapi.responses import HTMLResponse

    from mainwright.job.job import Job
    from mainwright.workflow.layout_desk import LayoutDesk

__all__ = ["router"]

router: Final = APIRouter()

_MOST: Final = 2000
"""Openings that a hand may make."""


@router.get("/jobs/{job}/layout")
def _layout_page(request: Request, job: str) -> HTMLResponse:
    return plan_page(request, job, "layout", "layout.html", layout_view)


@router.post("/jobs/{job}/layout/try")
async def _try(request: Request, job: str) -> JSONResponse:
    """Price a layout made by hand, and say which limits it breaks."""
    known, desk, fields = _job(request, job), _desk(request), await fields_of(request)
    try:
        tried = await run_in_threadpool(desk.tried, known, _chainages(fields, "openings"))
    except InputError as error:
        return JSONResponse({"text": str(error)}, status_code=422)
    return JSONResponse(tried_view(tried, known, reader_from(request).say, _planned(fields)))


@router.post("/jobs/{job}/layout/search")
async def _search(request: Request, job: str) -> JSONResponse:
    """Find the best layout that keeps what is fixed and ruled out."""
    known, desk, fields = _job(request, job), _desk(request), await fields_of(request)
    choices, choose = _choices(fields)
    try:
        # On a long main the first search takes seconds: others are answered meanwhile.
        found = await run_in_threadpool(desk.searched, known, choices, choose)
    except InputError as error:
        return JSONResponse({"text": str(error)}, status_code=422)
    return JSONResponse(searched_view(found, known, reader_from(request).say, _planned(fields)))


@router.post("/jobs/{job}/layout/save")
async def _save(request: Request, job: str) -> JSONResponse:
    """Keep what is fixed, what is ruled out and which layout is wanted, as a revision of the job."""
    fields, at_hand = await fields_of(request), job_at_hand(request, job)
    say, shelf = reader_from(request).say, use_cases(request).jobs.shelf
    if not fields.get("author"):
        return JSONResponse({"text": say.text("Say who you are: it stands in the record.")}, status_code=422)
    base, meanwhile = at_hand.revision.revision, say.text("Somebody saved this job meanwhile: open it anew.")
    if fields.get("base") != base:
        return JSONResponse({"text": meanwhile}, status_code=409)
    choices, choose = _choices(fields)
    try:
        name = shelf.save(with_choices(shelf.document(at_hand.name, base), choices, choose), author=fields["author"][:80], base=base)
    except Conflict:
        return JSONResponse({"text": meanwhile}, status_code=409)
    except MainwrightError as error:
        return JSONResponse({"text": str(error)}, status_code=422)
    return JSONResponse({"name": name})


def _job(request: Request, name: str) -> Job:
    found = job_at_hand(request, name).read.job
    if found is None:
        raise HTTPException(404)
    return found


def _desk(request: Request) -> LayoutDesk:
    desk = use_cases(request).desk
    if desk is None:
        raise HTTPException(404)
    return desk


def _chainages(fields: Mapping[str, str], name: str) -> list[float]:
    try:
        found = [float(one) for one in json.loads(fields.get(name, "[]"))]
    except (ValueError, TypeError, RecursionError, OverflowError):
        raise HTTPException(400) from None
    if len(found) > _MOST or not all(math.isfinite(one) for one in found):
        raise HTTPException(400)
    return found


def _choices(fields: Mapping[str, str]) -> tuple[list[OpeningChoice], LayoutWish | None]:
    locked, forbidden = _chainages(fields, "locked"), _chainages(fields, "forbidden")
    choose = next((one for one in get_args(LayoutWish) if one == fields.get("choose")), None)
    fixed = [OpeningChoice(one, "locked") for one in dict.fromkeys(locked)]
    return fixed + [OpeningChoice(one, "forbidden") for one in dict.fromkeys(forbidden) if one not in locked], choose


def _planned(fields: Mapping[str, str]) -> float | None:
    try:
        value = float(fields.get("planned", ""))
    except ValueError:
        return None
    return value if math.isfinite(value) else None
