"""Which layout a scan file has: its first bytes say it, whatever it is called."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from mainwright.errors import FaultyInput
from mainwright.folder.located import located
from mainwright.folder.scan_arrow import ArrowRings
from mainwright.folder.scan_files import ParquetRings
from mainwright.folder.scan_points import PointRings

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

__all__ = ["SCAN_FILES", "AnyRings", "ring_source"]

AnyRings = ArrowRings | ParquetRings | PointRings

SCAN_FILES: Final = (".arrow", ".feather", ".parquet", ".las", ".laz", ".csv")
"""How the names of scans among records end, in small letters; of several files of one pass the first counts: rings before points, of which the roll is not known."""

_BEGINNINGS: Final[dict[bytes, Callable[[Path], AnyRings]]] = {b"ARROW1": ArrowRings, b"PAR1": ParquetRings, b"LASF": PointRings}
_ENDINGS: Final[dict[str, Callable[[Path], AnyRings]]] = {
    ".arrow": ArrowRings, ".feather": ArrowRings, ".parquet": ParquetRings, ".las": PointRings, ".laz": PointRings, ".csv": PointRings
}  # fmt: skip
_STREAM: Final = b"\xff\xff\xff\xff"
_LONGEST: Final = 4096


def ring_source(path: Path) -> AnyRings:
    """Return the rings of a file, by what it holds.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    RingSource
        Its rings.

    Raises
    ------
    FaultyInput
        If it is none of the layouts, or has faults of its own.
    """
    with path.open("rb") as file:
        first = file.read(_LONGEST)
    for beginning, kind in _BEGINNINGS.items():
        if first.startswith(beginning):
            return kind(path)
    if first.startswith(_STREAM):
        raise FaultyInput(
            [located(path.name, 1, "", "it is a stream of Arrow, which has no index: an Arrow file (Feather, version 2) is right")]
        )
    if first.startswith(b"FEA1"):
        raise FaultyInput([located(path.name, 1, "", "it is Feather of version 1: an Arrow file (Feather, version 2) is right")])
    if b"x_m" in first.split(b"\n", 1)[0]:
        return PointRings(path)
    kind_by_name = _ENDINGS.get(path.suffix.lower())
    if kind_by_name is not None:
        # Its own reader tells best what is wrong with it.
        return kind_by_name(path)
    text = "it is no ring scan that is known: rings as Parquet or Arrow, or points as LAS, LAZ or CSV with x_m, y_m, z_m are right"
    raise FaultyInput([located(path.name, 1, "", text)])
