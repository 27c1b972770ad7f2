"""The parts of a proof that belong to the whole job, as plain values: obstructions, water, pressure test, in the names of the file contract."""

from mainwright.paper.proof_parts import Word, number, stamp
from mainwright.prove.obstructions import ObstructionProof
from mainwright.prove.pressure import PressureProof
from mainwright.prove.water import WaterProof
from mainwright.units import to_si

__all__ = ["obstruction_document", "pressure_document", "water_document"]


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
                "from_m": number(part.start),
                "to_m": number(part.end),
                "highest_bar": number(part.highest, "bar"),
                "first_bar": number(part.first, "bar"),
                "last_bar": number(part.last, "bar"),
                "added_l": number(part.added, "l"),
                "loss_l_h": None if part.loss is None else number(part.loss * to_si(1.0, "hours"), "l"),
                "allowed_l_h": None if part.allowed is None else number(part.allowed * to_si(1.0, "hours"), "l"),
                "leak_l_h": None if part.make_up is None else number(part.make_up.leak * to_si(1.0, "hours"), "l"),
                "leak_deviation_l_h": None if part.make_up is None else number(part.make_up.leak_deviation * to_si(1.0, "hours"), "l"),
                "verdict": part.verdict,
                "because": [word(text) for text in part.because],
            }
            for part in one.sections
        ],
        "notes": [word(text) for text in one.notes],
    }
