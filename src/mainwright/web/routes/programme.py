"""The place ``programme``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, Request

from mainwright.web.place import plan_page
from mainwright.web.views.programme import programme_view

if TYPE_CHECKING:
    from fastapi.responses import HTMLResponse

__all__ = ["router"]

router: Final = APIRouter()


@router.get("/jobs/{job}/programme")
def _programme_page(request: Request, job: str) -> HTMLResponse:
    return plan_page(request, job, "programme", "programme.html", programme_view)
