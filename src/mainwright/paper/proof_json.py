"""The proof as a document of plain values, and the thickness along each run as CSV: names and units of the file contract."""

import json
from collections.abc import Callable
from typing import Final

from mainwright import __version__
from mainwright.prove.balance import MassBalance
from mainwright.prove.proof import Acceptance, Proof, RunProof, Thickness
from mainwright.prove.thickness import Laid
from mainwright.units import from_si, significant
from mainwright.words.message import Message

__all__ = ["proof_document", "proof_json", "thickness_csv"]

_NOT_BUILT: Final = ("mortar", "curing", "camera")
"""Parts of a run's proof that a later release judges: null, and named in `not_built`."""


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
        "runs": [_run(one, word) for one in proof.runs],
        "water": {"verdict": "incomplete", "tests": []},
        "pressure_test": None,
        "measured": [
            {"item": one.item, "unit": one.unit, "quantity": significant(one.quantity), "records": list(one.records)}
            for one in proof.measured
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
        "not_built": ["water", "pressure_test", *(f"runs.{name}" for name in _NOT_BUILT)],
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
        f"{_number(chainage)!r},{_number(value, 'mm')!r},{_number(deviation, 'mm')!r}"
        for chainage, value, deviation in zip(laid.chainages, laid.thicknesses, laid.deviations, strict=True)
    ]
    return ("\n".join(rows) + "\n").encode("utf-8")


def _number(value: float | None, unit: str = "") -> float | None:
    return None if value is None else significant(from_si(value, unit)) + 0.0


def _run(one: RunProof, word: Callable[[Message], str]) -> dict[str, object]:
    return {
        "id": one.run.id,
        "from_m": _number(one.run.start),
        "to_m": _number(one.run.end),
        "verdict": one.verdict,
        "because": [word(text) for text in one.because],
        "thickness": None if one.thickness is None else _thickness(one.thickness),
        "gaps": [
            {"from_m": _number(gap.start), "to_m": _number(gap.end), "why": word(gap.why)} for gap in (one.laid.gaps if one.laid else ())
        ],
        "mass_balance": None if one.balance is None else _balance(one.balance),
        "readings": _readings(one.readings),
        "missing": [word(text) for text in one.missing],
        **dict.fromkeys(_NOT_BUILT),
    }


def _thickness(one: Thickness) -> dict[str, object]:
    return {
        "mean_mm": _number(one.mean, "mm"),
        "p05_mm": _number(one.p05, "mm"),
        "minimum_mm": _number(one.minimum, "mm"),
        "under_minimum": [
            {"from_m": _number(part.start), "to_m": _number(part.end), "minimum_mm": _number(part.minimum, "mm")}
            for part in one.under_minimum
        ],
    }


def _balance(one: MassBalance) -> dict[str, object]:
    return {
        "pumped_l": _number(one.pumped, "l"),
        "batched_l": _number(one.batched, "l"),
        "returned_l": _number(one.returned, "l"),
        "wasted_l": _number(one.wasted, "l"),
        "deposited_l": _number(one.deposited, "l"),
        "difference_l": _number(one.difference, "l"),
    }


def _readings(one: Acceptance) -> dict[str, object]:
    return {
        "n": one.count,
        "mean_mm": _number(one.mean, "mm"),
        "deviation_mm": _number(one.deviation, "mm"),
        "k": _number(one.k),
        "k_required": _number(one.k_required),
        "verdict": one.verdict,
    }
