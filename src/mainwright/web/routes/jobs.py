"""The jobs: which there are, how each stands, and what is due."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final
from urllib.parse import parse_qsl

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse

from mainwright.web.forms import fields_of
from mainwright.web.pages import page, reader_from, use_cases
from mainwright.web.views.jobs import jobs_view

if TYPE_CHECKING:
    from fastapi.responses import HTMLResponse, Response

__all__ = ["router"]

router: Final = APIRouter()


@router.get("/")
def _list_jobs(request: Request) -> HTMLResponse:
    """Show the jobs at hand."""
    uses = use_cases(request)
    today = uses.clock().astimezone(uses.zone).date()
    asked = dict(parse_qsl(request.url.query))
    return page(request, "jobs.html", **jobs_view(uses.board.cards(today), asked, today, reader_from(request).say))


@router.post("/archive")
async def _archive(request: Request) -> Response:
    """Put jobs away, or take them out again."""
    fields = await fields_of(request)
    away = fields.get("away") != "no"
    names = [name.removeprefix("job:") for name in fields if name.startswith("job:")]
    back = "/" if away else "/?away=yes"
    say = reader_from(request).say
    if not names or not fields.get("author"):
        text = say.text("Choose jobs, and say who you are: it stands in the record.")
        return page(request, "refused.html", status=422, text=text, back=back)
    use_cases(request).board.archive(names, away=away, author=fields["author"][:80])
    return RedirectResponse(back, status_code=303)
