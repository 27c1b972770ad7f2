"""What the lanes of a ribbon share: the chainage axis, the look, the reader, and how a row of labels is set."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from mainwright.figures.metrics import Weight, text_width
from mainwright.figures.palette import Palette
from mainwright.figures.place import spread
from mainwright.figures.svg import Drawing
from mainwright.words.message import message
from mainwright.words.wording import Wording

__all__ = ["EDGE", "GAP", "LABEL", "PIXEL", "SMALL", "Frame", "Mark", "Tag", "apart", "gathered", "row_of"]

LABEL: Final = 7.0
SMALL: Final = 6.2
GAP: Final = 3.0
"""Type sizes of labels, and the least gap between two of them. [point]"""
PIXEL: Final = 0.6
"""What is nearer than this is one mark: about a dot of a screen. [point]"""
EDGE: Final = 4.4
"""How far what stands at an end of the main may reach over it: on a page the names of the lanes begin there. [point]"""


@dataclass(frozen=True, slots=True)
class Frame:
    """One ribbon's drawing: chainage ``start`` lies at ``left``; ``scale`` is points by metre; ``sheet`` where all that is drawn is seen."""

    drawing: Drawing
    look: Palette
    reader: Wording
    start: float
    end: float
    left: float
    scale: float
    sheet: bool = True

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

    def counted(self, here: int, whole: int) -> str:
        """Return how many there are: on a sheet those of its length, else all, for a window shows no more than a part of what is drawn."""
        if self.sheet:
            return self.reader.word(message("{n} on this length", n=here))
        return self.reader.word(message("{n} along the main", n=whole))

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
class Mark:
    """One mark for ``count`` points that lie too near to each other to be told apart; it stands at the first of them."""

    x: float
    count: int


def gathered(points: Sequence[float], gap: float) -> list[Mark]:
    """Return one mark for all points that lie within a gap: none is lost, the counts add up to all of them.

    Parameters
    ----------
    points : sequence of float
        Where they lie, in any order. [point]
    gap : float
        Least distance of two marks. [point]

    Returns
    -------
    list of Mark
        In order of place.

    Examples
    --------
    >>> [(one.x, one.count) for one in gathered([3.0, 0.0, 0.2, 0.4], 0.5)]
    [(0.0, 3), (3.0, 1)]
    """
    marks: list[Mark] = []
    for x in sorted(points):
        if marks and x - marks[-1].x < gap:
            marks[-1] = Mark(marks[-1].x, marks[-1].count + 1)
        else:
            marks.append(Mark(x, 1))
    return marks


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
