"""The parts of a proof as plain values: mortar, camera, connections, water, pressure, obstructions, in the names and units of the file contract."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import TypeAlias

from mainwright.prove.acceptance import Acceptance
from mainwright.prove.camera import CameraProof
from mainwright.prove.connections import ConnectionsProof
from mainwright.prove.mortar import MortarProof
from mainwright.prove.obstructions import ObstructionProof
from mainwright.prove.pressure import PressureProof
from mainwright.prove.water import WaterProof
from mainwright.units import from_si, significant
from mainwright.words.message import Message

__all__ = [
    "Word",
    "camera_document",
    "connections_document",
    "mortar_document",
    "number",
    "obstruction_document",
    "pressure_document",
    "readings_document",
    "stamp",
    "water_document",
]

Word: TypeAlias = Callable[[Message], str]


def number(value: float | None, unit: str = "") -> float | None:
    """Return an SI value in a unit with the digits that leave the program; None stays."""
    return None if value is None else significant(from_si(value, unit)) + 0.0


def stamp(value: datetime | None) -> str | None:
    """Return a moment in UTC, as ISO 8601."""
    return None if value is None else value.astimezone(UTC).isoformat().replace("+00:00", "Z")


def readings_document(one: Acceptance) -> dict[str, object]:
    """Return gauge readings.

    Parameters
    ----------
    one : Acceptance
        Of one run. [-]

    Returns
    -------
    dict
        Plain values.
    """
    return {
        "n": one.count,
        "mean_mm": number(one.mean, "mm"),
        "deviation_mm": number(one.deviation, "mm"),
        "k": number(one.k),
        "k_required": number(one.k_required),
        "verdict": one.verdict,
        "state": one.state,
        "needed": one.needed,
        "under_minimum": [
            {"chainage_m": number(row.chainage), "clock": number(row.clock), "thickness_mm": number(row.thickness, "mm"), "zone": row.zone}
            for row in one.under
        ],
        "groups": [
            {
                "zone": group.zone,
                "state": group.state,
                "over": group.over,
                "n": group.count,
                "mean_mm": number(group.mean, "mm"),
                "deviation_mm": number(group.deviation, "mm"),
                "minimum_mm": number(group.least, "mm"),
            }
            for group in one.groups
        ],
    }


def mortar_document(one: MortarProof, word: Word) -> dict[str, object]:
    """Return the mortar of a run.

    Parameters
    ----------
    one : MortarProof
        Of one run. [-]
    word : callable
        Words a message. [-]

    Returns
    -------
    dict
        Plain values.
    """
    return {
        "verdict": one.verdict,
        "strength_mpa": number(one.strength, "mpa"),
        "required_mpa": number(one.required, "mpa"),
        "required_age_days": number(one.required_age, "days"),
        "sets": [
            {
                "batch": part.batch,
                "kind": part.kind,
                "age_days": number(part.age, "days"),
                "n": len(part.strengths),
                "strengths_mpa": [number(value, "mpa") for value in part.strengths],
                "mean_mpa": number(part.mean, "mpa"),
                "discarded": part.discarded,
                "verdict": part.verdict,
                "because": None if part.because is None else word(part.because),
            }
            for part in one.sets
        ],
        "batches": [
            {
                "batch": part.batch,
                "from_m": number(part.start),
                "to_m": number(part.end),
                "water_per_cement": number(part.water_per_cement),
                "spread_mm": number(part.spread, "mm"),
                "temperature_c": number(part.temperature, "c"),
                "oldest_minutes": number(part.oldest, "minutes"),
                "usable_minutes": number(part.usable, "minutes"),
                "too_old": part.too_old,
            }
            for part in one.batches
        ],
        "notes": [word(text) for text in one.notes],
    }


def camera_document(one: CameraProof, word: Word) -> dict[str, object]:
    """Return the camera of a run.

    Parameters
    ----------
    one : CameraProof
        Of one run. [-]
    word : callable
        Words a message. [-]

    Returns
    -------
    dict
        Plain values.
    """
    return {
        "verdict": one.verdict,
        "passes": [
            {
                "pass": part.name,
                "rows": part.rows,
                "from_m": number(part.start),
                "to_m": number(part.end),
                "time_from": stamp(part.first),
                "time_to": stamp(part.last),
                "water": part.water,
            }
            for part in one.passes
        ],
        "findings": [
            {
                "pass": part.camera_pass or None,
                "chainage_m": number(part.chainage),
                "clock_from": number(part.clock_from),
                "clock_to": number(part.clock_to),
                "kind": part.kind,
                "size_mm": number(part.size, "mm"),
                "limit_mm": number(part.limit, "mm"),
                "photo": part.photo,
                "verdict": part.verdict,
                "because": None if part.because is None else word(part.because),
            }
            for part in one.findings
        ],
        "notes": [word(text) for text in one.notes],
    }


def connections_document(one: ConnectionsProof, word: Word) -> dict[str, object]:
    """Return the connections of a run.

    Parameters
    ----------
    one : ConnectionsProof
        Of one run. [-]
    word : callable
        Words a message. [-]

    Returns
    -------
    dict
        Plain values.
    """
    return {
        "verdict": one.verdict,
        "list": [
            {
                "ref": part.ref or None,
                "chainage_m": number(part.chainage),
                "listed": part.listed,
                "live": part.live,
                "seen_by_camera": part.camera,
                "seen_from_street": part.street,
                "stop_tap_holds": part.holds,
                "flow_before_l_min": number(part.flow_before, "l_min"),
                "flow_after_l_min": number(part.flow_after, "l_min"),
                "method": part.method,
                "air_bar": number(part.air, "bar"),
                "time_cleared": stamp(part.cleared),
                "minutes_since_pass": number(part.since_pass, "minutes"),
                "verdict": part.verdict,
                "problems": [word(text) for text in part.problems],
            }
            for part in one.connections
        ],
    }


def obstruction_document(one: ObstructionProof, word: Word) -> dict[str, object]:
    """Return one obstruction.

    Parameters
    ----------
    one : ObstructionProof
        The obstruction. [-]
    word : callable
        Words a message. [-]

    Returns
    -------
    dict
        Plain values.
    """
    record = one.record
    return {
        "chainage_m": number(record.chainage),
        "run": one.run,
        "kind": record.kind,
        "time": stamp(record.time),
        "minutes": number(record.duration, "minutes"),
        "on_drawing": record.on_drawing,
        "photo": record.photo,
        "drawings": word(one.drawings),
        "contradicted": one.contradicted,
        "record": f"obstructions.csv:{one.row}",
    }


def water_document(one: WaterProof, word: Word) -> dict[str, object]:
    """Return the gate before customers.

    Parameters
    ----------
    one : WaterProof
        Of the job. [-]
    word : callable
        Words a message. [-]

    Returns
    -------
    dict
        Plain values.
    """
    return {
        "verdict": one.verdict,
        "because": [word(text) for text in one.because],
        "tests": [
            {
                "point": part.test.point,
                "time": stamp(part.test.time),
                "parameter": part.test.parameter,
                "value": number(part.test.value),
                "unit": part.test.unit,
                "lab": part.test.lab,
                "low": number(part.low),
                "high": number(part.high),
                "source": None if part.source is None else part.source.title,
                "source_status": None if part.source is None else part.source.status,
                "passes": part.passes,
                "counts": part.counts,
            }
            for part in one.tests
        ],
        "deviations": [{"time": stamp(part.time), "who": part.who, "note": part.note} for part in one.deviations],
    }


def pressure_document(one: PressureProof, word: Word) -> dict[str, object]:
    """Return the pressure test.

    Parameters
    ----------
    one : PressureProof
        Of the job. [-]
    word : callable
        Words a message. [-]

    Returns
    -------
    dict
        Plain values.
    """
    return {
        "verdict": one.verdict,
        "rule": one.rule,
        "limit_bar": number(one.limit, "bar"),
        "sections": [
            {
                "section": part.section,
                "readings": len(part.readings),
                "time_from": stamp(part.readings[0].time),
                "time_to": stamp(part.readings[-1].time),
                "hours": number(part.duration, "hours"),
                "highest_bar": number(part.highest, "bar"),
                "first_bar": number(part.first, "bar"),
                "last_bar": number(part.last, "bar"),
                "added_l": number(part.added, "l"),
                "verdict": part.verdict,
                "because": [word(text) for text in part.because],
            }
            for part in one.sections
        ],
        "notes": [word(text) for text in one.notes],
    }
