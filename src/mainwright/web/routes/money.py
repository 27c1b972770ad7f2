"""The place ``money``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, Request

from mainwright.web.place import plan_page
from mainwright.web.views.money import money_view

if TYPE_CHECKING:
    from fastapi.responses import HTMLResponse

__all__ = ["router"]

router: Final = APIRouter()


@router.get("/jobs/{job}/money")
def _money_page(request: Request, job: str) -> HTMLResponse:
    return plan_page(request, job, "money", "money.html", money_view)
