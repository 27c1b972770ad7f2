"""The place ``survey``: the tables of a job."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse

from mainwright.web.pages import reader_from
from mainwright.web.place import job_at_hand, place_page
from mainwright.web.views.survey import survey_view

if TYPE_CHECKING:
    from fastapi.responses import HTMLResponse

__all__ = ["router"]

router: Final = APIRouter()


@router.get("/jobs/{job}")
def _job(request: Request, job: str) -> RedirectResponse:
    return RedirectResponse(f"/jobs/{job_at_hand(request, job).name}/survey", status_code=303)


@router.get("/jobs/{job}/survey")
def _survey_page(request: Request, job: str) -> HTMLResponse:
    at_hand = job_at_hand(request, job)
    return place_page(request, at_hand, "survey", "survey.html", answer=survey_view(at_hand, reader_from(request)))
