"""What the reader of a layout must know besides the layout: weak records, what limits nothing, what the chosen runs ask for."""

from mainwright.plan.aim_conflict import aim_conflict
from mainwright.plan.layout.candidates import LENGTH_SLACK
from mainwright.plan.layout.limits import Line
from mainwright.plan.layout.money import Rates
from mainwright.plan.layout.solution import LayoutRun
from mainwright.plan.placing import aim_length
from mainwright.plan.result import PlanWarning
from mainwright.words.message import Message, Quantity, message

__all__ = ["input_warnings", "run_warnings"]


def input_warnings(line: Line, rates: Rates) -> tuple[PlanWarning, ...]:
    """Return what is wrong or weak before anything is chosen.

    Parameters
    ----------
    line : Line
        The candidates and the job. [-]
    rates : Rates
        Its prices. [-]

    Returns
    -------
    tuple of PlanWarning
        In order of kind, each in order of chainage.
    """
    return (*_undiggable(line), *_bends(line), *_plant(line), *_money(rates))


def _undiggable(line: Line) -> list[PlanWarning]:
    found = []
    for one in line.candidates:
        if one.no_dig is None:
            continue
        start, end = one.no_dig
        if end - start <= LENGTH_SLACK:
            text = message(
                "An opening at {chainage} was ruled out, but something has to come out there and no run can pass. "
                "The plan is made as if it could be dug.",
                chainage=Quantity(one.chainage, "m"),
            )
        else:
            text = message(
                "At {chainage} something has to come out, but nobody may dig between {start} and {end}. "
                "The plan is made as if it could be dug, at the price of its surface: settle this before anything else.",
                chainage=Quantity(one.chainage, "m"),
                start=Quantity(start, "m"),
                end=Quantity(end, "m"),
            )
        found.append(PlanWarning("must_in_no_dig", one.chainage, one.chainage, text, "stop"))
    return found


def _bends(line: Line) -> list[PlanWarning]:
    found = []
    for feature in line.job.features:
        if feature.kind == "bend" and feature.angle is None:
            text = message(
                "The angle of the bend at {chainage} is not known: it is counted as nothing. Find it out, a head that does not pass is stuck.",
                chainage=Quantity(feature.chainage, "m"),
            )
            found.append(PlanWarning("bend_unknown", feature.chainage, feature.chainage, text, "act"))
    return found


def _plant(line: Line) -> list[PlanWarning]:
    plant = line.job.plant
    found = []
    if not plant.pumps:
        text = message("The plant names no pump: a usual output was assumed, and every speed depends on it.")
        found.append(PlanWarning("no_pump", None, None, text, "act"))
    if not plant.hoses:
        text = message("The plant names no hose: neither its length nor its filling nor the stay of the mortar in it limits or counts.")
        found.append(PlanWarning("no_hose", None, None, text, "act"))
    if not plant.heads:
        text = message("The plant names no lining head: its sizes, its speed and the bends that it passes limit nothing.")
        found.append(PlanWarning("no_lining_head", None, None, text, "act"))
    if plant.hoses and line.linings.day.yield_stress is None:
        text = message("How the mortar flows in the hose is not known: the pressure at the pump limits nothing. Read it at two flows.")
        found.append(PlanWarning("hose_pressure_unknown", None, None, text, "act"))
    if not plant.ropes and any(head.kind == "winched" for head in plant.heads):
        text = message("The plant names no rope: its length and its working load limit nothing. Never pull over the working load.")
        found.append(PlanWarning("no_rope", None, None, text, "act"))
    if not any(one.live is not False for one in line.job.services):
        text = message("No connection is on record: none shortens a run, and the shortest closing of customers says nothing.")
        found.append(PlanWarning("no_connections", None, None, text, "note"))
    if plant.clearing_rate is None and any(one.live is not False for one in line.job.services):
        text = message("How many connections the crew clears in an hour is not known: the window for clearing them limits nothing.")
        found.append(PlanWarning("no_clearing_rate", None, None, text, "act"))
    return found


def _money(rates: Rates) -> list[PlanWarning]:
    if any(item.startswith("opening_") and rate > 0.0 for item, rate in rates.by_item.items()):
        return []
    text = message("No opening has a price: the layout has the fewest openings and runs that what is priced allows, not the least cost.")
    return [PlanWarning("openings_unpriced", None, None, text, "act")]


def _remedy(line: Line, run: LayoutRun) -> Message:
    linings = line.linings
    lengths = [aim_length(linings.host.lengths[index], high - low) for index, low, high in linings.pieces(run.start, run.end)]
    return aim_conflict(lengths, scatter=linings.scatter, confidence=line.job.lining.confidence)


def run_warnings(line: Line, run: LayoutRun) -> tuple[PlanWarning, ...]:
    """Return what a chosen run asks to be watched.

    Parameters
    ----------
    line : Line
        The candidates and the job. [-]
    run : LayoutRun
        The run. [-]

    Returns
    -------
    tuple of PlanWarning
        Over the length of the run.
    """
    lining = run.lining
    where = {"start": Quantity(run.start, "m"), "end": Quantity(run.end, "m")}
    found = []
    if not lining.aim_met:
        text = message(
            "Between {start} and {end} no thickness keeps both the minimum with the wanted confidence and the maximum. {remedy} "
            "Or the contract must allow more.",
            remedy=_remedy(line, run),
            **where,
        )
        found.append(PlanWarning("aim_conflict", run.start, run.end, text, "act"))
    if lining.coats > 1:
        text = message(
            "Between {start} and {end} the lining is laid in {n} {n:coat/coats}, each with its own bore and speed.", n=lining.coats, **where
        )
        found.append(PlanWarning("several_coats", run.start, run.end, text, "note"))
    if lining.supply_length is not None:
        text = message(
            "Between {start} and {end} mixer and hopper do not keep up with the pump: mortar runs out after {length} of the run. "
            "Mix ahead, use a larger hopper or mixer, or pump less.",
            length=Quantity(lining.supply_length, "m"),
            **where,
        )
        found.append(PlanWarning("mortar_supply", run.start, run.end, text, "act"))
    head, pump = run.equipment.head, run.equipment.pump
    if head is not None and pump is not None and lining.flow < pump.flow * (1.0 - 1e-9):
        text = message(
            "Between {start} and {end} the pump is set to {flow}, under its working output, so that the head need not pass {speed}.",
            flow=Quantity(lining.flow, "l_min"),
            speed=Quantity(head.speed_max or 0.0, "m_min"),
            **where,
        )
        found.append(PlanWarning("flow_lowered", run.start, run.end, text, "note"))
    if run.done:
        found = [one for one in found if one.severity == "stop"]
    return tuple(found)
