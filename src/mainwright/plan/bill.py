"""What the plan amounts to: quantities with their basis, at the job's own three-point prices."""

import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Final

from mainwright.job.job import Job
from mainwright.job.office import Price
from mainwright.plan.layout.money import PRICED_COVER
from mainwright.plan.measuring import measured_length, priced_dn
from mainwright.plan.result import BillLine, Cleaning, Cost, Opening, PlanWarning, Run
from mainwright.plan.result_supply import Part, TemporarySupply
from mainwright.words.message import Message, Quantity, message

__all__ = ["bill_cost", "bill_of_plan", "make_bill", "price_of", "price_unit_warnings", "supply_length", "supply_quantity"]

_CAMERA_PASSES: Final = 2
_LINE_VALVES: Final = ("gate_valve", "butterfly_valve")


def price_of(job: Job, item: str) -> Price | None:
    """Return the job's price of an item.

    Parameters
    ----------
    job : Job
        The job. [-]
    item : str
        Name of the item, as in ``prices.csv``. [-]

    Returns
    -------
    Price or None
        The row of the price list that has a rate; None where the list has none.
    """
    return next((price for price in job.prices if price.item == item and price.rate is not None), None)


def price_unit_warnings(job: Job, bill: Sequence[BillLine]) -> tuple[PlanWarning, ...]:
    """Return the items whose price is by another unit than the bill counts in.

    Parameters
    ----------
    job : Job
        With its price list. [-]
    bill : sequence of BillLine
        The bill. [-]

    Returns
    -------
    tuple of PlanWarning
        One for each: its amount is wrong until somebody mends the price or its unit.
    """
    prices = [(line, price_of(job, line.item)) for line in bill]
    return tuple(
        PlanWarning(
            "price_unit", None, None,
            message("{item}: the price is by {other} in prices.csv, and the bill counts by {unit}. No price is converted: mend the price and its unit.", item=line.text, other=price.unit, unit=line.unit),
            "act",
        )
        for line, price in prices
        if price is not None and price.unit and price.unit != line.unit
    )  # fmt: skip


def supply_length(job: Job) -> float:
    """Return the length of temporary supply: every block between line valves that has a connection, on each side that the job asks for.

    Parameters
    ----------
    job : Job
        The job. [-]

    Returns
    -------
    float
        A first estimate: pipes, feeds and crossings are not laid out. [m]
    """
    start, end = job.main[0].start, job.main[-1].end
    valves = sorted({one.chainage for one in job.features if one.kind in _LINE_VALVES and start < one.chainage < end})
    places = [service.chainage for service in job.services if service.live is not False]
    blocks = pairwise([start, *valves, end])
    length = math.fsum(high - low for low, high in blocks if any(low <= place <= high for place in places))
    both = job.supply is not None and job.supply.sides == "both"
    return 2.0 * length if both else length


def supply_quantity(job: Job, supply: TemporarySupply | None) -> tuple[float, Message]:
    """Return the length of temporary supply and where it comes from: what was laid out, or a first estimate where nothing was.

    Parameters
    ----------
    job : Job
        The job. [-]
    supply : TemporarySupply or None
        What the plan worked out. [-]

    Returns
    -------
    tuple
        Length of all pipes, crossings included [m]; the words for it.
    """
    if supply is None or supply.lines is None:
        return supply_length(job), message("main between line valves with a connection, on each side asked for; not laid out yet")
    sizes = sorted({line.stock for line in supply.lines})
    basis = message(
        "pipes laid out in the plan of the temporary supply: {n} {n:length/lengths} of {sizes}, crossings included",
        n=len(supply.lines),
        sizes=", ".join(sizes),
    )
    return math.fsum(line.length for line in supply.lines), basis


