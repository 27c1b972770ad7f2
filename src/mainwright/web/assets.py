"""Files that never change under one name: style, script and type, each named by the hash of its content."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from importlib.resources import files
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Mapping
    from importlib.resources.abc import Traversable

__all__ = ["Asset", "Assets", "read_assets"]

_KINDS: Final = {
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "woff2": "font/woff2",
    "svg": "image/svg+xml",
    "webmanifest": "application/manifest+json",
}
_NAMED: Final = re.compile(rb"static:([\w./-]+)")
"""How one file names another: ``static:lato-bold.woff2``."""


@dataclass(frozen=True, slots=True)
class Asset:
    """One file as it is sent."""

    data: bytes
    kind: str


@dataclass(frozen=True, slots=True)
class Assets:
    """All files, by the address after ``/static/``; and the address by the plain name."""

    served: Mapping[str, Asset]
    named: Mapping[str, str]

    def address(self, name: str) -> str:
        """Return where a page finds a file."""
        return f"/static/{self.named[name]}"


def read_assets() -> Assets:
    """Return the files of this package.

    Returns
    -------
    Assets
        What a file names by ``static:`` is named by its hash there, so that a change of it changes both names.
    """
    root = files("mainwright.web") / "static"
    served: dict[str, Asset] = {}
    named: dict[str, str] = {}

    def take(name: str) -> str:
        if name not in named:
            data = _NAMED.sub(lambda found: b"/static/" + take(found[1].decode("ascii")).encode("ascii"), (root / name).read_bytes())
            stem, _, ending = name.rpartition(".")
            address = f"{stem}.{hashlib.sha256(data).hexdigest()[:12]}.{ending}"
            named[name] = address
            served[address] = Asset(data, _KINDS[ending])
        return named[name]

    for name in sorted(_names(root)):
        take(name)
    return Assets(served, named)


def _names(folder: Traversable, before: str = "") -> list[str]:
    found: list[str] = []
    for entry in folder.iterdir():
        if entry.is_dir():
            found += _names(entry, f"{before}{entry.name}/")
        elif entry.name.rpartition(".")[2] in _KINDS:
            found.append(before + entry.name)
    return found
