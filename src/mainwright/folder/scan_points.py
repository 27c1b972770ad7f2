"""Ring scans as clouds of points (LAS, LAZ, CSV), made into rings again, streamed."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Protocol

import numpy as np

from mainwright.errors import FaultyInput
from mainwright.folder.located import located
from mainwright.units import UNITS
from mainwright.words.message import Quantity
from mainwright.workflow.scan_ports import RingChunk

if TYPE_CHECKING:
    from collections.abc import Generator, Iterator
    from pathlib import Path

    from numpy.typing import NDArray

__all__ = ["PointRings"]

_COLUMNS: Final = ("x_m", "y_m", "z_m")
_ROLL: Final = "roll_deg"
"""Column or extra dimension in which a sensor says how it was turned: the true angle of a point is that of the sensor and this."""
_DEGREE: Final = UNITS["deg"].factor
_BATCH: Final = 262_144
_TRUE_STEP: Final = 1e-4
"""Places along the main closer than this are one. [m]"""
_SLICE: Final = 0.01
"""Length that makes a ring where points do not lie in rings of their own, as on a spiral. [m]"""
_SLICE_POINTS: Final = 360
_FEWEST, _MOST = 24, 30_000
_RING_POINTS: Final = 48.0
"""So many points at one place, on the average, are a ring of their own."""
_BEHIND: Final = 0.5
"""How far behind the furthest a point may come in the file. [m]"""


@dataclass(frozen=True, slots=True)
class _Shape:
    """How points become rings: length of a step along the main [m], whether a place is a ring of its own, points a ring, sense of the file."""

    step: float
    own: bool
    size: int
    sense: int

    def labels(self, x: NDArray[np.float64]) -> NDArray[np.int64]:
        """Return the number of the ring of each point, rising through the file."""
        place = np.rint(x / self.step) if self.own else np.floor(x / self.step)
        return np.asarray(place, dtype=np.int64) * self.sense

    def odometer(self, labels: NDArray[np.int64]) -> NDArray[np.float64]:
        """Return where rings stand, in metres."""
        return np.asarray((labels * self.sense + (0.0 if self.own else 0.5)) * self.step)


class _Points(Protocol):
    """Points in the order of the file."""

    @property
    def count(self) -> int:
        """How many there are, about."""
        ...

    def batches(self) -> Iterator[NDArray[np.float64]]:
        """Give x, y and z [m] and the roll of the sensor [rad], shape (n, 4)."""
        ...


class PointRings:
    """The rings of a file of points: x along the main, y to the right, z up, in the sensor's frame.

    Points of one x are a ring of their own; where x rises from point to point, each centimetre makes one. The roll of the sensor may stand beside
    each point (`roll_deg`); a ring has the mean of its points. Where it does not, it is in the points already or is not known: it is taken as
    nought, and the lined pass is turned on the cleaned one.

    Parameters
    ----------
    path : Path
        The file.

    Raises
    ------
    FaultyInput
        If it cannot be read, or lacks a column.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        with path.open("rb") as file:
            las = file.read(4) == b"LASF"
        self._points: _Points = _Las(path) if las or path.suffix.lower() in {".las", ".laz"} else _Csv(path)
        first = next(iter(self._points.batches()), np.empty((0, 4)))
        if len(first) < _FEWEST:
            text = "the file has {n} points: at least {least} are right"
            raise FaultyInput([located(path.name, 1, "", text, n=len(first), least=_FEWEST)])
        self._shape = _shape(first[:, 0])
        labels = np.unique(self._shape.labels(first[:, 0]))
        self.rings = max(1, round(self._points.count * labels.size / len(first)))

    @property
    def identity(self) -> str:
        """What tells this file, as it is, from any other."""
        info = self._path.stat()
        told = f"{self._path.resolve()}|{info.st_size}|{info.st_mtime_ns}|points-2"
        return hashlib.sha256(told.encode()).hexdigest()

    def chunks(self, *, size: int, skip: int) -> Generator[RingChunk]:
        """Give rings by `size`, after `skip` such chunks."""
        shape = self._shape
        waiting: list[tuple[NDArray[np.int64], NDArray[np.float64], NDArray[np.float32]]] = []
        have = index = 0
        for found in self._whole():
            waiting.append(found)
            have += found[0].size
            while have >= size:
                labels, roll, radii = (np.concatenate(parts) for parts in zip(*waiting, strict=True))
                if index >= skip:
                    yield RingChunk(shape.odometer(labels[:size]), roll[:size], radii[:size])
                index += 1
                waiting = [(labels[size:], roll[size:], radii[size:])]
                have -= size
        if have and index >= skip:
            labels, roll, radii = (np.concatenate(parts) for parts in zip(*waiting, strict=True))
            yield RingChunk(shape.odometer(labels), roll, radii)

    def _whole(self) -> Iterator[tuple[NDArray[np.int64], NDArray[np.float64], NDArray[np.float32]]]:
        """Give rings to which no further point can come."""
        shape = self._shape
        behind = int(_BEHIND / shape.step)
        waiting = np.empty((0, 4))
        waiting_labels = np.empty(0, dtype=np.int64)
        done = None
        row = 0
        for batch in self._points.batches():
            labels = shape.labels(batch[:, 0])
            late = np.flatnonzero(labels <= done) if done is not None else np.empty(0, dtype=np.int64)
            if late.size:
                text = "the point lies over {reach} behind another before it: points in order of x_m are right (line = point)"
                raise FaultyInput([located(self._path.name, row + int(late[0]) + 1, "x_m", text, reach=Quantity(_BEHIND, "m", 1))])
            row += len(batch)
            points, labels = np.concatenate([waiting, batch]), np.concatenate([waiting_labels, labels])
            last = int(np.max(labels)) - behind
            ready = labels <= last
            if ready.any():
                done = last
                yield _rings(points[ready], labels[ready], shape.size)
            waiting, waiting_labels = points[~ready], labels[~ready]
        if len(waiting):
            yield _rings(waiting, waiting_labels, shape.size)


