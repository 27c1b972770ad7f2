"""The place ``proof``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import Response

from mainwright.web.pages import use_cases
from mainwright.web.place import job_at_hand, plan_page
from mainwright.web.views.proof import proof_view, run_proof_view
from mainwright.workflow.making import Making

if TYPE_CHECKING:
    from fastapi.responses import HTMLResponse

__all__ = ["router"]

router: Final = APIRouter()


@router.get("/jobs/{job}/proof")
def _proof_page(request: Request, job: str) -> HTMLResponse:
    return plan_page(request, job, "proof", "proof.html", proof_view)


@router.get("/jobs/{job}/proof/{run}")
def _run_page(request: Request, job: str, run: str) -> HTMLResponse:
    return plan_page(request, job, "proof", "proof.html", lambda visit: run_proof_view(visit, run))


@router.get("/jobs/{job}/records/{photo}")
def _photo(request: Request, job: str, photo: str) -> Response:
    """Return a photograph of the proof that was made: no other file of the records is given out here."""
    uses, at_hand = use_cases(request), job_at_hand(request, job)
    plan = None if at_hand.read.job is None else uses.jobs.plan(at_hand.read.job)
    if plan is None or isinstance(plan, Making):
        raise HTTPException(404)
    data = uses.papers.pictures(job, plan).photos.get(photo)
    if data is None:
        raise HTTPException(404)
    kind = "image/png" if data.startswith(b"\x89PNG") else "image/jpeg"
    return Response(data, media_type=kind, headers={"cache-control": "private, max-age=3600"})
