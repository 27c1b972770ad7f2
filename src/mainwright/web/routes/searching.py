"""The search for a better programme: begun, seen, stopped with the best so far, or cancelled."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, HTTPException, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import RedirectResponse

from mainwright.web.forms import fields_of
from mainwright.web.pages import page, reader_from, use_cases
from mainwright.web.place import Visit, job_at_hand
from mainwright.web.views.searching import search_view
from mainwright.workflow.making import Making
from mainwright.workflow.searching import LONGEST

if TYPE_CHECKING:
    from collections.abc import Mapping

    from fastapi.responses import Response

__all__ = ["router"]

router: Final = APIRouter()


@router.get("/jobs/{job}/programme/search")
def _seen(request: Request, job: str) -> Response:
    """Give how the search stands, without its page; where there is no programme now, the page says why."""
    at_hand, uses = job_at_hand(request, job), use_cases(request)
    elsewhere = RedirectResponse(f"/jobs/{job}/programme", status_code=303)
    if at_hand.read.job is None:
        return elsewhere
    plan, current = uses.jobs.plan(at_hand.read.job), uses.jobs.current(at_hand)
    if current is None or isinstance(plan, Making) or isinstance(current, Making):
        return elsewhere
    search = search_view(Visit(reader_from(request), uses, at_hand, plan, current), alone=True)
    return elsewhere if search is None else page(request, "programme_search.html", at_hand=at_hand, search=search)


@router.post("/jobs/{job}/programme/search")
async def _asked(request: Request, job: str) -> Response:
    return await run_in_threadpool(_done, request, job, await fields_of(request))


def _done(request: Request, job: str, fields: Mapping[str, str]) -> Response:
    at_hand, searches = job_at_hand(request, job), use_cases(request).searches
    if searches is None:
        raise HTTPException(404)
    do = fields.get("do", "")
    if do == "begin":
        seconds = _minutes(fields.get("minutes", "")) * 60.0
        if not 0.0 < seconds <= LONGEST:
            text = reader_from(request).say.text("Minutes of the search: a number over 0 and up to 60 is right.")
            return page(request, "refused.html", status=422, text=text, back=f"/jobs/{job}/programme#search")
        # Where one goes on already, that is the one which is shown.
        searches.begin(at_hand, seconds=seconds)
    elif do in {"stop", "cancel"}:
        number = fields.get("number", "")
        meant = int(number) if number.isascii() and number.isdigit() and len(number) < 10 else 0
        (searches.enough if do == "stop" else searches.cancel)(at_hand, meant)
    else:
        raise HTTPException(400)
    return RedirectResponse(f"/jobs/{job}/programme#search", status_code=303)


def _minutes(text: str) -> float:
    try:
        found = float(text.replace(",", "."))
    except ValueError:
        return math.nan
    return math.nan if "_" in text else found