def bill_of_plan(
    job: Job,
    *,
    openings: Sequence[Opening],
    runs: Sequence[Run],
    cleaning: Sequence[Cleaning],
    supply: TemporarySupply | None = None,
    shifts: float = 0.0,
) -> tuple[BillLine, ...]:
    """Return the bill of a plan, with the quantities that follow from the job itself.

    Parameters
    ----------
    job : Job
        The job with its prices. [-]
    openings, runs, cleaning : sequence
        What the plan decided. [-]
    supply : TemporarySupply or None
        The temporary supply that the plan worked out. [-]
    shifts : float
        Working days of the programme, 0 without one. [shifts]

    Returns
    -------
    tuple of BillLine
        In the order of the work. Each run costs a day of traffic management; a branch inside a run is treated.
    """
    branches = sum(run.start < one.chainage < run.end for run in runs for one in job.features if one.kind == "branch")
    length, basis = supply_quantity(job, supply)
    return make_bill(
        job,
        openings=openings,
        runs=runs,
        cleaning=cleaning,
        branches=branches,
        temporary_supply=length if runs else 0.0,
        supply_basis=basis,
        supply_parts=() if supply is None or not runs else supply.parts,
        traffic_days=float(len(runs)),
        site_days=float(math.ceil(shifts)),
    )


def make_bill(
    job: Job,
    *,
    openings: Sequence[Opening],
    runs: Sequence[Run],
    cleaning: Sequence[Cleaning],
    branches: int,
    temporary_supply: float,
    traffic_days: float,
    supply_basis: Message | None = None,
    supply_parts: Sequence[Part] = (),
    site_days: float = 0.0,
) -> tuple[BillLine, ...]:
    """Return the bill of a plan: every item that it needs, priced or not.

    Parameters
    ----------
    job : Job
        The job with its prices. [-]
    openings, runs, cleaning : sequence
        What the plan decided. [-]
    branches : int
        Branches that are lined past and cleared while soft. [-]
    temporary_supply : float
        Length of temporary supply. [m]
    traffic_days : float
        Days of traffic management. [-]
    supply_basis : Message or None
        Where that length comes from. [-]
    supply_parts : sequence of Part
        Pieces of the temporary supply, where it was laid out. [-]
    site_days : float
        Working days of the programme; supervision and standing plant are items only where the job prices them. [-]

    Returns
    -------
    tuple of BillLine
        In the order of the work; lines without quantity are left out, lines without a price stand with None.
    """
    add = _Lines(job)
    _add_access(add, openings=openings, runs=runs)
    _add_metres(add, job, runs)
    add("branch_treatment", "each", branches, message("Branches cleared and finished by hand"), message("small dead branches inside runs"))
    connections = sum(run.connections for run in runs)
    add("connection_clearing", "each", connections, message("House connections cleared"), message("connections inside runs"))
    add(
        "temporary_supply",
        "m",
        temporary_supply,
        message("Temporary supply"),
        supply_basis or message("main between line valves with a connection, on each side asked for; not laid out yet"),
    )
    _add_pieces(add, supply_parts)
    add("traffic_day", "day", traffic_days, message("Traffic management"), message("one for each run"))
    for item, text in _BY_DAY.items():
        if price_of(job, item) is not None:
            add(item, "day", site_days, text, message("working days of the programme"))
    _add_stuff(add, runs=runs, cleaning=cleaning)
    return tuple(add.lines)


_BY_DAY: Final = {
    "supervision_day": message("Supervision and site office"),
    "standing_plant_day": message("Plant that stands on the site"),
}
"""Items that are paid for as long as the work goes on."""


