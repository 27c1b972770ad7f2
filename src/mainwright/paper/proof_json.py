"""The proof as a document of plain values, and the thickness along each run as CSV: names and units of the file contract."""

import json
from collections.abc import Callable

from mainwright import __version__
from mainwright.paper.proof_job_parts import obstruction_document, pressure_document, water_document
from mainwright.paper.proof_parts import (
    agreement_document,
    camera_document,
    connections_document,
    curing_document,
    defect_document,
    mortar_document,
    number,
    readings_document,
    scan_document,
    signing_document,
)
from mainwright.prove.balance import MassBalance
from mainwright.prove.proof import Proof, RunProof, Thickness
from mainwright.prove.thickness import Laid
from mainwright.units import significant
from mainwright.words.message import Message

__all__ = ["proof_document", "proof_json", "thickness_csv"]


def proof_document(proof: Proof, *, word: Callable[[Message], str]) -> dict[str, object]:
    """Return the proof as the document ``proof.json``.

    Parameters
    ----------
    proof : Proof
        The proof, in SI. [-]
    word : callable
        Words a message in the language and units of the job. [-]

    Returns
    -------
    dict
        Keys and units of the file contract.
    """
    info = proof.job.info
    return {
        "mainwright": __version__,
        "job": {"name": info.name, "reference": info.reference, "client": info.client},
        "revision": proof.job.revision,
        "issued": proof.issued,
        "records_revision": proof.records,
        "remarks": [word(one) for one in proof.remarks],
        "runs": [_run(one, word) for one in proof.runs],
        "water": {**water_document(proof.water, word), "signature": signing_document(proof.signing, word)},
        "pressure_test": pressure_document(proof.pressure, word),
        "obstructions": [obstruction_document(one, word) for one in proof.obstructions],
        "measured": [
            {"item": one.item, "unit": one.unit, "quantity": significant(one.quantity), "records": list(one.records)}
            for one in proof.measured
        ],
        "unproven": [
            {"item": one.item, "unit": one.unit, "planned": significant(one.planned), "proven": significant(one.proven)}
            for one in proof.unproven
        ],
        "missing": [word(one) for one in proof.missing],
        "assumed": [
            {
                "what": one.what,
                "value": significant(one.value) if isinstance(one.value, float) else one.value,
                "unit": one.unit,
                "because": word(one.because),
            }
            for one in proof.assumed
        ],
    }


def proof_json(proof: Proof, *, word: Callable[[Message], str]) -> bytes:
    """Return the bytes of ``proof.json``: the same proof gives the same bytes.

    Parameters
    ----------
    proof : Proof
        The proof. [-]
    word : callable
        Words a message in the language and units of the job. [-]

    Returns
    -------
    bytes
        UTF-8, indented, with a newline at the end.
    """
    return (json.dumps(proof_document(proof, word=word), indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode("utf-8")


def thickness_csv(laid: Laid) -> bytes:
    """Return the bytes of ``thickness_<run>.csv``: middle of each bin, thickness, one standard deviation.

    Parameters
    ----------
    laid : Laid
        What lies in a run. [-]

    Returns
    -------
    bytes
        In order of chainage.
    """
    rows = ["chainage_m,thickness_mm,deviation_mm"]
    rows += [
        f"{number(chainage)!r},{number(value, 'mm')!r},{number(deviation, 'mm')!r}"
        for chainage, value, deviation in zip(laid.chainages, laid.thicknesses, laid.deviations, strict=True)
    ]
    return ("\n".join(rows) + "\n").encode("utf-8")


def _run(one: RunProof, word: Callable[[Message], str]) -> dict[str, object]:
    return {
        "id": one.run.id,
        "from_m": number(one.run.start),
        "to_m": number(one.run.end),
        "verdict": one.verdict,
        "because": [word(text) for text in one.because],
        "thickness": None if one.thickness is None else _thickness(one.thickness),
        "gaps": [
            {"from_m": number(gap.start), "to_m": number(gap.end), "why": word(gap.why)} for gap in (one.laid.gaps if one.laid else ())
        ],
        "mass_balance": None if one.balance is None else _balance(one.balance),
        "readings": readings_document(one.readings),
        "mortar": mortar_document(one.mortar, word),
        "camera": camera_document(one.camera, word),
        "connections": connections_document(one.connections, word),
        "curing": curing_document(one.curing, word),
        "defects": [defect_document(part, word) for part in one.defects],
        "evidence": agreement_document(one.agreement, word),
        "scan": None if one.scan is None else scan_document(one.scan, word),
        "missing": [word(text) for text in one.missing],
        "signature": signing_document(one.signing, word),
    }


def _thickness(one: Thickness) -> dict[str, object]:
    return {
        "mean_mm": number(one.mean, "mm"),
        "p05_mm": number(one.p05, "mm"),
        "minimum_mm": number(one.minimum, "mm"),
        "under_minimum": [
            {"from_m": number(part.start), "to_m": number(part.end), "minimum_mm": number(part.minimum, "mm")} for part in one.under_minimum
        ],
    }


def _balance(one: MassBalance) -> dict[str, object]:
    return {
        "pumped_l": number(one.pumped, "l"),
        "batched_l": number(one.batched, "l"),
        "returned_l": number(one.returned, "l"),
        "wasted_l": number(one.wasted, "l"),
        "deposited_l": number(one.deposited, "l"),
        "difference_l": number(one.difference, "l"),
    }
