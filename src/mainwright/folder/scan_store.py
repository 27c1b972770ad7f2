"""Reduced rings beside the result, until it is whole: whoever stops a run goes on from there."""

from __future__ import annotations

import shutil
from dataclasses import fields
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from mainwright.science.rings.reduced import ReducedRings

if TYPE_CHECKING:
    from io import FileIO
    from pathlib import Path

    from numpy.typing import NDArray

    from mainwright.workflow.scan_ports import RingChunk, WhichPass

__all__ = ["ScanPieces"]

_FOLDER: Final = ".mainwright-rings"
_LINES: Final = tuple(one.name for one in fields(ReducedRings) if one.name not in ("wall", "points"))
_OWN: Final = ("odometer", "roll", "head_up", "head_right", "head_deviation")
"""What a ring has before it is reduced."""
_NAMES: Final = (*_OWN, *_LINES)


class ScanPieces:
    """Pieces as files in a hidden folder of the result: two counts, what each ring has once, walls, and the points behind them.

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
        while self._file(which, count).is_file():
            count += 1
        return count

    def save(self, which: WhichPass, index: int, chunk: RingChunk, rings: ReducedRings) -> None:
        """Keep a piece; its file gets its name when it is whole."""
        size, bins = rings.wall.shape
        head = np.full((3, size), np.nan) if chunk.head is None else chunk.head
        lines = np.stack([chunk.odometer, chunk.roll, *head, *(getattr(rings, name) for name in _LINES)])
        half = self._place / which / "half"
        with half.open("wb", buffering=0) as file:
            for part in (np.array([size, bins]), lines, rings.wall, rings.points):
                _write(file, part)
        half.replace(self._file(which, index))

    def lines(self, which: WhichPass, index: int) -> dict[str, NDArray[np.float64]]:
        """Return what a piece has once for each ring, by name."""
        with self._file(which, index).open("rb", buffering=0) as file:
            size, _ = np.fromfile(file, np.int64, 2)
            lines = np.fromfile(file, np.float64, len(_NAMES) * size)
        return dict(zip(_NAMES, lines.reshape(-1, size), strict=True))

    def walls(self, which: WhichPass, index: int) -> tuple[NDArray[np.float32], NDArray[np.uint8]]:
        """Return the wall of the rings of a piece, and the points behind it."""
        with self._file(which, index).open("rb", buffering=0) as file:
            size, bins = np.fromfile(file, np.int64, 2)
            file.seek(len(_NAMES) * size * np.dtype(np.float64).itemsize, 1)
            wall = np.fromfile(file, np.float32, size * bins)
            points = np.fromfile(file, np.uint8, size * bins)
        return wall.reshape(size, bins), points.reshape(size, bins)

    def clear(self) -> None:
        """Throw all pieces away."""
        shutil.rmtree(self._place, ignore_errors=True)

    def _file(self, which: WhichPass, index: int) -> Path:
        return self._place / which / f"{index:06d}.piece"


def _write(file: FileIO, part: NDArray[Any]) -> None:
    left = np.ascontiguousarray(part).reshape(-1).view(np.uint8).data
    while left:
        left = left[file.write(left) :]
