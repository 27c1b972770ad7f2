"""A valuation as a document of plain values: ``valuation.json``."""

import json
from collections.abc import Callable

from mainwright import __version__
from mainwright.prove.extras import Claim, Held
from mainwright.prove.valuation import NotYet, Valuation, ValuedLine
from mainwright.units import from_si, significant
from mainwright.words.message import Message

__all__ = ["valuation_document", "valuation_json"]

_Word = Callable[[Message], str]


def _number(value: float | None) -> float | None:
    return None if value is None else significant(value) + 0.0


def valuation_document(made: Valuation, *, word: _Word) -> dict[str, object]:
    """Return a valuation as the document ``valuation.json``.

    Parameters
    ----------
    made : Valuation
        The valuation. [-]
    word : callable
        Words a message in the language and units of the job. [-]

    Returns
    -------
    dict
        Money in the job's currency, quantities in the units of the price list.
    """
    info, sums, rules = made.job.info, made.sums, made.job.payment
    limit = rules.retention_limit
    return {
        "mainwright": __version__,
        "job": {"name": info.name, "reference": info.reference, "client": info.client, "currency": info.currency},
        "revision": made.job.revision,
        "issued": made.issued,
        "records_revision": made.records,
        "kind": "final_account" if made.final else "interim_valuation",
        "until": None if made.until is None else made.until.isoformat(),
        "lines": [_line(one, word) for one in made.lines],
        "extras": [_claim(one, word) for one in made.extras],
        "not_in_sum": [_held(one, word) for one in made.held],
        "not_yet": [_not_yet(one, word) for one in made.not_yet],
        "sums": {
            "measured": _number(sums.measured),
            "extras": _number(sums.extras),
            "gross": _number(sums.gross),
            "contract": _number(sums.contract),
            "retention_pct": _number(from_si(rules.retention, "pct")),
            "retention_limit_pct": None if limit is None else _number(from_si(limit, "pct")),
            "retention": _number(sums.retention),
            "retention_released": _number(sums.released),
            "paid": _number(sums.paid),
            "due": _number(sums.due),
            "not_in_sum": _number(sum(one.amount or 0.0 for one in made.held)),
        },
        "notes": [word(one) for one in made.notes],
        "assumed": [
            {"what": one.what, "value": _number(one.value) if isinstance(one.value, float) else one.value, "unit": one.unit, "because": word(one.because)}
            for one in made.assumed
        ],
    }  # fmt: skip


def _line(one: ValuedLine, word: _Word) -> dict[str, object]:
    return {
        "item": one.item,
        "text": word(one.text),
        "unit": one.unit,
        "planned": _number(one.planned),
        "quantity": _number(one.quantity),
        "difference": _number(one.quantity - one.planned),
        "rate": _number(one.rate),
        "amount": _number(one.amount),
        "records": list(one.records),
    }


def _claim(one: Claim, word: _Word) -> dict[str, object]:
    return {
        "kind": one.kind,
        "ref": one.ref,
        "text": word(one.text),
        "unit": one.unit,
        "quantity": _number(one.quantity),
        "rate": _number(one.rate),
        "amount": _number(one.amount),
        "records": list(one.records),
    }


def _held(one: Held, word: _Word) -> dict[str, object]:
    return {
        "item": one.item,
        "text": word(one.text),
        "unit": one.unit,
        "quantity": _number(one.quantity),
        "rate": _number(one.rate),
        "amount": _number(one.amount),
        "why": [word(text) for text in one.why],
        "records": list(one.records),
    }


def _not_yet(one: NotYet, word: _Word) -> dict[str, object]:
    return {
        "item": one.item,
        "text": word(one.text),
        "unit": one.unit,
        "planned": _number(one.planned),
        "proven": _number(one.proven),
        "amount": _number(one.amount),
    }


def valuation_json(made: Valuation, *, word: _Word) -> bytes:
    """Return the bytes of ``valuation.json``: the same valuation gives the same bytes.

    Parameters
    ----------
    made : Valuation
        The valuation. [-]
    word : callable
        Words a message in the language and units of the job. [-]

    Returns
    -------
    bytes
        UTF-8, indented, with a newline at the end.
    """
    return (json.dumps(valuation_document(made, word=word), indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode("utf-8")
