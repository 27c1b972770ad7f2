"""Reduced rings beside the result, until it is whole: whoever stops a run goes on from there."""

from __future__ import annotations

import shutil
from dataclasses import fields
from typing import TYPE_CHECKING, Final

import numpy as np

from mainwright.science.rings.reduced import ReducedRings

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

    from mainwright.workflow.scan_ports import RingChunk, WhichPass

__all__ = ["ScanPieces"]

_FOLDER: Final = ".mainwright-rings"
_LINES: Final = tuple(one.name for one in fields(ReducedRings) if one.name not in ("wall", "points"))
_OWN: Final = ("odometer", "roll", "head_up", "head_right", "head_deviation")
"""What a ring has before it is reduced."""


class ScanPieces:
    """Pieces as files in a hidden folder of the result.

    Parameters
    ----------
    out : Path
        Folder of the result, made where it is missing.
    """

    def __init__(self, out: Path) -> None:
        self._place = out / _FOLDER

    def begin(self, which: WhichPass, identity: str) -> int:
        """Return how many pieces of this pass are there already; those of another file are thrown away."""
        place = self._place / which
        mark = place / "identity.txt"
        if not mark.is_file() or mark.read_text(encoding="utf-8") != identity:
            shutil.rmtree(place, ignore_errors=True)
            place.mkdir(parents=True, exist_ok=True)
            mark.write_text(identity, encoding="utf-8")
        count = 0
        while self._file(which, count, "wall").is_file():
            count += 1
        return count

    def save(self, which: WhichPass, index: int, chunk: RingChunk, rings: ReducedRings) -> None:
        """Keep a piece; its wall, which is renamed last, says that it is whole."""
        head = np.full((3, chunk.odometer.size), np.nan) if chunk.head is None else chunk.head
        lines = np.stack([chunk.odometer, chunk.roll, *head, *(getattr(rings, name) for name in _LINES)])
        np.save(self._file(which, index, "lines"), lines)
        np.save(self._file(which, index, "points"), rings.points)
        half = self._file(which, index, "half")
        np.save(half, rings.wall)
        half.replace(self._file(which, index, "wall"))

    def lines(self, which: WhichPass, index: int) -> dict[str, NDArray[np.float64]]:
        """Return what a piece has once for each ring, by name."""
        return dict(zip((*_OWN, *_LINES), np.load(self._file(which, index, "lines")), strict=True))

    def walls(self, which: WhichPass, index: int) -> tuple[NDArray[np.float32], NDArray[np.uint8]]:
        """Return the wall of the rings of a piece, and the points behind it."""
        return np.load(self._file(which, index, "wall")), np.load(self._file(which, index, "points"))

    def clear(self) -> None:
        """Throw all pieces away."""
        shutil.rmtree(self._place, ignore_errors=True)

    def _file(self, which: WhichPass, index: int, part: str) -> Path:
        return self._place / which / f"{index:06d}-{part}.npy"
