"""Who stands behind a request: this machine itself, a device that was let in, or nobody."""

from __future__ import annotations

import hmac
from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from starlette.requests import HTTPConnection

    from mainwright.workflow.pairing import Role

__all__ = ["COOKIE_ENCRYPTED", "COOKIE_PLAIN", "HERE", "Visitor", "session_cookie", "token_of", "visitor_of"]

COOKIE_PLAIN: Final = "mainwright_device"
COOKIE_ENCRYPTED: Final = "__Host-mainwright_device"
"""Where the pages are encrypted: a browser sends it nowhere else."""


@dataclass(frozen=True, slots=True)
class Visitor:
    """Somebody who asks.

    Attributes
    ----------
    role
        What may be done; None for nobody who is known.
    device
        Id of the device, ``local`` for this machine, empty for none.
    name
        Who was let in with it; empty on this machine.
    """

    role: Role | None
    device: str
    name: str = ""


HERE: Final = Visitor("lead", "local")
"""The machine that serves: whoever sits before it leads."""


def visitor_of(request: HTTPConnection) -> Visitor:
    """Return who asks."""
    found = (request.scope.get("state") or {}).get("visitor")
    return found if isinstance(found, Visitor) else Visitor(None, "")


def token_of(visitor: Visitor, secret: str) -> str:
    """Return what forms of this visitor bring back: another one for each device."""
    if visitor == HERE:
        return secret
    return hmac.new(secret.encode("utf-8"), f"form of {visitor.device or 'nobody'}".encode(), sha256).hexdigest()


def session_cookie(scheme: str) -> str:
    """Return the name of the cookie that a device brings."""
    return COOKIE_ENCRYPTED if scheme in ("https", "wss") else COOKIE_PLAIN
