"""What the ribbon of a page says at each chainage: every lane in words, so that a cursor, a key or a screen reader finds it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from mainwright.figures.ribbon import RibbonData, ribbon_data
from mainwright.figures.ribbon_supply import feed_text, pipe_lengths
from mainwright.units import from_si
from mainwright.words.wording import shown_unit

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mainwright.job.job import Job
    from mainwright.plan.result import Plan
    from mainwright.plan.result_supply import SupplyPoint
    from mainwright.words.wording import Wording

__all__ = ["data_of", "ribbon_frame", "ribbon_lanes"]


def data_of(job: Job, plan: Plan | None) -> RibbonData:
    """Return what the ribbon shows: the job alone while it has no plan."""
    return RibbonData(job) if plan is None else ribbon_data(plan)


def ribbon_frame(job: Job, name: str, say: Wording) -> dict[str, object]:
    """Return what a page needs to hold the ribbon of a job: its ends, and how a chainage is written."""
    unit = shown_unit("m", say.units)
    return {
        "src": f"/jobs/{name}/ribbon",
        "start": job.main[0].start,
        "end": job.main[-1].end,
        "per": from_si(1.0, unit),
        "unit": say.unit("m"),
        "mark": "," if say.language == "de" else ".",
    }


def ribbon_lanes(data: RibbonData, name: str, say: Wording) -> list[dict[str, object]]:
    """Return every lane in words.

    Parameters
    ----------
    data : RibbonData
        What is shown. [-]
    name : str
        Of the job, in addresses. [-]
    say : Wording
        How the reader reads. [-]

    Returns
    -------
    list of dict
        ``name``; ``spans`` (from, to, text, address) or ``points`` (chainage, text, address), in order of chainage [m].
    """
    job = data.job
    survey, layout = f"/jobs/{name}/survey", f"/jobs/{name}/layout"

    def row(table: str, place: int) -> str:
        return f"{survey}?table={table}#row-{place + 1}"

    spans: list[tuple[str, Sequence[tuple[float, float, str, str]]]] = [
        (
            say.text("Host pipe"),
            [(one.start, one.end, _pipe(one.dn, one.material, one.bore, say), row("main", k)) for k, one in enumerate(job.main)],
        ),
        (
            say.text("Surface"),
            [
                (
                    one.start,
                    one.end,
                    (say.code(one.surface) if one.surface else say.text("surface not known")) + (f", {say.text('no digging')}" if one.dig is False else ""),
                    row("ground", k),
                )
                for k, one in enumerate(job.ground)
            ],
        ),
        (say.text("Can it be lined"), [(one.start, one.end, say.code(one.verdict), f"/jobs/{name}/lining") for one in data.suitability]),
        (
            say.text("Run"),
            [
                (one.start, one.end, f"{one.id}, {say.code(one.direction)}, {say.quantity(one.aim, 'mm', 1)}, {say.word(one.limit_text)}", f"/jobs/{name}/runs/{one.id}")
                for one in data.runs
            ],
        ),
        *((title, parts) for title, parts in _supply_spans(data, name, say)),
    ]  # fmt: skip
    points: list[tuple[str, Sequence[tuple[float, str, str]]]] = [
        (say.text("Fitting"), [(one.chainage, _fitting(one.kind, one.angle, one.ref, say), row("features", k)) for k, one in enumerate(job.features)]),
        (
            say.text("Opening"),
            [
                (one.chainage, f"{number}{', ' + say.text('with the pump') if one.pump_here else ''}", f"{layout}#opening-{number}")
                for number, one in enumerate(data.openings, start=1)
            ],
        ),
        (
            say.text("Connection"),
            [
                (one.chainage, ", ".join(say.code(part) for part in (one.side, one.use, one.ref) if part), row("services", k))
                for k, one in enumerate(job.services)
            ],
        ),
        (say.text("Feed"), [(one.chainage, feed_text(one, say), row("feeds", _feed_row(job, one.id))) for one in _points_of(data) if one.source]),
        (
            say.text("Pressure at the tap"),
            [(one.chainage, f"{say.code(one.side)}, {say.quantity(one.pressure, 'bar', 2)}", f"/jobs/{name}/water") for one in _points_of(data) if one.feeds],
        ),
    ]  # fmt: skip
    lanes: list[dict[str, object]] = [{"name": title, "spans": found} for title, found in spans if found]
    return lanes + [{"name": title, "points": sorted(found)} for title, found in points if found]


def _points_of(data: RibbonData) -> Sequence[SupplyPoint]:
    """Return the points of the temporary supply."""
    return () if data.supply is None else data.supply.points or ()


def _feed_row(job: Job, name: str) -> int:
    return next((k for k, one in enumerate(job.feeds) if one.ref == name), 0)


def _supply_spans(data: RibbonData, name: str, say: Wording) -> list[tuple[str, list[tuple[float, float, str, str]]]]:
    """Return what is shut, and the temporary pipe along each kerb."""
    found = data.supply
    if found is None:
        return []
    href = f"/jobs/{name}/water"
    shut = [
        (one.start, one.end, one.id + ("" if one.closed is None else f", {say.quantity(one.closed, 'days', 0)}"), href)
        for one in found.closed_blocks or ()
    ]
    pipes = pipe_lengths(found)
    titles = {"left": say.text("Temporary pipe, left"), "right": say.text("Temporary pipe, right")}
    kerbs = [(titles[side], [(one.start, one.end, one.stock, href) for one in pipes if one.side == side]) for side in titles]
    return [(say.text("Shut"), shut), *kerbs]


def _pipe(dn: int, material: str, bore: float | None, say: Wording) -> str:
    known = f", {say.text('bore')} {say.quantity(bore, 'mm', 0)}" if bore is not None else ""
    return f"DN {dn} {say.code(material)}{known}"


def _fitting(kind: str, angle: float | None, ref: str | None, say: Wording) -> str:
    bend = f" {say.number(round(math.degrees(angle), 1))}°" if angle else ""
    return f"{say.code(kind)}{bend}{f' {ref}' if ref else ''}"
