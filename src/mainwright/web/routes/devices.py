"""Letting phones in: the lead makes a code, a phone brings it, the lead sees which devices there are and removes them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, get_args

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from mainwright.web.door import address_of
from mainwright.web.forms import fields_of, plain_path
from mainwright.web.pages import page, reader_from, use_cases
from mainwright.web.views.devices import devices_view, refusal_text
from mainwright.web.visitor import HERE, Visitor, session_cookie, visitor_of
from mainwright.workflow.pairing import IDLE, Refused, Role

if TYPE_CHECKING:
    from fastapi.responses import HTMLResponse

    from mainwright.web.noting import Notes
    from mainwright.workflow.pairing import Pairing

__all__ = ["router"]

router: Final = APIRouter()


@router.get("/devices")
def _devices_page(request: Request) -> HTMLResponse:
    """Show which devices were let in, and the code that is good now."""
    return page(request, "devices.html", **devices_view(use_cases(request), reader_from(request).say))


@router.post("/devices/code")
async def _make_code(request: Request) -> RedirectResponse:
    """Make a code; an older one ends."""
    fields, pairing = await fields_of(request), _pairing(request)
    role: Role | None = next((one for one in get_args(Role) if one == fields.get("role")), None)
    if role is None:
        raise HTTPException(400)
    pairing.offer(role)
    return RedirectResponse("/devices", status_code=303)


@router.post("/devices/remove")
async def _remove(request: Request) -> RedirectResponse:
    """Take back that a device was let in; its pages end at once."""
    fields = await fields_of(request)
    if _pairing(request).remove(fields.get("device", "")) is None:
        raise HTTPException(404)
    return RedirectResponse("/devices", status_code=303)


@router.get("/pair")
def _pair_page(request: Request) -> HTMLResponse:
    """Ask for the code. To open the page lets nobody in."""
    _pairing(request)
    asked = request.query_params
    given = {"code": asked.get("code", "")[:20], "name": ""}
    return page(request, "pair.html", given=given, wrong="", next=plain_path(asked.get("next", "/")), known=visitor_of(request).role)


@router.post("/pair")
async def _pair(request: Request) -> Response:
    """Let a device in that brings the right code."""
    return await run_in_threadpool(_paired, request, await fields_of(request))


def _paired(request: Request, fields: dict[str, str]) -> Response:
    pairing, say = _pairing(request), reader_from(request).say
    notes: Notes = request.app.state.notes
    where, cookie = address_of(request.scope), session_cookie(request.url.scheme)
    name, back = " ".join(fields.get("name", "").split())[:60], plain_path(fields.get("next", "/"))
    if visitor_of(request) == HERE:
        return RedirectResponse("/devices", status_code=303)
    if not name or not name.isprintable():
        wrong = say.text("Say your name: it stands in the record.")
        return page(request, "pair.html", status=422, given={**fields, "name": name}, wrong=wrong, next=back, known=None)
    try:
        device, token = pairing.pair(fields.get("code", ""), name=name, where=where, old=request.cookies.get(cookie, ""))
    except Refused as error:
        notes.refused("device refused", Visitor(None, "", name), where, error.why)
        status = 429 if error.why == "wait" else 403
        answer: Response = page(
            request, "pair.html", status=status, given={"code": "", "name": name}, wrong=refusal_text(error.why, say), next=back, known=None
        )
        if status == 429:
            answer.headers["retry-after"] = "600"
        return answer
    notes.done(
        "device let in",
        Visitor(device.role, device.id, device.name),
        where,
        fields={"role": device.role},
        job=None,
        before=None,
        path="/pair",
    )
    answer = RedirectResponse(back, status_code=303)
    answer.set_cookie(
        cookie, token, max_age=int(IDLE.total_seconds()), path="/", httponly=True, samesite="lax", secure=request.url.scheme == "https"
    )
    return answer


def _pairing(request: Request) -> Pairing:
    found = use_cases(request).pairing
    if found is None:
        raise HTTPException(404)
    return found
