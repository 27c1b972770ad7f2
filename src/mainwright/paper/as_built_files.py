"""The lining as it was built for the client's own map: a table, and a GeoPackage where the job has a line of the main."""

import csv
import io
import math
import struct
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final
from zoneinfo import ZoneInfo

from mainwright.job.table import harmless_text
from mainwright.paper.map_line import map_line
from mainwright.plan.result import LinedStretch
from mainwright.prove.proof import Proof, RunProof
from mainwright.units import from_si, significant

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["as_built_csv", "write_as_built_map"]

_HEAD: Final = (
    "run", "from_m", "to_m", "dn", "material", "bore_clean_mm", "lined_on", "coats", "thickness_mean_mm", "thickness_minimum_mm", "bore_lined_mm",
    "minimum_asked_mm", "verdict", "document", "records_revision",
)  # fmt: skip
_DEFECTS: Final = ("run", "kind", "by", "from_m", "to_m", "clock_from", "clock_to", "worst_mm", "remedy", "mortar_l")
_DAY: Final = "2000-01-01T00:00:00Z"
"""Day that the GeoPackage bears where the job has none: the same proof gives the same file."""


@dataclass(frozen=True, slots=True)
class _Piece:
    start: float
    end: float
    values: tuple[Any, ...]


def _number(value: float | None, unit: str = "m") -> float | None:
    return None if value is None else significant(from_si(value, unit))


def _pieces(proof: Proof, stretches: Sequence[LinedStretch]) -> list[_Piece]:
    """Return the lined lengths: each run by the stretches that it lies in; only what a record says was lined."""
    materials = [(row.start, row.end, row.material) for row in proof.job.main]
    found = []
    for one in proof.runs:
        lengths = [(row.start, row.end) for row in one.done] or ([(one.run.start, one.run.end)] if one.laid is not None else [])
        lengths = sorted(set(lengths))
        for stretch in stretches:
            for low, high in lengths:
                start, end = max(low, stretch.start), min(high, stretch.end)
                if end > start:
                    material = next((name for first, last, name in materials if first <= start < last), "")
                    found.append(_piece(one, stretch, start, end, material=material, proof=proof))
    return sorted(found, key=lambda piece: (piece.start, piece.end))


def _piece(one: RunProof, stretch: LinedStretch, start: float, end: float, *, material: str, proof: Proof) -> _Piece:
    values = []
    if one.laid is not None:
        pairs = zip(one.laid.chainages, one.laid.thicknesses, strict=True)
        values = [value for at, value in pairs if start <= at <= end]
    mean = math.fsum(values) / len(values) if values else None
    times = [row.time_to or row.time_from for row in one.done if row.start < end and row.end > start]
    last = max((when for when in times if when is not None), default=None)
    coats = len({row.coat or 1 for row in one.done if row.start < end and row.end > start}) or one.run.coats
    return _Piece(
        start,
        end,
        (
            one.run.id,
            _number(start),
            _number(end),
            stretch.dn,
            material,
            _number(stretch.bore_clean, "mm"),
            None if last is None else last.astimezone(ZoneInfo(proof.job.info.time_zone)).date().isoformat(),
            coats,
            _number(mean, "mm"),
            _number(min(values, default=None), "mm"),
            None if mean is None else _number(stretch.bore_clean - 2.0 * mean, "mm"),
            _number(stretch.minimum, "mm"),
            one.verdict,
            stretch.document,
            proof.records,
        ),
    )


def _cell(value: object) -> object:
    """Return a cell, none of which begins a formula."""
    if isinstance(value, str):
        return harmless_text(value)
    return "" if value is None else value


def as_built_csv(proof: Proof, stretches: Sequence[LinedStretch]) -> bytes:
    """Return the lined lengths as CSV.

    Parameters
    ----------
    proof : Proof
        The proof. [-]
    stretches : sequence of LinedStretch
        What the contract asks along the main. [-]

    Returns
    -------
    bytes
        In order of chainage; a run of which no record says that it was lined is not among them.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(_HEAD)
    writer.writerows([_cell(value) for value in piece.values] for piece in _pieces(proof, stretches))
    return out.getvalue().encode("utf-8")


def write_as_built_map(proof: Proof, stretches: Sequence[LinedStretch], path: Path) -> bool:
    """Write the lined lengths, and those that are not as they were asked, as two layers of a GeoPackage.

    Parameters
    ----------
    proof : Proof
        The proof. [-]
    stretches : sequence of LinedStretch
        What the contract asks along the main. [-]
    path : Path
        The file. [-]

    Returns
    -------
    bool
        False, and nothing is written, where the job has no line of the main. Lines are in the line's own coordinates; where line and main differ
        in length, chainage is scaled.
    """
    found = map_line(proof.job)
    if found is None or proof.job.alignment is None:
        return False
    line, _ = found
    zero, last = proof.job.main[0].start, proof.job.main[-1].end
    scale = line.length / (last - zero)
    pieces = _pieces(proof, stretches)
    defects = [
        _Piece(
            part.start,
            part.end,
            (
                one.run.id,
                part.kind,
                part.by,
                _number(part.start),
                _number(part.end),
                _number(part.clock_start),
                _number(part.clock_end),
                _number(part.worst, "mm"),
                part.remedy,
                _number(part.mortar, "l"),
            ),
        )
        for one in proof.runs
        for part in one.defects
    ]
    crs = proof.job.alignment.crs or "OGC:CRS84"
    day = proof.job.info.first_day
    stamp = _DAY if day is None else f"{day.isoformat()}T00:00:00Z"
    for layer, head, rows, append in (("lining", _HEAD, pieces, False), ("not_as_asked", _DEFECTS, defects, True)):
        lines = [_wkb(line.raw_part((row.start - zero) * scale, (row.end - zero) * scale)) for row in rows]
        _write(path, layer, head, [row.values for row in rows], lines, crs=crs, stamp=stamp, append=append)
    return True


def _wkb(points: Sequence[tuple[float, float]]) -> bytes:
    return struct.pack("<BII", 1, 2, len(points)) + b"".join(struct.pack("<dd", *point) for point in points)


def _write(
    path: Path,
    layer: str,
    head: Sequence[str],
    rows: Sequence[Sequence[Any]],
    lines: Sequence[bytes],
    *,
    crs: str,
    stamp: str,
    append: bool,
) -> None:
    import numpy as np
    import pyogrio.raw  # type: ignore[import-untyped]

    geometry = np.empty(len(lines), dtype=object)
    geometry[:] = lines
    data = [_column([row[place] for row in rows], np) for place in range(len(head))]
    before = pyogrio.get_gdal_config_option("OGR_CURRENT_DATE")
    pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": stamp})
    try:
        pyogrio.raw.write(
            str(path),
            geometry,
            field_data=data,
            fields=np.array(head, dtype=object),
            layer=layer,
            driver="GPKG",
            geometry_type="LineString",
            crs=crs,
            append=append,
        )
    finally:
        pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": before})


def _column(values: Sequence[Any], np: Any) -> "NDArray[np.generic]":  # noqa: ANN401 - the module, imported late
    """Return a column: whole numbers, numbers with gaps, or texts."""
    if all(isinstance(value, int) for value in values) and values:
        return np.array(values, dtype=np.int64)  # type: ignore[no-any-return]
    if all(value is None or isinstance(value, float | int) for value in values):
        return np.array([math.nan if value is None else value for value in values], dtype=np.float64)  # type: ignore[no-any-return]
    return np.array(values, dtype=object)  # type: ignore[no-any-return]
