"""The place ``water``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, Request

from mainwright.web.place import plan_page
from mainwright.web.views.water import water_view

if TYPE_CHECKING:
    from fastapi.responses import HTMLResponse

__all__ = ["router"]

router: Final = APIRouter()


@router.get("/jobs/{job}/water")
def _water_page(request: Request, job: str) -> HTMLResponse:
    return plan_page(request, job, "water", "water.html", water_view)
