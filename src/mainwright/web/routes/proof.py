"""The place ``proof``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, Request

from mainwright.web.place import plan_page
from mainwright.web.views.proof import proof_view, run_proof_view

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
