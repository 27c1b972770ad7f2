"""What a new plan changed against the issued one: openings, runs, bags, customers, money."""

import math
from collections.abc import Sequence
from typing import Final

from mainwright.job.survey import Service
from mainwright.plan.issued import Issued
from mainwright.plan.result import Change, Cost, Opening, Run
from mainwright.words.message import Message, Quantity, Value, message

__all__ = ["plan_changes"]

_SAME_PLACE: Final = 0.005
_SAME_NUMBER: Final = 1e-6
_SHOWN: Final = 12
"""Names or places in one sentence; more are counted."""


def _listed(items: Sequence[Value]) -> Value:
    """Return a list of names or places as one value, each in the reader's own units."""
    if not items:
        return "–"
    shown = {f"item{number}": item for number, item in enumerate(items[:_SHOWN])}
    text = ", ".join(f"{{{name}}}" for name in shown)
    if len(items) > _SHOWN:
        return message(text + " … (+{more})", more=len(items) - _SHOWN, **shown)
    return message(text, **shown)


def _places(chainages: Sequence[float]) -> Value:
    return _listed([Quantity(chainage, "m") for chainage in chainages])


def _new_places(these: Sequence[float], those: Sequence[float]) -> list[float]:
    return [one for one in these if not any(abs(one - other) <= _SAME_PLACE for other in those)]


def _openings(issued: Issued, openings: Sequence[Opening]) -> Change:
    before, after = [one.chainage for one in issued.openings], [one.chainage for one in openings]
    added, dropped = _new_places(after, before), _new_places(before, after)
    text = (
        message("Openings: new at {added}; no longer needed at {dropped}.", added=_places(added), dropped=_places(dropped))
        if added or dropped
        else message("Openings: none added, none dropped.")
    )
    return Change("openings", text, float(len(before)), float(len(after)))


def _runs(issued: Issued, runs: Sequence[Run]) -> Change:
    before, after = {run.id for run in issued.runs}, {run.id for run in runs}
    added = [run.id for run in runs if run.id not in before]
    dropped = [run.id for run in issued.runs if run.id not in after]
    text = (
        message("Runs: new {added}; no longer there {dropped}; all others keep their id.", added=_listed(added), dropped=_listed(dropped))
        if added or dropped
        else message("Runs: all stand.")
    )
    return Change("runs", text, float(len(before)), float(len(after)))


def _near(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return math.isclose(one, other, rel_tol=_SAME_NUMBER, abs_tol=_SAME_NUMBER)


def _same_sheet(old: Run, new: Run) -> bool:
    """Return whether the crew would do the same by either sheet: the same plant, settings, mortar and connections."""
    if (old.pump, old.hose, old.lining_head, old.rope, old.mixer, old.coats) != (
        new.pump,
        new.hose,
        new.lining_head,
        new.rope,
        new.mixer,
        new.coats,
    ):
        return False
    if len(old.settings) != len(new.settings) or [one.ref for one in old.windows] != [one.ref for one in new.windows]:
        return False
    pairs = [(old.pump_setting, new.pump_setting), (old.flow, new.flow), (old.mortar, new.mortar), (old.water, new.water)]
    for before, after in zip(old.settings, new.settings, strict=True):
        pairs += [(before.start, after.start), (before.end, after.end), (before.speed, after.speed), (before.aim, after.aim)]
    for was, now in zip(old.windows, new.windows, strict=True):
        pairs += [(was.chainage, now.chainage), (was.earliest, now.earliest), (was.latest, now.latest)]
    return all(_near(one, other) for one, other in pairs)


def _sheets(issued: Issued, runs: Sequence[Run]) -> Change:
    old = {run.id: run for run in issued.runs}
    changed = [run.id for run in runs if run.id in old and not run.done and not _same_sheet(old[run.id], run)]
    text = (
        message("Run sheets: {runs} keep their id with other numbers: take the old sheets back.", runs=_listed(changed))
        if changed
        else message("Run sheets: those of runs that stand are as they were.")
    )
    return Change("sheets", text, 0.0, float(len(changed)))


def _bags(issued: Issued, runs: Sequence[Run]) -> Change:
    before, after = sum(run.bags for run in issued.runs), sum(run.bags for run in runs)
    if after == before:
        text = message("Bags of cement: the same.")
    elif after > before:
        text = message("Bags of cement: {n} more.", n=after - before)
    else:
        text = message("Bags of cement: {n} fewer.", n=before - after)
    return Change("bags", text, float(before), float(after))


def _home(service: Service, runs: Sequence[Run]) -> str | None:
    """Return the run that passes a connection."""
    for run in runs:
        for window in run.windows:
            if abs(window.chainage - service.chainage) <= _SAME_PLACE and window.ref == service.ref:
                return run.id
    return None


def _customers(issued: Issued, runs: Sequence[Run], services: Sequence[Service]) -> Change:
    moved = [service for service in services if _home(service, issued.runs) != _home(service, runs)]
    names = _listed([service.ref or Quantity(service.chainage, "m") for service in moved])
    text = (
        message(
            "Customers: {n} {n:connection now goes with another run and needs/connections now go with another run and need} a new notice: {names}.",
            n=len(moved),
            names=names,
        )
        if moved
        else message("Customers: every connection stays with its run.")
    )
    return Change("customers", text, 0.0, float(len(moved)))


def _money(issued: Issued, cost: Cost, currency: str) -> Change:
    text: Message
    if issued.cost is None or cost.rate is None:
        text = message("Money: not known, for nothing is priced.")
    elif abs(cost.rate - issued.cost) < 0.005:
        text = message("Money: the same.")
    else:
        amount = Quantity(abs(cost.rate - issued.cost), "", 0)
        text = (
            message("Money: {amount} {currency} more.", amount=amount, currency=currency)
            if cost.rate > issued.cost
            else message("Money: {amount} {currency} less.", amount=amount, currency=currency)
        )
    return Change("money", text, issued.cost, cost.rate)


def plan_changes(
    issued: Issued,
    *,
    openings: Sequence[Opening],
    runs: Sequence[Run],
    services: Sequence[Service],
    cost: Cost,
    currency: str,
) -> tuple[Change, ...]:
    """Return what changed against the issued plan.

    Parameters
    ----------
    issued : Issued
        The plan before. [-]
    openings, runs : sequence
        Of the new plan, those that are done included. [-]
    services : sequence of Service
        The connections. [-]
    cost : Cost
        Of the new plan. [-]
    currency : str
        Of the job. [-]

    Returns
    -------
    tuple of Change
        ``openings``, ``runs``, ``sheets`` (how many runs stand with other numbers), ``bags``, ``customers`` (how many go with another
        run), ``money``; each says so where nothing changed.
    """
    return (
        _openings(issued, openings),
        _runs(issued, runs),
        _sheets(issued, runs),
        _bags(issued, runs),
        _customers(issued, runs, services),
        _money(issued, cost, currency),
    )
