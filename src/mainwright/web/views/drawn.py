"""Makes the figures of the papers ready for a page: colours by name, so that one drawing serves every light, and names that no other has."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from mainwright.figures.palette import PALETTES

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from mainwright.workflow.sheets import Section

__all__ = ["Shown", "drawn", "shown"]

Shown = dict[str, object]

_NAMES: Final = {
    getattr(PALETTES["light"], name): f"var(--{name.replace('_', '-')})"
    for name in ("opening", "pump", "earth", "earth_line", "iron", "water", "deposit", "mortar", "run", "forbidden", "caution", "hair", "quiet", "paper", "ink")
}  # fmt: skip
_COLOUR: Final = re.compile(r'(?<=")#[0-9a-f]{6}(?=")')
_NAMED: Final = re.compile(r'(\bid="|url\(#)')


def drawn(svg: str, mark: str) -> str:
    """Return a drawing for a page.

    Parameters
    ----------
    svg : str
        In the colours of the light paper. [-]
    mark : str
        Stands before every name inside it, so that two drawings on a page share none. [-]

    Returns
    -------
    str
        The same drawing, its colours those of the page's light.

    Examples
    --------
    >>> drawn('<pattern id="a"/><rect fill="#16242c" stroke="url(#a)"/>', "f1-")
    '<pattern id="f1-a"/><rect fill="var(--ink)" stroke="url(#f1-a)"/>'
    """
    named = _NAMED.sub(lambda found: found[1] + mark, svg)
    return _COLOUR.sub(lambda found: _NAMES.get(found[0], found[0]), named)


def shown(sections: Sequence[Section]) -> list[Shown]:
    """Return sections as a template takes them, every drawing made ready.

    Parameters
    ----------
    sections : sequence of Section
        Of a place. [-]

    Returns
    -------
    list of dict
        Each with its name on the page, head, blocks, and whether it is folded.
    """
    return [
        {"id": f"part-{number}", "head": one.head, "folded": one.folded, "blocks": [_block(block, f"f{number}-{place}") for place, block in enumerate(one.blocks)]}
        for number, one in enumerate(sections, start=1)
    ]  # fmt: skip


def _block(block: Mapping[str, object], mark: str) -> Shown:
    made = dict(block)
    if isinstance(made.get("svg"), str):
        made["svg"] = drawn(str(made["svg"]), f"{mark}-")
    items = made.get("items")
    if isinstance(items, list) and made["kind"] == "row":
        made["items"] = [_block({"kind": "figure", **one}, f"{mark}-{place}") for place, one in enumerate(items)]
    if isinstance(items, list) and made["kind"] == "photos":
        # A page asks for each by its name.
        made["items"] = [{name: value for name, value in one.items() if name != "data"} for one in items]
    return made
