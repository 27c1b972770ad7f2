"""Behind the guard: who asks, whether that is enough for what is asked, and what is put on record of it."""

from __future__ import annotations

import asyncio
import re
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from mainwright.web.pages import page, reader_from
from mainwright.web.roles import ROLES, Need, may, need_of
from mainwright.web.visitor import HERE, Visitor, session_cookie
from mainwright.words.message import message

if TYPE_CHECKING:
    from mainwright.web.guard import App, Message, Receive, Scope, Send
    from mainwright.web.noting import Notes
    from mainwright.workflow.pairing import Pairing

__all__ = ["LOOPBACK", "Door", "address_of"]

LOOPBACK: Final = ("127.0.0.1", "::1")
"""Addresses on which only this machine itself can ask."""

_JOB: Final = re.compile(r"/jobs/([^/]+)(?:/|$)")
_NOBODY: Final = Visitor(None, "")


class Door:
    """Lets in whoever may.

    Without pairing there is only this machine, which leads. With it, what comes in on an address of the machine's own still leads; all
    else is nobody until it brings the token of a device that was let in.

    Parameters
    ----------
    app : callable
        What lies behind. [-]
    pairing : Pairing or None
        The devices. [-]
    notes : Notes
        Where deeds are put on record. [-]
    """

    def __init__(self, app: App, *, pairing: Pairing | None, notes: Notes) -> None:
        self._app = app
        self._pairing = pairing
        self._notes = notes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or answer it here."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        visitor = self._visitor(scope)
        state = dict(scope.get("state") or {})
        state["visitor"] = visitor
        scope["state"] = state
        need = need_of("WS" if scope["type"] == "websocket" else scope["method"], scope["path"])
        if not may(visitor.role, need.role):
            await self._deny(scope, receive, send, visitor, need)
        elif scope["type"] == "websocket":
            await self._app(scope, receive, self._while_let_in(visitor, send))
        elif need.deed:
            await self._app(scope, receive, await self._noted(scope, visitor, need, send))
        else:
            await self._app(scope, receive, send)

    def _visitor(self, scope: Scope) -> Visitor:
        if self._pairing is None or (scope.get("server") or ("",))[0] in LOOPBACK:
            return HERE
        device = self._pairing.known(_cookie(scope))
        return _NOBODY if device is None else Visitor(device.role, device.id, device.name)

    def _while_let_in(self, visitor: Visitor, send: Send) -> Send:
        """Close a live connection with the next word on it once its device was removed."""

        async def give(message_: Message) -> None:
            if self._pairing is not None and visitor != HERE and not self._pairing.stands(visitor.device):
                await send({"type": "websocket.close", "code": 1008, "reason": "This device was removed."})
                raise OSError("This device was removed.")
            await send(message_)

        return give

    async def _noted(self, scope: Scope, visitor: Visitor, need: Need, send: Send) -> Send:
        found = _JOB.match(scope["path"])
        job = found[1] if found else None
        _, before = await asyncio.to_thread(self._notes.standing, job)

        async def give(message_: Message) -> None:
            if message_["type"] == "http.response.start" and message_["status"] < 400:
                where = dict(message_["headers"]).get(b"location", b"").decode("latin-1")
                led = _JOB.match(where)
                fields = scope["state"].get("fields", {})
                await asyncio.to_thread(
                    self._notes.done, need.deed, visitor, address_of(scope), fields=fields, job=led[1] if led else job, before=before,
                    path=scope["path"],
                )  # fmt: skip
            await send(message_)

        return give

    async def _deny(self, scope: Scope, receive: Receive, send: Send, visitor: Visitor, need: Need) -> None:
        socket = scope["type"] == "websocket"
        method = "live connection" if socket else scope["method"]
        if visitor.role is not None or socket or method not in ("GET", "HEAD"):
            what = "stranger refused" if visitor.role is None else "refused"
            await asyncio.to_thread(self._notes.refused, what, visitor, address_of(scope), f"{method} {scope['path']}")
        if socket:
            await send({"type": "websocket.close", "code": 1008, "reason": "This device may not do that."})
            return
        answer = _denied(Request(scope, receive), visitor, need)
        await answer(scope, receive, send)


def address_of(scope: Scope) -> str:
    """Return the address of the network from which a request comes.

    Parameters
    ----------
    scope : mapping
        What was asked. [-]

    Returns
    -------
    str
        Empty where none is known.
    """
    client = scope.get("client")
    return str(client[0]) if client else ""


def _denied(request: Request, visitor: Visitor, need: Need) -> Response:
    say = reader_from(request).say
    if visitor.role is None:
        if request.method in ("GET", "HEAD") and "application/json" not in request.headers.get("accept", ""):
            query = f"?{request.url.query}" if request.url.query else ""
            return RedirectResponse(f"/pair?next={quote(request.url.path + query, safe='')}", status_code=303)
        status, text = 401, say.text("This device was not let in, or was removed: ask the lead for a code.")
    else:
        role = say.word(ROLES[visitor.role])
        told = (
            message("Only lead and crew may do that. This device was let in as {role}.", role=role)
            if need.role == "crew"
            else message("Only the lead may do that. This device was let in as {role}.", role=role)
        )
        status, text = 403, say.word(told)
    if "application/json" in request.headers.get("accept", ""):
        return JSONResponse({"text": text, "place": None}, status_code=status)
    return page(request, "denied.html", status=status, text=text, stranger=visitor.role is None)


def _cookie(scope: Scope) -> str:
    """Return the token that a device brings; nothing where it brings two."""
    name = session_cookie(scope.get("scheme", "http"))
    found = []
    for key, value in scope["headers"]:
        if key == b"cookie":
            pairs = (part.strip().partition("=") for part in value.decode("latin-1").split(";"))
            found += [said for one, _, said in pairs if one == name]
    return found[0] if len(found) == 1 else ""
