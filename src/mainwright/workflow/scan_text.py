"""What ring scans show, in a few sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.units import from_si
from mainwright.words.wording import word

if TYPE_CHECKING:
    from mainwright.workflow.scan_ports import ScanSummary

__all__ = ["summary_lines"]


def summary_lines(summary: ScanSummary) -> list[str]:
    """Return one sentence or two a line; lengths in mm as everywhere in scans.

    Parameters
    ----------
    summary : ScanSummary
        What the whole says of itself.

    Returns
    -------
    list of str
        In order of interest, what is not known last.
    """

    def mm(value: float | None, digits: int = 2) -> str:
        return "?" if value is None else f"{from_si(value, 'mm'):.{digits}f} mm"

    lines = [f"Chainage {summary.start:.2f} to {summary.end:.2f} m. Bore cleaned {mm(summary.bore_cleaned, 1)}."]
    if summary.thickness_min is not None:
        lines[0] += f" Bore lined {mm(summary.bore_lined, 1)}."
        lines.append(
            f"Thickness {mm(summary.thickness_p50)} at the median of the metres; smallest cell {mm(summary.thickness_min)} "
            f"at {summary.thickness_min_chainage:.2f} m, {summary.thickness_min_clock:.1f} o'clock, "
            f"with a standard deviation of {mm(summary.thickness_min_deviation)}."
        )
        because = "" if summary.unseen_because is None else word(summary.unseen_because, language="en", units="metric")
        lines.append(
            "Each scan is centred on its own bore, so a lining thicker on one side shows in neither: standard deviation of that "
            f"{mm(summary.unseen)} ({because}). Three gauge readings round the clock at both ends close it "
            "(--gauges), or bare metal in both scans (--bare), or a surveyed head."
        )
        if summary.areas is None:
            lines.append("What is thin was not said (--minimum-mm): no thin areas were looked for.")
        else:
            lines.append(f"Thin areas under {mm(summary.minimum)}: {summary.areas}.")
        lines.append(
            f"The lined pass was put on the cleaned one: odometer {summary.lag_start or 0.0:+.3f} m at the start, {summary.lag_end or 0.0:+.3f} m at the "
            f"end, turned by {from_si(summary.roll or 0.0, 'deg'):.2f} degrees; typical match {summary.match or 0.0:.2f} (1 = alike)."
        )
        lines.append(f"Cells that a pass did not read: {100.0 * (summary.unread or 0.0):.2f} %.")
    bad = f"Rings that gave no circle: {summary.unfit_cleaned} of {summary.rings_cleaned}"
    if summary.rings_lined:
        bad += f", {summary.unfit_lined} of {summary.rings_lined} lined"
    lines.append(f"{bad}.")
    return lines
