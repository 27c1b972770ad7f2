"""Extras: obstructions that no drawing showed, daywork, standing time and variations. Each is claimed with its proof, or held with the reason."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from mainwright.job.job import Job
from mainwright.job.records import Extra, Records
from mainwright.plan.bill import price_of
from mainwright.prove.measured import is_proven_quantity, local_day, measured_elsewhere, on_or_before
from mainwright.prove.obstructions import ObstructionProof
from mainwright.words.message import Message, Quantity, message

__all__ = ["Claim", "Held", "claims", "held_quantities"]

_KINDS: Final = {
    "daywork": message("Daywork"),
    "standing_time": message("Standing time"),
    "variation": message("Variation"),
}


@dataclass(frozen=True, slots=True)
class Claim:
    """One extra with its proof: kind, the reference of its sheet, quantity in ``unit``, rate and amount in the job's currency, its rows.

    The rate is that of `item` in the price list, unless it was agreed in the row itself.
    """

    kind: str
    ref: str
    text: Message
    unit: str
    quantity: float
    rate: float
    amount: float
    records: tuple[str, ...]
    item: str
    agreed: bool


@dataclass(frozen=True, slots=True)
class Held:
    """What could be claimed and is not in the sum, with why; the amount is None without a rate."""

    item: str
    text: Message
    unit: str
    quantity: float
    rate: float | None
    amount: float | None
    why: tuple[Message, ...]
    records: tuple[str, ...]


def claims(
    job: Job, obstructions: Sequence[ObstructionProof], records: Records, *, until: date | None
) -> tuple[tuple[Claim, ...], tuple[Held, ...]]:
    """Return the extras that are proven, and those that are not.

    Parameters
    ----------
    job : Job
        The job with prices and rules. [-]
    obstructions : sequence of ObstructionProof
        Each with what the survey shows at its place. [-]
    records : Records
        What happened. [-]
    until : date or None
        Last day that counts; None counts all. [-]

    Returns
    -------
    tuple
        Claims and what is held, obstructions in order of chainage first. An obstruction is proven by a row of its day with a photograph, where no
        drawing showed it; daywork and standing time by a signature of the same day, unless the contract lets it come later; a variation by an order.
    """
    made: list[Claim] = []
    held: list[Held] = []
    zone = job.info.time_zone
    for one in obstructions:
        if one.record.on_drawing is True or not on_or_before(one.record, ("time",), until, zone):
            continue
        why = _unproven_obstruction(one)
        text = message("Obstruction at {place}: {kind}", place=Quantity(one.record.chainage, "m", 1), kind=one.record.kind or "–")
        _put(job, made, held, kind="obstruction", ref="", item="obstruction", text=text, unit="each", quantity=1.0, rate=None, why=why, row=f"obstructions.csv:{one.row}")  # fmt: skip
    for row, extra in enumerate(records.extras, start=1):
        if on_or_before(extra, ("time",), until, zone):
            text = message("{kind} {ref}: {what}", kind=_KINDS[extra.kind], ref=extra.ref, what=extra.note or extra.item or "–")
            _put(job, made, held, kind=extra.kind, ref=extra.ref, item=extra.item or "", text=text, unit=extra.unit or "", quantity=extra.quantity, rate=extra.rate, why=_unproven_extra(job, extra), row=f"extras.csv:{row}")  # fmt: skip
    return tuple(made), tuple(held)


def _put(
    job: Job,
    made: list[Claim],
    held: list[Held],
    *,
    kind: str,
    ref: str,
    item: str,
    text: Message,
    unit: str,
    quantity: float,
    rate: float | None,
    why: list[Message],
    row: str,
) -> None:
    price = price_of(job, item) if item else None
    agreed = rate is not None
    if rate is None and price is not None:
        rate = price.rate
        if unit and price.unit and unit != price.unit:
            why = [*why, message("measured in {unit}, priced in {other}", unit=unit, other=price.unit)]
        unit = unit or price.unit or ""
    if rate is None:
        why = [*why, message("neither the row nor the price list has a rate for it")]
    if why or rate is None:
        amount = None if rate is None else rate * quantity
        held.append(Held(item or kind, text, unit, quantity, rate, amount, tuple(why), (row,)))
        return
    made.append(Claim(kind, ref, text, unit, quantity, rate, rate * quantity, (row,), item, agreed))


def _unproven_obstruction(one: ObstructionProof) -> list[Message]:
    why = []
    if one.record.on_drawing is None:
        why.append(message("the record does not say whether the drawings showed it"))
    if one.record.time is None:
        why.append(message("the record has no time: that it is of the same day, nobody can show"))
    if not one.record.photo:
        why.append(message("no photograph is named"))
    if one.contradicted:
        why.append(message("the job's own survey shows it: {what}", what=one.drawings))
    return why


def _unproven_extra(job: Job, one: Extra) -> list[Message]:
    why = []
    if one.cause == "contractor":
        why.append(message("the record names the contractor as its cause"))
    if one.kind == "variation":
        if not one.instructed_by:
            why.append(message("no order of the client is on record"))
        return why
    if one.kind == "standing_time" and one.cause is None:
        why.append(message("the record names no cause"))
    if not one.signed_by or one.time_signed is None:
        why.append(message("nobody of the client has signed it"))
    elif job.measurement.extras == "same_day":
        zone = job.info.time_zone
        worked, signed = local_day(one.time, zone), local_day(one.time_signed, zone)
        if worked != signed:
            why.append(
                message("of {day}, signed on {signed}: the contract asks for a signature of the same day", day=worked, signed=signed)
            )
    return why


def held_quantities(job: Job, records: Records, others: Collection[str], *, until: date | None) -> tuple[Held, ...]:
    """Return quantities that were measured on site and are not claimed, with why.

    Parameters
    ----------
    job : Job
        The job with prices. [-]
    records : Records
        What happened. [-]
    others : collection of str
        Items that were measured. [-]
    until : date or None
        Last day that counts; None counts all. [-]

    Returns
    -------
    tuple of Held
        Those that nobody has signed, and those of an item that other records measure.
    """
    held = []
    elsewhere = measured_elsewhere(others)
    for row, one in enumerate(records.quantities, start=1):
        if not on_or_before(one, ("time",), until, job.info.time_zone):
            continue
        why = []
        if not is_proven_quantity(one):
            why.append(message("nobody of the client has signed it"))
        if one.item in elsewhere:
            why.append(message("other records measure this item: it is not counted twice"))
        if why:
            price = price_of(job, one.item)
            rate = None if price is None else price.rate
            amount = None if rate is None else rate * one.quantity
            text = message("Measured on site: {item}", item=one.item)
            held.append(Held(one.item, text, one.unit or "each", one.quantity, rate, amount, tuple(why), (f"quantities.csv:{row}",)))
    return tuple(held)
