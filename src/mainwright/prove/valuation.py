"""What is owed: measured quantities at the price list, extras with their proof, what is kept back and what was paid."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from mainwright.job.job import Job
from mainwright.job.records import Records
from mainwright.plan.bill import bill_cost, price_of
from mainwright.plan.result import BillLine
from mainwright.prove.extras import Claim, Held, claims, held_quantities
from mainwright.prove.measured import WHOLE, Measured, measure, on_or_before
from mainwright.prove.proof import Proof
from mainwright.prove.verdict import Verdict
from mainwright.standards.source import Assumed
from mainwright.words.message import Message, Quantity, message

__all__ = ["NotYet", "Sums", "Valuation", "ValuedLine", "value"]

_SEPARATE: Final = ("obstruction",)
"""Measured items that are claimed one by one, each with its own proof."""

_MOMENTS: Final = {
    "runs_done": ("time_to", "time_from"),
    "connections": ("time_cleared",),
    "observations": ("time",),
    "obstructions": ("time",),
}
"""Tables whose rows may lack a moment."""


@dataclass(frozen=True, slots=True)
class ValuedLine:
    """One item of the bill as done: planned and measured quantity in ``unit``, rate and amount in the job's currency, the rows behind it."""

    item: str
    text: Message
    unit: str
    planned: float
    quantity: float
    rate: float
    amount: float
    records: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NotYet:
    """What the plan's bill has beyond what is proven: quantities in ``unit``; the amount of the rest, None without a rate."""

    item: str
    text: Message
    unit: str
    planned: float
    proven: float
    amount: float | None


@dataclass(frozen=True, slots=True)
class Sums:
    """The money, in the job's currency.

    Attributes
    ----------
    measured, extras, gross
        Of the lines, of the extras, of both.
    contract
        Of the plan's bill at its rates, None where nothing is priced.
    retention
        What is kept back of the gross before anything of it was freed.
    released
        What of it the client has freed; no more than was kept back counts.
    paid
        What came until the day.
    due
        Gross less what is kept back and what was paid; negative where more was paid than is proven.
    """

    measured: float
    extras: float
    gross: float
    contract: float | None
    retention: float
    released: float
    paid: float
    due: float


@dataclass(frozen=True, slots=True)
class Valuation:
    """An interim valuation or the final account: everything in the sum points at its records, and what does not stands apart in ``held``."""

    job: Job
    issued: str | None
    records: str
    until: date | None
    final: bool
    lines: tuple[ValuedLine, ...]
    extras: tuple[Claim, ...]
    held: tuple[Held, ...]
    not_yet: tuple[NotYet, ...]
    sums: Sums
    notes: tuple[Message, ...]
    assumed: tuple[Assumed, ...]


def value(
    job: Job,
    proof: Proof,
    *,
    bill: Sequence[BillLine],
    records: Records,
    until: date | None = None,
    final: bool = False,
    assumed: Sequence[Assumed] = (),
) -> Valuation:
    """Return what is owed for what is on record.

    Parameters
    ----------
    job : Job
        The job with prices and rules. [-]
    proof : Proof
        What the records prove: its runs and obstructions. [-]
    bill : sequence of BillLine
        Of the plan. [-]
    records : Records
        What happened. [-]
    until : date or None
        Last day that counts; None counts all. [-]
    final : bool
        Whether it is the final account. [-]
    assumed : sequence of Assumed
        Rules of measurement and payment that nobody gave. [-]

    Returns
    -------
    Valuation
        In the order of the bill; nothing without a record, a rate or its proof is in a sum.
    """
    found, withheld = _claimable(job, proof, records, until)
    planned = {one.item: one for one in bill}
    lines, held = _lines(job, found, planned)
    extras, refused = claims(job, proof.obstructions, records, until=until)
    held = [*held, *_withheld(job, withheld, planned), *refused, *held_quantities(job, records, {one.item for one in found}, until=until)]
    return Valuation(
        job=job,
        issued=proof.issued,
        records=proof.records,
        until=until,
        final=final,
        lines=tuple(lines),
        extras=extras,
        held=tuple(held),
        not_yet=_not_yet(job, bill, found),
        sums=_sums(job, records, lines=lines, extras=extras, contract=bill_cost(bill).rate, until=until),
        notes=_notes(job, proof, records, until=until, final=final),
        assumed=tuple(assumed),
    )


def _claimable(job: Job, proof: Proof, records: Records, until: date | None) -> tuple[list[Measured], list[Measured]]:
    """Return what is claimed, and lining of runs that do not meet what was entered where the contract pays only those that do."""
    runs = [one.run for one in proof.runs]
    found = measure(job, runs, records, until=until)
    if job.payment.lining == "lined":
        return list(found), []
    met = {one.item: one for one in measure(job, [one.run for one in proof.runs if one.verdict == "meets"], records, until=until)}
    claimed, withheld = [], []
    for one in found:
        if not one.item.startswith("lining_dn"):
            claimed.append(one)
            continue
        good = met.get(one.item)
        if good is not None:
            claimed.append(good)
        behind = () if good is None else good.records
        rest = one.quantity - (0.0 if good is None else good.quantity)
        if rest > 0.0:
            withheld.append(Measured(one.item, one.unit, rest, tuple(row for row in one.records if row not in behind)))
    return claimed, withheld


