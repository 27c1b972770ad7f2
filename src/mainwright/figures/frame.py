"""What the lanes of a ribbon share: the chainage axis, the look, the reader, and how a row of labels is set."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from mainwright.figures.metrics import Weight, text_width
from mainwright.figures.palette import Palette
from mainwright.figures.place import spread
from mainwright.figures.svg import Drawing
from mainwright.words.wording import Wording

__all__ = ["GAP", "LABEL", "SMALL", "Frame", "Tag", "apart", "row_of"]

LABEL: Final = 7.0
SMALL: Final = 6.2
GAP: Final = 3.0
"""Type sizes of labels, and the least gap between two of them. [point]"""


@dataclass(frozen=True, slots=True)
class Frame:
    """One ribbon's drawing: chainage ``start`` lies at ``left``; ``scale`` is points by metre."""

    drawing: Drawing
    look: Palette
    reader: Wording
    start: float
    end: float
    left: float
    scale: float

    def x(self, chainage: float) -> float:
        """Return where a chainage lies."""
        return self.left + (chainage - self.start) * self.scale

    @property
    def right(self) -> float:
        """Where the drawn length ends."""
        return self.x(self.end)

    def clipped(self, start: float, end: float) -> tuple[float, float] | None:
        """Return both ends of the part that is drawn, or None."""
        low, high = max(start, self.start), min(end, self.end)
        return (self.x(low), self.x(high)) if high > low else None

    def shows(self, chainage: float) -> bool:
        """Return whether a point lies in the drawn length."""
        return self.start - 1e-9 <= chainage <= self.end + 1e-9

    def title(self, y: float, name: str, note: str = "") -> None:
        """Name a lane in the margin."""
        self.drawing.text(0.0, y, name, size=LABEL, ink=self.look.ink, weight="semibold")
        self.drawing.text(0.0, y + 8.4, note, size=SMALL, ink=self.look.quiet)

    def rule(self, y: float) -> None:
        """Draw the thin line that parts two lanes."""
        self.drawing.layer(beneath=True)
        self.drawing.line(0.0, y, self.right, y, ink=self.look.hair, weight=0.4)
        self.drawing.layer(beneath=False)


def apart(points: Sequence[float], ranks: Sequence[float], gap: float) -> list[int]:
    """Return which of many points are drawn whole where not all find room: the greater rank first, none nearer than a gap to another.

    Parameters
    ----------
    points : sequence of float
        Where they lie, ascending. [point]
    ranks : sequence of float
        What they weigh. [-]
    gap : float
        Least distance. [point]

    Returns
    -------
    list of int
        Indices, ascending.
    """
    taken: set[int] = set()
    kept = []
    for index in sorted(range(len(points)), key=lambda one: (-ranks[one], points[one], one)):
        cell = math.floor(points[index] / gap)
        if not taken & {cell - 1, cell, cell + 1}:
            taken.add(cell)
            kept.append(index)
    return sorted(kept)


@dataclass(frozen=True, slots=True)
class Tag:
    """A label that wants to stand at ``x``; where room is short the greater ``rank`` stays."""

    x: float
    text: str
    rank: float = 0.0


def row_of(
    tags: Sequence[Tag], *, size: float, low: float, high: float, weight: Weight = "regular", turned: bool = False
) -> tuple[list[tuple[Tag, float]], int]:
    """Return the labels of one row with their middles, and how many found no room.

    Parameters
    ----------
    tags : sequence of Tag
        The labels. [-]
    size : float
        Type size. [point]
    low, high : float
        Ends of the row. [point]
    weight : str
        Weight of the type. [-]
    turned : bool
        Whether the text runs upwards. [-]

    Returns
    -------
    list of (Tag, float), int
        In order of place; the number of labels left out.
    """
    width = {id(tag): (size * 1.12 if turned else text_width(tag.text, size, weight) + GAP) for tag in tags}
    kept = sorted(tags, key=lambda tag: (-tag.rank, tag.x, tag.text))
    used = sum(width[id(tag)] for tag in kept)
    while kept and used > high - low:
        used -= width[id(kept.pop())]
    kept.sort(key=lambda tag: (tag.x, tag.text))
    places = spread([tag.x for tag in kept], [width[id(tag)] for tag in kept], low, high) if kept else []
    return list(zip(kept, places, strict=True)), len(tags) - len(kept)