class _Lines:
    """Collects lines, each with the job's price."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.lines: list[BillLine] = []

    def __call__(self, item: str, unit: str, quantity: float, text: Message, basis: Message) -> None:
        if quantity <= 0.0:
            return
        price = price_of(self.job, item)
        self.lines.append(
            BillLine(
                item=item,
                text=text,
                unit=unit,
                quantity=float(quantity),
                low=None if price is None else price.rate if price.low is None else price.low,
                rate=None if price is None else price.rate,
                high=None if price is None else price.rate if price.high is None else price.high,
                basis=basis,
            )
        )


_Add = Callable[[str, str, float, Message, Message], None]


def _add_access(add: _Add, *, openings: Sequence[Opening], runs: Sequence[Run]) -> None:
    for surface in sorted({opening.surface for opening in openings if opening.surface is not None}):
        count = sum(opening.surface == surface for opening in openings)
        add(f"opening_{surface}", "each", count, message("Opening in {surface}", surface=surface), message("openings of the layout"))
    unknown = sum(opening.surface is None for opening in openings)
    add("opening_unknown", "each", unknown, message("Opening in a surface that is not known"), message("openings of the layout"))
    extra = sum(max(0.0, opening.cover - PRICED_COVER) for opening in openings if opening.cover is not None)
    add(
        "opening_extra_depth",
        "m",
        extra,
        message("Depth of openings beyond {depth} of cover", depth=Quantity(PRICED_COVER, "m", 1)),
        message("cover beyond the price's own, summed over the openings"),
    )
    add("set_up_run", "each", len(runs), message("Set up a run"), message("runs of the layout"))
    places = sum(opening.pump_here for opening in openings)
    add("set_up_pump", "each", places, message("Set up the pump"), message("openings where the pump stands"))


def _add_pieces(add: _Add, parts: Sequence[Part]) -> None:
    count: dict[str, float] = {}
    for part in parts:
        count[part.item] = count.get(part.item, 0.0) + part.quantity
    basis = message("pieces of the plan of the temporary supply")
    add("temporary_connection", "each", count.get("connection", 0.0), message("Connections moved to the temporary supply and back"), basis)
    add("temporary_feed", "each", count.get("feed_with_check_valve", 0.0), message("Feeds of the temporary supply"), basis)
    add("road_ramp", "each", count.get("road_ramp", 0.0), message("Ramps over temporary pipes"), basis)


def _add_metres(add: _Add, job: Job, runs: Sequence[Run]) -> None:
    rules = job.measurement
    length: dict[int, float] = {}
    for run in runs:
        dn = priced_dn(rules, run.dn)
        length[dn] = length.get(dn, 0.0) + measured_length(job, [(run.start, run.start + run.length)], whole=True)
    plain = rules.fittings == "included" and not rules.rounding and not rules.minimum_length
    basis = message("length of the runs along the main") if plain else message("length of the runs by the job's rules of measurement")
    for dn in sorted(length):
        add(f"cleaning_dn{dn}", "m", length[dn], message("Clean DN {dn}", dn=dn), basis)
    for dn in sorted(length):
        add(f"lining_dn{dn}", "m", length[dn], message("Line DN {dn}", dn=dn), basis)
    add(
        "camera",
        "m",
        _CAMERA_PASSES * math.fsum(measured_length(job, [(run.start, run.start + run.length)], whole=False) for run in runs),
        message("Camera"),
        message("each run twice: the cleaned bore and the lining"),
    )


def _add_stuff(add: _Add, *, runs: Sequence[Run], cleaning: Sequence[Cleaning]) -> None:
    basis = message("mortar to be mixed: lining, losses, hose filling and waste of every run")
    add("cement", "t", sum(run.cement for run in runs) / 1000.0, message("Cement"), basis)
    add("sand", "t", sum(run.sand for run in runs) / 1000.0, message("Sand, as delivered"), basis)
    mass = sum(item.deposits_mass for item in cleaning if item.deposits_mass is not None)
    add(
        "deposit_disposal",
        "t",
        mass / 1000.0,
        message("Deposits taken away"),
        message("estimated deposits; their disposal class must be asked"),
    )


def bill_cost(lines: Sequence[BillLine]) -> Cost:
    """Return the sum of the priced lines.

    Parameters
    ----------
    lines : sequence of BillLine
        The bill. [-]

    Returns
    -------
    Cost
        Low, rate and high in the job's currency, None where no line has a price; the items left out.
    """
    priced = [line for line in lines if line.rate is not None]
    unpriced = tuple(line.item for line in lines if line.rate is None)
    if not priced:
        return Cost(None, None, None, unpriced)
    low, rate, high = (sum(line.quantity * (getattr(line, name) or 0.0) for line in priced) for name in ("low", "rate", "high"))
    return Cost(low, rate, high, unpriced)