def _text(item: str, planned: dict[str, BillLine]) -> Message:
    line = planned.get(item)
    return message("Not in the plan's bill: {item}", item=item) if line is None else line.text


def _lines(job: Job, found: Sequence[Measured], planned: dict[str, BillLine]) -> tuple[list[ValuedLine], list[Held]]:
    lines, held = [], []
    order = {item: place for place, item in enumerate(planned)}
    for one in sorted(found, key=lambda one: (order.get(one.item, len(order)), one.item)):
        if one.item in _SEPARATE:
            continue
        price = price_of(job, one.item)
        rate = None if price is None else price.rate
        text = _text(one.item, planned)
        why = None
        if rate is None:
            why = message("the price list has no rate for it")
        elif price is not None and price.unit is not None and price.unit != one.unit:
            why = message("measured in {unit}, priced in {other}", unit=one.unit, other=price.unit)
        if why is not None or rate is None:
            held.append(Held(one.item, text, one.unit, one.quantity, rate, None, () if why is None else (why,), one.records))
            continue
        line = planned.get(one.item)
        wanted = 0.0 if line is None else line.quantity
        lines.append(ValuedLine(one.item, text, one.unit, wanted, one.quantity, rate, one.quantity * rate, one.records))
    return lines, held


def _withheld(job: Job, withheld: Sequence[Measured], planned: dict[str, BillLine]) -> list[Held]:
    why = message("the run does not meet what was entered, or is incomplete: by the contract it is paid once it does")
    held = []
    for one in withheld:
        price = price_of(job, one.item)
        rate = None if price is None else price.rate
        amount = None if rate is None else rate * one.quantity
        held.append(Held(one.item, _text(one.item, planned), one.unit, one.quantity, rate, amount, (why,), one.records))
    return held


def _not_yet(job: Job, bill: Sequence[BillLine], found: Sequence[Measured]) -> tuple[NotYet, ...]:
    proven = {one.item: one.quantity for one in found}
    rest = []
    for line in bill:
        done = proven.get(line.item, 0.0)
        if done < line.quantity * 0.999:
            amount = None if line.rate is None else (line.quantity - done) * line.rate
            rest.append(NotYet(line.item, line.text, line.unit, line.quantity, done, amount))
    return tuple(rest)


def _sums(
    job: Job, records: Records, *, lines: Sequence[ValuedLine], extras: Sequence[Claim], contract: float | None, until: date | None
) -> Sums:
    measured, extra = math.fsum(one.amount for one in lines), math.fsum(one.amount for one in extras)
    gross = measured + extra
    rules = job.payment
    retention = rules.retention * gross
    if rules.retention_limit is not None and contract is not None:
        retention = min(retention, rules.retention_limit * contract)
    came = [one for one in records.payments if on_or_before(one, ("time",), until, job.info.time_zone)]
    freed = math.fsum(one.amount for one in came if one.kind == "retention_released")
    released = min(freed, retention)
    paid = math.fsum(one.amount for one in came if one.kind == "payment")
    return Sums(measured, extra, gross, contract, retention, released, paid, gross - (retention - released) - paid)


def _notes(job: Job, proof: Proof, records: Records, *, until: date | None, final: bool) -> tuple[Message, ...]:
    notes = []
    if until is not None:
        missing = sum(
            all(getattr(one, name) is None for name in moments) for table, moments in _MOMENTS.items() for one in getattr(records, table)
        )
        if missing:
            notes.append(message("Records without a time, which no day can be told of: {n}. They count for nothing here.", n=missing))
    lined = {one.run for one in records.runs_done if on_or_before(one, ("time_to", "time_from"), until, job.info.time_zone)}

    def of(verdict: Verdict) -> str:
        return ", ".join(one.run.id for one in proof.runs if one.verdict == verdict and one.run.id in lined)

    if bad := of("does_not_meet"):
        notes.append(
            message("Runs that were lined and do not meet what was entered: {runs}. The client may keep their money back.", runs=bad)
        )
    if thin := of("incomplete"):
        text = message(
            "Runs that were lined and whose proof is incomplete: {runs}. Bring the missing records before the client asks.", runs=thin
        )
        notes.append(text)
    if final:
        open_ = [one.run.id for one in proof.runs if one.run.id not in lined]
        if open_:
            notes.append(message("A final account with runs that are not lined: {runs}.", runs=", ".join(open_)))
    if job.payment.retention_limit is not None and not any(price.rate for price in job.prices):
        notes.append(message("The limit of the retention needs the sum of the bill, and nothing is priced: it has no effect."))
    if job.measurement.minimum_length > 0.0:
        notes.append(message("The least length is paid for a run of which less than {rest} is missing.", rest=Quantity(WHOLE, "m", 1)))
    return tuple(notes)
