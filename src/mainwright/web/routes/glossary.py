"""Help in place: the glossary, and the tour that somebody ends or starts again."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse

from mainwright.web.forms import fields_of, plain_path
from mainwright.web.glossary import glossary_view
from mainwright.web.pages import TOUR, page, reader_from

if TYPE_CHECKING:
    from fastapi.responses import HTMLResponse, Response

__all__ = ["router"]

router: Final = APIRouter()

_YEAR: Final = 365 * 24 * 3600


@router.get("/glossary")
def _glossary(request: Request) -> HTMLResponse:
    """Show the terms."""
    return page(request, "glossary.html", **glossary_view(reader_from(request).say))


@router.post("/tour")
async def _tour(request: Request) -> Response:
    """End the tour, or start it again; the browser keeps which."""
    fields = await fields_of(request)
    on = fields.get("tour") == "on"
    answer = RedirectResponse("/" if on else plain_path(fields.get("back", "/")), status_code=303)
    answer.set_cookie(TOUR, "on" if on else "ended", max_age=_YEAR, httponly=True, samesite="strict")
    return answer
