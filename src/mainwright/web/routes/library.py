"""The library: what is kept for every job."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, Request

from mainwright.web.pages import page, reader_from

if TYPE_CHECKING:
    from fastapi.responses import HTMLResponse

__all__ = ["router"]

router: Final = APIRouter()


@router.get("/library")
def _library_page(request: Request) -> HTMLResponse:
    say = reader_from(request).say
    return page(request, "library.html", answer=[say.text("Standards, governing documents, plant and prices for every job.")])
