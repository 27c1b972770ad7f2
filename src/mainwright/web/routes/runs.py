"""The place ``runs``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, Request

from mainwright.web.place import plan_page
from mainwright.web.views.runs import run_view, runs_view

if TYPE_CHECKING:
    from fastapi.responses import HTMLResponse

__all__ = ["router"]

router: Final = APIRouter()


@router.get("/jobs/{job}/runs")
def _runs_page(request: Request, job: str) -> HTMLResponse:
    return plan_page(request, job, "runs", "runs.html", runs_view)


@router.get("/jobs/{job}/runs/{run}")
def _run_page(request: Request, job: str, run: str) -> HTMLResponse:
    return plan_page(request, job, "runs", "run_sheet.html", lambda visit: run_view(visit, run))
