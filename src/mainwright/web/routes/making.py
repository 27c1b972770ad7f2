"""The plan while it is made: it can be stopped, and made anew."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse

from mainwright.web.forms import fields_of
from mainwright.web.pages import use_cases
from mainwright.web.place import PLACES, job_at_hand

if TYPE_CHECKING:
    from fastapi.responses import Response

__all__ = ["router"]

router: Final = APIRouter()


@router.post("/jobs/{job}/plan")
async def _stop_or_again(request: Request, job: str) -> Response:
    fields = await fields_of(request)
    at_hand, jobs = job_at_hand(request, job), use_cases(request).jobs
    (jobs.again if fields.get("do") == "again" else jobs.stop)(at_hand)
    place = fields.get("place", "")
    return RedirectResponse(f"/jobs/{job}/{place if place in PLACES else 'lining'}", status_code=303)
