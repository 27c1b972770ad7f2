"""The parts of a proof as plain values: mortar, camera, connections, water, pressure, obstructions, in the names and units of the file contract."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import TypeAlias

from mainwright.prove.acceptance import Acceptance
from mainwright.prove.agreement import Agreement
from mainwright.prove.camera import CameraProof
from mainwright.prove.connections import ConnectionsProof
from mainwright.prove.curing import CuringProof
from mainwright.prove.defects import Defect
from mainwright.prove.mortar import MortarProof
from mainwright.prove.scans import ScanProof
from mainwright.prove.signing import Signed, Signing
from mainwright.units import from_si, significant, to_si
from mainwright.words.message import Message

__all__ = [
    "Word",
    "agreement_document",
    "camera_document",
    "connections_document",
    "curing_document",
    "defect_document",
    "mortar_document",
    "number",
    "readings_document",
    "scan_document",
    "signing_document",
    "stamp",
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


def curing_document(one: CuringProof, word: Word) -> dict[str, object]:
    """Return the curing of a run.

    Parameters
    ----------
    one : CuringProof
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
        "because": [word(text) for text in one.because],
        "lined": stamp(one.lined),
        "ends_closed": stamp(one.closed),
        "log_from": stamp(one.log_from),
        "log_to": stamp(one.log_to),
        "readings": one.readings,
        "coldest_c": number(one.coldest, "c"),
        "warmest_c": number(one.warmest, "c"),
        "driest_pct": number(one.driest, "pct"),
        "floor_hours": number(one.floor, "hours"),
        "floor_at": stamp(one.floor_at),
        "water_at": stamp(one.water_at),
        "equivalent_age_low_hours": number(one.age_low, "hours"),
        "equivalent_age_high_hours": number(one.age_high, "hours"),
        "nurse_saul_c_hours": None if one.nurse_saul is None else number(one.nurse_saul / to_si(1.0, "hours")),
        "notes": [word(text) for text in one.notes],
    }


def defect_document(one: Defect, word: Word) -> dict[str, object]:
    """Return one length that is not as it was asked.

    Parameters
    ----------
    one : Defect
        The length. [-]
    word : callable
        Words a message. [-]

    Returns
    -------
    dict
        Plain values.
    """
    return {
        "kind": one.kind,
        "by": one.by,
        "from_m": number(one.start),
        "to_m": number(one.end),
        "clock_from": number(one.clock_start),
        "clock_to": number(one.clock_end),
        "length_m": number(one.length),
        "worst_mm": number(one.worst, "mm"),
        "depth_mm": number(one.depth, "mm"),
        "causes": [word(text) for text in one.causes],
        "remedy": one.remedy,
        "text": word(one.text),
        "area_m2": number(one.area),
        "mortar_l": number(one.mortar, "l"),
    }


def agreement_document(one: Agreement, word: Word) -> dict[str, object]:
    """Return the mean thickness of a run by each kind of evidence.

    Parameters
    ----------
    one : Agreement
        Of one run. [-]
    word : callable
        Words a message. [-]

    Returns
    -------
    dict
        Plain values.
    """
    return {
        "mean_mm": number(one.mean, "mm"),
        "deviation_mm": number(one.deviation, "mm"),
        "kinds": [
            {"kind": part.kind, "mean_mm": number(part.mean, "mm"), "deviation_mm": number(part.deviation, "mm"), "n": part.count}
            for part in one.evidence
        ],
        "differs": [word(text) for text in one.differs],
    }


def scan_document(one: ScanProof, word: Word) -> dict[str, object]:
    """Return the ring scans of a run.

    Parameters
    ----------
    one : ScanProof
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
        "metres": len(one.metres),
        "mean_mm": number(one.mean, "mm"),
        "minimum_mm": number(one.minimum, "mm"),
        "minimum_deviation_mm": number(one.minimum_deviation, "mm"),
        "unseen_mm": number(one.unseen, "mm"),
        "unseen_because": None if one.unseen_because is None else word(one.unseen_because),
        "thin_areas": [
            {
                "from_m": number(area.start),
                "to_m": number(area.end),
                "clock_from": number(area.clock_start),
                "clock_to": number(area.clock_end),
                "area_cm2": number(area.area, "cm2"),
                "minimum_mm": number(area.minimum, "mm"),
            }
            for area in one.thin
        ],
        "unread_m": [number(metre) for metre in one.unread],
    }


def signing_document(one: Signing, word: Word) -> dict[str, object]:
    """Return the signature of a run or of the water.

    Parameters
    ----------
    one : Signing
        All its signatures. [-]
    word : callable
        Words a message. [-]

    Returns
    -------
    dict
        Plain values; the last signature counts, the earlier ones stay.
    """
    return {
        "state": one.state,
        "needs_reason": one.needs_reason,
        "signed": None if one.last is None else _signed(one.last, word),
        "earlier": [_signed(part, word) for part in one.signatures[:-1]],
    }


def _signed(one: Signed, word: Word) -> dict[str, object]:
    record = one.record
    return {
        "decision": record.decision,
        "name": record.name,
        "role": record.role,
        "time": stamp(record.time),
        "verdict": record.verdict,
        "for_this_state": one.current,
        "reason": record.note,
        "notes": [word(text) for text in one.notes],
        "who": record.who,
        "record": f"signatures.csv:{one.row}",
    }
