"""Drawings that a page asks for again and again: the last ones are kept, and a browser that has one is not sent it again."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Final

from fastapi.responses import Response

from mainwright.web.kept import Kept

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable

    from fastapi import Request

__all__ = ["Drawings"]

_MOST: Final = 24_000_000
"""Bytes that are kept."""


class Drawings:
    """Keeps what was drawn, by everything that it depends on."""

    def __init__(self) -> None:
        self._kept: Kept[tuple[str, bytes]] = Kept(_MOST, lambda one: len(one[1]))

    def answer(self, request: Request, key: Hashable, make: Callable[[], str], *, kind: str) -> Response:
        """Return a drawing as an answer: without its content where the browser holds the same.

        Parameters
        ----------
        request : Request
            What was asked. [-]
        key : hashable
            Everything that the drawing depends on. [-]
        make : callable
            Draws it. [-]
        kind : str
            Media type. [-]

        Returns
        -------
        Response
            The drawing; the browser asks again each time whether it is still the same.
        """

        def made() -> tuple[str, bytes]:
            content = make().encode("utf-8")
            return f'"{hashlib.sha256(content).hexdigest()[:32]}"', content

        tag, content = self._kept.get(key, made)
        headers = {"etag": tag, "cache-control": "private, no-cache", "vary": "cookie, accept-language"}
        if tag in [one.strip().removeprefix("W/") for one in request.headers.get("if-none-match", "").split(",")]:
            return Response(status_code=304, headers=headers)
        return Response(content, media_type=kind, headers=headers)
