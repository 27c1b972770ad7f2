"""What every request passes before a page sees it: the host it asks for, where it comes from, how much it brings, and what goes back with it."""

from __future__ import annotations

import asyncio
import re
from typing import TYPE_CHECKING, Final
from urllib.parse import urlsplit

if TYPE_CHECKING:
    from collections.abc import Awaitable, Callable, Iterable, MutableMapping
    from typing import Any

    Scope = MutableMapping[str, Any]
    Message = MutableMapping[str, Any]
    Receive = Callable[[], Awaitable[Message]]
    Send = Callable[[Message], Awaitable[None]]
    App = Callable[[Scope, Receive, Send], Awaitable[None]]

__all__ = ["MOST_BODY", "Guard", "same_origin"]

MOST_BODY: Final = 1_000_000
"""Bytes that a request may bring; a form of a page has a few hundred."""

_MOST_TABLES: Final = 32_000_000
"""Bytes that the tables of a job may have: a survey of 10 km as it is typed, and the files of a folder."""

_TABLES: Final = re.compile(r"/jobs/[^/]+/survey/(?:check|save|parse|bring)")

_MOST_LIBRARY: Final = 12_000_000
"""Bytes that the files of the library may have, as a form brings them."""

_LIBRARY: Final = re.compile(r"/library/(?:new|import|entries/[^/]+/edit)")

_READING: Final = ("GET", "HEAD")

_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self'; manifest-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)

_HEADERS: Final = (
    (b"content-security-policy", _POLICY.encode("ascii")),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), microphone=(), geolocation=(), payment=()"),
)


class Guard:
    """Refuses what does not come from our own pages, and adds the headers that keep it so.

    A page of another site can make a browser ask us: it then sends that site's name as the origin. A name that somebody else points at this
    machine arrives as the host.

    Parameters
    ----------
    app : callable
        What is guarded. [-]
    hosts : iterable of str
        Names, with port where there is one, under which this server may be asked; one that begins with ``*:`` stands for any name with that port. [-]
    told : callable, optional
        Told from where a request came that was refused, and what it was. [-]
    """

    def __init__(self, app: App, *, hosts: Iterable[str], told: Callable[[str, str], None] | None = None) -> None:
        self._app = app
        self._told = told
        self._hosts = frozenset(host.lower() for host in hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or answer it here."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        refused = self._refusal(scope)
        if refused is not None:
            if self._told is not None:
                client, what = scope.get("client"), f"host {_header(scope, b'host')}, origin {_header(scope, b'origin')}, {scope['path']}"
                await asyncio.to_thread(self._told, str(client[0]) if client else "", what)
            await _refuse(scope, send, *refused)
            return
        if scope["type"] == "websocket":
            await self._app(scope, receive, send)
            return
        await self._app(scope, _limited(receive, _most(scope)), _with_headers(send))

    def _refusal(self, scope: Scope) -> tuple[int, str] | None:
        host = _header(scope, b"host").lower()
        if not self._known(host):
            return 421, "This server is not asked under that name."
        secret = scope.get("scheme") in ("https", "wss")
        writes = scope["type"] == "websocket" or scope["method"] not in _READING
        if writes and not same_origin(_header(scope, b"origin"), host, secret=secret):
            return 403, "Only pages of this server may do that."
        brings = _header(scope, b"content-length")
        if brings and (not brings.isdigit() or int(brings) > _most(scope)):
            return 413, "That is too much at once."
        return None

    def _known(self, host: str) -> bool:
        return host in self._hosts or f"*:{host.rpartition(':')[2]}" in self._hosts


def same_origin(origin: str, host: str, *, secret: bool = False) -> bool:
    """Return whether a request with this origin comes from a page of this host.

    Parameters
    ----------
    origin : str
        What the browser says; browsers always say it where something is written. [-]
    host : str
        What is asked. [-]
    secret : bool
        Whether it is asked encrypted: a page that came in the clear may be anybody's. [-]

    Returns
    -------
    bool
        Whether both are one.

    Examples
    --------
    >>> same_origin("http://127.0.0.1:8420", "127.0.0.1:8420"), same_origin("null", "127.0.0.1:8420")
    (True, False)
    """
    try:
        parts = urlsplit(origin)
    except ValueError:
        return False
    return parts.scheme == ("https" if secret else "http") and parts.netloc.lower() == host.lower() != ""


def _header(scope: Scope, name: bytes) -> str:
    found = [value for key, value in scope["headers"] if key == name]
    return found[0].decode("latin-1") if len(found) == 1 else ""


def _most(scope: Scope) -> int:
    if _LIBRARY.fullmatch(str(scope["path"])):
        return _MOST_LIBRARY
    return _MOST_TABLES if _TABLES.fullmatch(str(scope["path"])) else MOST_BODY


def _limited(receive: Receive, most: int) -> Receive:
    """Count what a request brings; one that did not say how much is cut where it is too much."""
    count = 0

    async def take() -> Message:
        nonlocal count
        message = await receive()
        count += len(message.get("body", b""))
        if count > most:
            return {"type": "http.disconnect"}
        return message

    return take


def _with_headers(send: Send) -> Send:
    async def give(message: Message) -> None:
        if message["type"] == "http.response.start":
            there = {key for key, _ in message["headers"]}
            message["headers"] = [*message["headers"], *(pair for pair in _HEADERS if pair[0] not in there)]
            if b"cache-control" not in there:
                message["headers"].append((b"cache-control", b"no-store"))
        await send(message)

    return give


async def _refuse(scope: Scope, send: Send, status: int, text: str) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008, "reason": text})
        return
    body = text.encode("utf-8")
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(body)).encode("ascii"))]
    await _with_headers(send)({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
