"""The library: what is kept for every job."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, HTTPException, Request

from mainwright.web.pages import page, reader_from
from mainwright.web.views.library import library_view, table_view
from mainwright.workflow.values import published_table

if TYPE_CHECKING:
    from fastapi.responses import HTMLResponse

__all__ = ["router"]

router: Final = APIRouter()


@router.get("/library")
def _library_page(request: Request) -> HTMLResponse:
    """Show which tables of published values there are."""
    return page(request, "library.html", **library_view(reader_from(request).say))


@router.get("/library/{table}")
def _table_page(request: Request, table: str) -> HTMLResponse:
    """Show a table with the source of each of its values."""
    found = published_table(table)
    if found is None:
        raise HTTPException(404)
    return page(request, "library_table.html", **table_view(found, reader_from(request).say))
