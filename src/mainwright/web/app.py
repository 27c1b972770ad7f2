"""The app: its pages over the use cases that it is given, behind its guard."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

from fastapi import FastAPI, HTTPException, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, Response
from starlette.exceptions import HTTPException as AnyHTTPException

from mainwright.web.assets import read_assets
from mainwright.web.door import Door
from mainwright.web.drawings import Drawings
from mainwright.web.guard import Guard
from mainwright.web.live import Broadcasts
from mainwright.web.noting import Notes
from mainwright.web.pages import Pages, page
from mainwright.web.routes import (
    audit,
    devices,
    documents,
    glossary,
    jobs,
    layout,
    library,
    library_entries,
    library_taking,
    lining,
    live,
    look,
    making,
    money,
    programme,
    proof,
    ribbon,
    runs,
    searching,
    signing,
    survey,
    water,
)

if TYPE_CHECKING:
    from collections.abc import Iterable

    from mainwright.workflow.visiting import UseCases

__all__ = ["create_app"]

_LOG = logging.getLogger("mainwright.web")


def create_app(use_cases: UseCases, *, hosts: Iterable[str]) -> FastAPI:
    """Return the app.

    Parameters
    ----------
    use_cases : UseCases
        What the pages may ask. [-]
    hosts : iterable of str
        Names with port under which the app may be asked, as in `Guard`. [-]

    Returns
    -------
    FastAPI
        An ASGI app; it serves no page of documentation and asks nothing of other machines.
    """
    app = FastAPI(title="Mainwright", docs_url=None, redoc_url=None, openapi_url=None)
    assets = read_assets()
    app.state.use_cases = use_cases
    app.state.broadcasts = Broadcasts(use_cases)
    app.state.pages = Pages(assets, token=use_cases.token)
    app.state.drawings = Drawings()
    app.state.notes = notes = Notes(use_cases)
    # The last one that is added is passed first.
    app.add_middleware(Door, pairing=use_cases.pairing, notes=notes)
    app.add_middleware(Guard, hosts=tuple(hosts), told=notes.foreign)

    @app.get("/static/{name:path}")
    def static(name: str) -> Response:
        found = assets.served.get(name)
        if found is None:
            raise HTTPException(404)
        return Response(found.data, media_type=found.kind, headers={"cache-control": "public, max-age=31536000, immutable"})

    for group in (
        jobs,
        ribbon,
        survey,
        lining,
        layout,
        runs,
        proof,
        signing,
        water,
        programme,
        searching,
        money,
        documents,
        library_entries,
        library_taking,
        library,
        glossary,
        live,
        look,
        devices,
        audit,
        making,
    ):
        app.include_router(group.router)
    app.add_exception_handler(AnyHTTPException, _refused)
    app.add_exception_handler(RequestValidationError, _not_understood)
    app.add_exception_handler(Exception, _failed)
    return app


def _refused(request: Request, error: Exception) -> HTMLResponse:
    status = error.status_code if isinstance(error, AnyHTTPException) else 500
    return page(request, "error.html", status=status, error=status)


def _not_understood(request: Request, error: Exception) -> HTMLResponse:
    del error
    return page(request, "error.html", status=400, error=400)


def _failed(request: Request, error: Exception) -> HTMLResponse:
    _LOG.error("A page failed: %s %s", request.method, request.url.path, exc_info=error)
    return page(request, "error.html", status=500, error=500)