def _shape(x: NDArray[np.float64]) -> _Shape:
    _, counts = np.unique(np.rint(x / _TRUE_STEP), return_counts=True)
    sense = 1 if np.mean(x[x.size // 2 :]) >= np.mean(x[: x.size // 2]) else -1
    if float(np.mean(counts)) >= _RING_POINTS:
        return _Shape(_TRUE_STEP, True, int(np.clip(np.max(counts), _FEWEST, _MOST)), sense)
    return _Shape(_SLICE, False, _SLICE_POINTS, sense)


def _rings(
    points: NDArray[np.float64], labels: NDArray[np.int64], size: int
) -> tuple[NDArray[np.int64], NDArray[np.float64], NDArray[np.float32]]:
    """Return the rings that points make and the roll of each; a point lies at the nearest of equal steps of the angle, of several there the last."""
    found, first, row = np.unique(labels, return_index=True, return_inverse=True)
    radii = np.full((found.size, size), np.nan, dtype=np.float32)
    angle = np.arctan2(points[:, 1], points[:, 2])
    roll = points[first, 3]
    # Beyond half a turn a roll goes on from the other side: what differs within a ring is little, and is taken that way.
    turned = np.remainder(points[:, 3] - roll[row] + np.pi, 2.0 * np.pi) - np.pi
    more = np.bincount(row, weights=turned) / np.bincount(row)
    angle += turned - more[row]
    step = np.rint(angle * (size / (2.0 * np.pi))).astype(np.int64) % size
    radii[row, step] = np.hypot(points[:, 1], points[:, 2])
    return found, roll + more, radii


class _Las:
    """Points of a LAS or LAZ file."""

    def __init__(self, path: Path) -> None:
        import laspy

        self._path = path
        try:
            with laspy.open(path) as file:
                self.count = int(file.header.point_count)
                self._rolled = _ROLL in list(file.header.point_format.extra_dimension_names)
        except (laspy.LaspyException, ValueError, EOFError) as error:
            raise FaultyInput([located(path.name, 1, "", "it is no LAS or LAZ that can be read ({why})", why=str(error)[:200])]) from None

    def batches(self) -> Iterator[NDArray[np.float64]]:
        """Give x, y and z [m] and the roll of the sensor [rad], shape (n, 4)."""
        import laspy

        with laspy.open(self._path) as file:
            for points in file.chunk_iterator(_BATCH):
                roll = np.asarray(points[_ROLL], dtype=np.float64) * _DEGREE if self._rolled else np.zeros(len(points))
                yield np.column_stack([points.x, points.y, points.z, roll]).astype(np.float64)


class _Csv:
    """Points of a CSV file with the columns x_m, y_m, z_m, and roll_deg where the sensor says it; others are left alone."""

    def __init__(self, path: Path) -> None:
        self._path = path
        with path.open("rb") as file:
            head = file.readline()
            second = file.readline()
        names = head.decode("utf-8-sig", errors="replace").strip()
        self._delimiter = ";" if ";" in names else ","
        here = [name.strip() for name in names.split(self._delimiter)]
        missing = [name for name in _COLUMNS if name not in here]
        if missing:
            text = "the column is missing: {all} are right"
            raise FaultyInput([located(path.name, 1, name, text, all=", ".join(_COLUMNS)) for name in missing])
        self._names = here
        self._used = [*_COLUMNS, *([_ROLL] if _ROLL in here else [])]
        self._decimal = "," if self._delimiter == ";" and b"," in second else "."
        self.count = max(1, (path.stat().st_size - len(head)) // max(len(second), 1))

    def batches(self) -> Iterator[NDArray[np.float64]]:
        """Give x, y and z [m] and the roll of the sensor [rad], shape (n, 4)."""
        import pyarrow as pa
        from pyarrow import csv

        row = 1
        try:
            with csv.open_csv(
                self._path,
                read_options=csv.ReadOptions(block_size=1 << 23, column_names=self._names, skip_rows=1, use_threads=False),
                parse_options=csv.ParseOptions(delimiter=self._delimiter),
                convert_options=csv.ConvertOptions(
                    decimal_point=self._decimal, column_types=dict.fromkeys(self._used, pa.float64()), include_columns=self._used
                ),
            ) as file:
                for batch in file:
                    columns = [
                        np.asarray(batch.column(place).to_numpy(zero_copy_only=False), dtype=np.float64) for place in range(len(self._used))
                    ]
                    columns = [*columns[:3], *(one * _DEGREE for one in columns[3:] or [np.zeros(batch.num_rows)])]
                    points = np.column_stack(columns)
                    bad = np.flatnonzero(~np.isfinite(points).all(axis=1))
                    if bad.size:
                        text = "it is no number: finite numbers are right"
                        raise FaultyInput([located(self._path.name, row + int(one) + 1, ", ".join(self._used), text) for one in bad[:20]])
                    row += len(points)
                    yield points
        except pa.ArrowInvalid as error:
            raise FaultyInput([located(self._path.name, row, "", "it cannot be read as CSV ({why})", why=str(error)[:200])]) from None
