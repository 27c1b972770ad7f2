"""Wires ring scans."""

from __future__ import annotations

from contextlib import nullcontext
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from contextlib import AbstractContextManager
    from pathlib import Path

    from mainwright.workflow.ports import Progress
    from mainwright.workflow.scan_ports import Reducer, ScanSummary

__all__ = ["rings", "rings_file"]


def rings(
    *,
    cleaned: Path,
    lined: Path | None,
    out: Path,
    minimum_mm: float | None = None,
    fixed: Path | None = None,
    gauges: Path | None = None,
    gauge_deviation_mm: float | None = None,
    bare: Path | None = None,
    eccentricity_mm: float | None = None,
    cluster: str | None = None,
    progress: Progress | None = None,
) -> tuple[dict[str, object], ScanSummary]:
    """Write what one or two ring scans show.

    Parameters
    ----------
    cleaned : Path
        Scan before lining.
    lined : Path, optional
        Scan after it.
    out : Path
        Folder of the result; reduced rings are kept in it until it is whole.
    minimum_mm : float, optional
        Thickness under which an area is thin.
    fixed, gauges : Path, optional
        Tables of fixed points and of spot readings.
    gauge_deviation_mm : float, optional
        Standard deviation of a spot reading.
    bare : Path, optional
        Table of lengths of bare metal that both scans show.
    eccentricity_mm : float, optional
        Standard deviation of the lining's eccentricity, where it is known.
    cluster : str, optional
        Address of a Dask cluster that reduces the rings.
    progress : callable, optional
        Told how far the reading is.

    Returns
    -------
    dict
        The summary as plain values in the units of the files.
    ScanSummary
        The summary.

    Raises
    ------
    FaultyInput
        If a file has faults.
    InputError
        If a number is out of range, or the scans do not go together.
    """
    from mainwright.errors import require_not_negative, require_positive
    from mainwright.folder.scan_results import ScanResults, summary_document
    from mainwright.folder.scan_source import ring_source
    from mainwright.folder.scan_store import ScanPieces
    from mainwright.folder.scan_tables import read_bare, read_fixed, read_gauges
    from mainwright.folder.staging import staged
    from mainwright.units import to_si
    from mainwright.workflow.scan_ports import ScanOptions
    from mainwright.workflow.scanning import scan_rings

    for name, given, check_value in (
        ("--minimum-mm", minimum_mm, require_positive),
        ("--gauge-deviation-mm", gauge_deviation_mm, require_not_negative),
        ("--eccentricity-mm", eccentricity_mm, require_not_negative),
    ):
        if given is not None:
            check_value(name, given, "mm")
    options = ScanOptions(
        minimum=None if minimum_mm is None else to_si(minimum_mm, "mm"),
        fixed=() if fixed is None else read_fixed(fixed),
        gauges=() if gauges is None else read_gauges(gauges),
        bare=() if bare is None else read_bare(bare),
        eccentricity=None if eccentricity_mm is None else to_si(eccentricity_mm, "mm"),
        gauge_deviation=None if gauge_deviation_mm is None else to_si(gauge_deviation_mm, "mm"),
    )
    sources = (ring_source(cleaned), None if lined is None else ring_source(lined))
    with staged(out) as place, nullcontext(None) if cluster is None else _cluster(cluster) as reducer:
        writer = ScanResults(place)
        try:
            summary = scan_rings(
                cleaned=sources[0],
                lined=sources[1],
                options=options,
                store=ScanPieces(out),
                writer=writer,
                reducer=reducer,
                progress=progress,
            )
        finally:
            writer.close()
    return summary_document(summary), summary


def rings_file(scan: Path, *, out: Path, progress: Progress | None = None) -> int:
    """Write a ring scan anew, in the layout that the ending of the new file says.

    Parameters
    ----------
    scan : Path
        The scan: Parquet, Arrow, or points.
    out : Path
        The new file.
    progress : callable, optional
        Told how many rings were written.

    Returns
    -------
    int
        How many rings were written.

    Raises
    ------
    FaultyInput
        If the scan has faults.
    InputError
        If the ending says no layout.
    """
    from mainwright.folder.scan_source import ring_source
    from mainwright.folder.scan_writing import write_rings

    return write_rings(ring_source(scan), out, progress=progress)


def _cluster(address: str) -> AbstractContextManager[Reducer]:
    from mainwright.folder.scan_cluster import cluster_reducer

    return cluster_reducer(address)
