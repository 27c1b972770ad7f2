"""Openings and runs on the map: ``openings.geojson``, in WGS 84 as the format asks."""

import json
from collections.abc import Callable

from mainwright import __version__
from mainwright.paper.map_line import MapLine, map_line
from mainwright.paper.pen import pen_for
from mainwright.plan.result import Opening, Plan, Run
from mainwright.units import from_si, significant
from mainwright.words.message import Message, message

__all__ = ["render_openings"]


def _opening(line: MapLine, one: Opening, *, number: int, along: float, word: Callable[[Message], str]) -> dict[str, object]:
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": line.degrees(line.raw(along))},
        "properties": {
            "kind": "opening",
            "number": number,
            "chainage_m": significant(one.chainage),
            "reason": [word(reason) for reason in one.reasons],
            "surface": one.surface,
            "cover_m": None if one.cover is None else significant(one.cover),
            "pump_here": one.pump_here,
            "cost": None if one.cost is None else significant(one.cost),
        },
    }


def _run(line: MapLine, scale: float, one: Run, zero: float) -> dict[str, object]:
    return {
        "type": "Feature",
        "geometry": {"type": "LineString", "coordinates": line.part((one.start - zero) * scale, (one.end - zero) * scale)},
        "properties": {
            "kind": "run",
            "id": one.id,
            "from_m": significant(one.start),
            "to_m": significant(one.end),
            "direction": one.direction,
            "length_m": significant(one.length),
            "dn": one.dn,
            "aim_mm": significant(from_si(one.aim, "mm")),
            "speed_m_min": significant(from_si(one.speed, "m_min")),
            "mortar_l": significant(from_si(one.mortar, "l")),
            "limit": one.limit,
            "done": one.done,
        },
    }


def render_openings(plan: Plan) -> bytes | None:
    """Return openings as points and runs as lines along the main.

    Parameters
    ----------
    plan : Plan
        The plan. [-]

    Returns
    -------
    bytes or None
        GeoJSON in longitude and latitude of WGS 84; None where the job has no line of the main. Chainage is measured along the
        line; where line and main differ in length it is scaled, and the file says so.
    """
    found = map_line(plan.job)
    if found is None:
        return None
    line, accuracy = found
    zero, last = plan.job.main[0].start, plan.job.main[-1].end
    length = last - zero
    scale = line.length / length
    say = pen_for(plan).say
    features = [
        _opening(line, one, number=number, along=(one.chainage - zero) * scale, word=say.word)
        for number, one in enumerate(plan.openings, start=1)
    ]
    features += [_run(line, scale, one, zero) for one in plan.runs]
    differs = abs(line.length - length) > 0.005 * length
    note = message(
        "The line is {line} long and the main {main}: chainage is scaled by {scale}.",
        line=f"{line.length:.1f} m",
        main=f"{length:.1f} m",
        scale=f"{scale:.4f}",
    )
    document = {
        "type": "FeatureCollection",
        "mainwright": __version__,
        "job": plan.job.info.name,
        "revision": plan.job.revision,
        "line_length_m": significant(line.length),
        "main_length_m": significant(length),
        "transformation_accuracy_m": accuracy,
        "note": say.word(note) if differs else None,
        "features": features,
    }
    return (json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()
