"""How a reader wants the pages: language, units, light."""

from __future__ import annotations

from typing import Final

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse

from mainwright.web.forms import fields_of, plain_path
from mainwright.web.pages import reader_from
from mainwright.web.reader import CHOICES, COOKIE, chosen

__all__ = ["router"]

router: Final = APIRouter()

_A_YEAR: Final = 31_536_000


@router.post("/look")
async def _change_look(request: Request) -> RedirectResponse:
    """Keep what somebody chose, and go back."""
    fields = await fields_of(request)
    reader = reader_from(request)
    for name in CHOICES:
        reader = chosen(reader, name, fields.get(name, ""))
    answer = RedirectResponse(plain_path(fields.get("back", "/")), status_code=303)
    answer.set_cookie(COOKIE, reader.cookie, max_age=_A_YEAR, httponly=True, samesite="lax")
    return answer
