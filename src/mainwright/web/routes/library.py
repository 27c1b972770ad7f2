"""The library: what is kept for every job."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, HTTPException, Request

from mainwright.web.pages import page, reader_from
from mainwright.web.routes.library_entries import library_of
from mainwright.web.views.library import library_view, table_view
from mainwright.web.views.library_entries import entries_view
from mainwright.workflow.values import published_table

if TYPE_CHECKING:
    from fastapi.responses import HTMLResponse

__all__ = ["router"]

router: Final = APIRouter()


@router.get("/library")
def _library_page(request: Request) -> HTMLResponse:
    """Show the entries that are kept across jobs, and which tables of published values there are."""
    say = reader_from(request).say
    kept = entries_view(library_of(request).entries(), say, asked=request.query_params)
    return page(request, "library.html", **library_view(say), **kept)


@router.get("/library/{table}")
def _table_page(request: Request, table: str) -> HTMLResponse:
    """Show a table with the source of each of its values."""
    found = published_table(table)
    if found is None:
        raise HTTPException(404)
    return page(request, "library_table.html", **table_view(found, reader_from(request).say))
