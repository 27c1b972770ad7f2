"""Makes the figures of the papers ready for a page: colours by name, so that one drawing serves every light, and names that no other has."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final, overload

from mainwright.figures.palette import PALETTES

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mainwright.workflow.sheets import Section

__all__ = ["Sections", "Shown", "drawn", "shown"]

Shown = dict[str, object]

_NAMES: Final = {
    getattr(PALETTES["light"], name): f"var(--{name.replace('_', '-')})"
    for name in ("opening", "pump", "earth", "earth_line", "iron", "water", "deposit", "mortar", "run", "forbidden", "caution", "hair", "quiet", "paper", "ink")
}  # fmt: skip
_COLOUR: Final = re.compile(r'(?<=")#[0-9a-f]{6}(?=")')
_NAMED: Final = re.compile(r'(\bid="|url\(#)')


_LONG: Final = 200_000
"""Bytes from which on a place is long."""
_SMALL: Final = 3_000
"""Bytes of a folded section that is sent with a long place all the same."""
_ROWS: Final = 60
"""Rows of each table of a long place; so many and half as many again are not cut."""
_CELL: Final = 40
"""Bytes that a cell takes on a page."""


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


class Sections(Sequence[Shown]):
    """Sections as a template takes them: made ready when they are looked at, so that nothing is done where a page was kept.

    Parameters
    ----------
    sections : sequence of Section
        Of a place. [-]
    alone : int, optional
        The number of the one section of them that is shown, all of it; where not given all of them are, and where they are long what is folded
        comes when it is opened and the tables end after their first rows. [-]
    """

    def __init__(self, sections: Sequence[Section], *, alone: int | None = None) -> None:
        self.plain = tuple(sections)
        self._alone = alone
        self._made: list[Shown] | None = None

    @property
    def key(self) -> tuple[int | None, ...]:
        """Which sections they are: the same for as long as `plain` is held."""
        return (self._alone, *(id(one) for one in self.plain))

    def alone(self, name: str) -> Sections | None:
        """Return one of the sections by its name on the page, all of it; None where there is none of that name."""
        number = next((one for one in range(1, len(self.plain) + 1) if f"part-{one}" == name), None)
        return None if number is None else Sections(self.plain, alone=number)

    def _make(self) -> list[Shown]:
        numbered = [(number, one) for number, one in enumerate(self.plain, start=1) if self._alone in (None, number)]
        sizes = [_size(one.blocks) for one in self.plain]
        long = self._alone is None and sum(sizes) > _LONG
        return [
            {
                "id": f"part-{number}",
                "head": one.head,
                "folded": one.folded and self._alone is None,
                "bare": self._alone is not None,
                "later": one.folded and long and sizes[number - 1] > _SMALL,
                "most": _ROWS if long else None,
                "blocks": [_block(block, f"f{number}-{at}") for at, block in enumerate(one.blocks)],
            }
            for number, one in numbered
        ]

    def __len__(self) -> int:
        """Return how many are shown."""
        return len(self.plain) if self._alone is None else 1

    @overload
    def __getitem__(self, place: int) -> Shown: ...
    @overload
    def __getitem__(self, place: slice) -> Sequence[Shown]: ...
    def __getitem__(self, place: int | slice) -> Shown | Sequence[Shown]:
        """Return one of them, every drawing made ready."""
        if self._made is None:
            self._made = self._make()
        return self._made[place]


def shown(sections: Sequence[Section]) -> Sections:
    """Return sections as a template takes them, every drawing made ready.

    Parameters
    ----------
    sections : sequence of Section
        Of a place. [-]

    Returns
    -------
    Sections
        Each with its name on the page, head, blocks, and whether it is folded.
    """
    return Sections(sections)


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


def _size(blocks: Sequence[Mapping[str, object]]) -> int:
    """Return about how many bytes blocks take on a page."""
    size = 0
    for block in blocks:
        rows, items = block.get("rows"), block.get("items")
        size += len(str(block.get("svg", "")))
        if isinstance(rows, (list, tuple)):
            size += _CELL * sum(len(row) for row in rows)
        if isinstance(items, list):
            size += _size([one for one in items if isinstance(one, dict)])
    return size
