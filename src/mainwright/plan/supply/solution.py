"""The temporary supply of a job: from its connections, feeds and stock to sizes, heads, parts, and who is off supply."""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Final, Protocol

from mainwright.constants import STANDARD_GRAVITY
from mainwright.job.job import Job
from mainwright.job.survey import Feed, Service
from mainwright.plan.result_giving_back import ReturnToService
from mainwright.plan.result_supply import ClosedBlock, Handling, SupplyLine, SupplyPoint, TemporarySupply, WithoutSupply
from mainwright.plan.supply.care import handling, part_list, water_ages
from mainwright.plan.supply.demand import Users, mean_demand, peak_demand, users_of
from mainwright.plan.supply.layout import Laid, lay
from mainwright.plan.supply.problem import SizeProblem, Stock, groups_of
from mainwright.plan.supply.solve import Sizes, choose_sizes, supplied
from mainwright.plan.timetable import Programme
from mainwright.science.hydraulics.water import kinematic_viscosity, water_density
from mainwright.standards.demand import ASSUMED_RULE, DemandRule, demand_rules, find_rule
from mainwright.standards.published import table, value
from mainwright.standards.source import Assumed, Source
from mainwright.units import from_si
from mainwright.words.message import Message, Quantity, message

__all__ = ["temporary_supply"]

_PIECES: Final = 3
_Told = tuple[str, bool, Message]


class _Problem(Protocol):
    def __call__(self, extra: float) -> SizeProblem:
        """Return what is asked with so much more at the last point."""
        ...


def temporary_supply(job: Job, *, back: ReturnToService | None, programme: Programme | None) -> TemporarySupply:
    """Return the temporary supply of a job.

    Parameters
    ----------
    job : Job
        With its connections, feeds and stock. [-]
    back : ReturnToService or None
        Gives the blocks that are shut off; None where nothing is lined. [-]
    programme : Programme or None
        Says for how long. [-]

    Returns
    -------
    TemporarySupply
        Without a network where the job lacks an input: then the warnings say which.

    Notes
    -----
    One network for all blocks at once: what is sized for everybody also serves block by block. Each link carries the peak of the customers beyond it, seen from
    the nearest feed: the rule's peak of many is less than the sum of theirs, so a point draws by how much the peak beyond grows there. Friction by
    Darcy and Weisbach with the roughness of the stock; couplings and fittings are not added.
    """
    told: list[_Told] = []
    assumed: list[Assumed] = []
    rule = _rule(job, assumed)
    blocks = _blocks(job, back, programme)
    services = [
        one for one in job.services if one.live is not False and any(block.start <= one.chainage <= block.end for block in blocks or ())
    ]
    feeds = [one for one in job.feeds if one.pressure is not None]
    for one in job.feeds:
        if one.pressure is None:
            text = message("The feed {ref} is not used: its pressure is not on record. Measure it.", ref=one.ref or "?")
            told.append(("feed_unknown", True, text))
    lacking = _lacking(job, blocks, services, feeds)
    wanted = None if job.supply is None else job.supply.pressure_min
    if lacking or wanted is None:
        told += [("no_temporary_supply", bool(services), one) for one in lacking]
        return TemporarySupply(
            None, None, None, blocks, _nobody(services, blocks, lacking), rule.name, False, None, None, None, wanted, (), (), (), (), tuple(told),
        )  # fmt: skip
    return _network(job, rule=rule, blocks=blocks or (), services=services, feeds=feeds, wanted=wanted, told=told, assumed=assumed)


def _rule(job: Job, assumed: list[Assumed]) -> DemandRule:
    named = None if job.supply is None else job.supply.demand_rule
    found = find_rule(named) if named else None
    if found is not None:
        return found
    stands_in = next(rule for rule in demand_rules() if rule.name == ASSUMED_RULE)
    because = (
        message(
            "The rule that the job names ({name}) is not among the published ones here: one whose constants were read stands in.",
            name=named,
        )
        if named
        else message("The job names no rule of peak demand: one whose constants were read stands in. The utility's own rule replaces it.")
    )
    assumed.append(Assumed("supply.demand_rule", stands_in.name, "", because))
    return stands_in


def _lacking(job: Job, blocks: Sequence[ClosedBlock] | None, services: Sequence[Service], feeds: Sequence[Feed]) -> list[Message]:
    found = []
    if not blocks:
        found.append(message("No temporary supply was worked out: nothing is lined, so no length of main is shut."))
    elif not services:
        found.append(message("No temporary supply was worked out: no live connection in the lengths that are shut is on record."))
    else:
        if not feeds:
            found.append(message("No temporary supply was worked out: no feed with a pressure is on record (feeds.csv)."))
        if not job.plant.supply_pipes:
            found.append(message("No temporary supply was worked out: no pipe for it is on record (supply_pipe in the plant)."))
        if job.supply is None or job.supply.pressure_min is None:
            found.append(
                message("No temporary supply was worked out: the pressure that taps must keep is not given (supply.pressure_min_bar).")
            )
    return found


def _blocks(job: Job, back: ReturnToService | None, programme: Programme | None) -> tuple[ClosedBlock, ...] | None:
    if back is None:
        return None
    found = []
    for one in back.blocks:
        block = one.block
        inside = [service for service in job.services if service.live is not False and block.start <= service.chainage <= block.end]
        found.append(
            ClosedBlock(
                block.id, block.start, block.end, block.start_valve, block.end_valve, block.runs,
                len(inside), sum(service.dwellings or 0 for service in inside), _closed(block.start, block.end, programme),
            )
        )  # fmt: skip
    return tuple(found)


def _closed(start: float, end: float, programme: Programme | None) -> float | None:
    """Return the time from the first shutting of valves in a block to the last connection back on it."""
    if programme is None:
        return None
    here = [one for one in programme.activities if one.start < end and one.end > start]
    shut = [one.begin for one in here if one.kind == "isolating"]
    back = [one.finish for one in here if one.kind == "reconnection"]
    return (max(back) - min(shut)).total_seconds() if shut and back else None


def _block_time(blocks: Sequence[ClosedBlock] | None, chainage: float) -> float | None:
    times = [block.closed for block in blocks or () if block.start <= chainage <= block.end]
    known = [time for time in times if time is not None]
    return max(known, default=None)


def _off(service: Service, blocks: Sequence[ClosedBlock] | None, because: Message) -> WithoutSupply:
    return WithoutSupply(service.ref or "?", service.chainage, service.side, service.use, _block_time(blocks, service.chainage), because)


def _nobody(
    services: Sequence[Service], blocks: Sequence[ClosedBlock] | None, lacking: Sequence[Message]
) -> tuple[WithoutSupply, ...] | None:
    if blocks is None:
        return None
    return tuple(_off(one, blocks, lacking[0]) for one in services) if lacking else ()


def _level(job: Job, chainage: float) -> float | None:
    """Return the height of the ground, straight between levels."""
    rows = sorted((row.chainage, row.ground) for row in job.levels if row.ground is not None)
    if not rows:
        return None
    if chainage <= rows[0][0]:
        return rows[0][1]
    for (a, low), (b, high) in pairwise(rows):
        if a <= chainage <= b and b > a:
            return low + (high - low) * (chainage - a) / (b - a)
    return rows[-1][1]


def _demands(laid: Laid, users: Sequence[Users], feeds: Sequence[int], rule: DemandRule) -> tuple[list[float], list[Users]]:
    """Return what each point draws, and who draw beyond it seen from the nearest feed, itself included."""
    near: dict[int, list[tuple[float, int]]] = {node: [] for node in range(len(laid.places))}
    for one, other, length, _ in laid.links:
        near[one].append((length, other))
        near[other].append((length, one))
    far = {node: (0.0 if node in feeds else math.inf) for node in near}
    above: dict[int, int] = {}
    left, order = set(near), []
    while left:
        node = min(left, key=lambda one: (far[one], one))
        left.discard(node)
        order.append(node)
        for length, other in near[node]:
            if far[node] + length < far[other]:
                far[other], above[other] = far[node] + length, node
    beyond = list(users)
    sums = [0.0] * len(users)
    demand = [0.0] * len(users)
    for node in reversed(order):
        peak = peak_demand(rule, beyond[node])
        demand[node] = max(0.0, peak - sums[node])
        flow = demand[node] + sums[node]
        if node in above:
            beyond[above[node]] += beyond[node]
            sums[above[node]] += flow
    return demand, beyond


def _network(
    job: Job,
    *,
    rule: DemandRule,
    blocks: tuple[ClosedBlock, ...],
    services: Sequence[Service],
    feeds: Sequence[Feed],
    wanted: float,
    told: list[_Told],
    assumed: list[Assumed],
) -> TemporarySupply:
    served = [one for one in services if one.use != "fire_line"]
    lines = [one for one in services if one.use == "fire_line"]
    laid = lay(job, served, feeds)
    temperature = job.water.temperature if job.water is not None and job.water.temperature is not None else job.hydraulics.temperature
    weight = water_density(temperature) * STANDARD_GRAVITY
    if not job.levels:
        assumed.append(
            Assumed("levels.csv", 0.0, "m", message("No levels are given: the ground was taken as level, and feeds as standing on it."))
        )
    level = [_level(job, place.chainage) or 0.0 for place in laid.places]
    sources = [node for node, place in enumerate(laid.places) if place.feed is not None]
    users = [users_of(place.services) for place in laid.places]
    demand, _ = _demands(laid, users, sources, rule)
    priced = all(pipe.price is not None for pipe in job.plant.supply_pipes)
    if not priced:
        text = message("A size of the temporary pipes has no price: the smallest bores were looked for instead of the cheapest.")
        told.append(("supply_unpriced", True, text))
    stock = tuple(
        Stock(pipe.name, pipe.bore, pipe.roughness, pipe.price if priced and pipe.price is not None else pipe.bore, math.inf if pipe.stock is None else pipe.stock)
        for pipe in sorted(job.plant.supply_pipes, key=lambda pipe: (pipe.bore, pipe.name))
    )  # fmt: skip
    start, end = tuple(link[0] for link in laid.links), tuple(link[1] for link in laid.links)
    taps = {node for node, place in enumerate(laid.places) if place.services}
    last = max(taps, key=lambda node: (min(abs(laid.places[node].chainage - laid.places[one].chainage) for one in sources), node))
    fed = tuple(_feed_head(laid.places[node].feed, level[node], weight, node) for node in sources)

    def problem(extra: float) -> SizeProblem:
        drawn = [one + (extra if node == last else 0.0) for node, one in enumerate(demand)]
        return SizeProblem(
            start, end, tuple(link[2] for link in laid.links),
            groups_of(start, end, nodes=len(level), kept=sources, most=_PIECES),
            tuple(drawn),
            tuple(one + wanted / weight if node in taps else -math.inf for node, one in enumerate(level)),
            fed, stock, kinematic_viscosity(temperature),
        )  # fmt: skip

    asked = None if job.supply is None else job.supply.fire
    solved, sizes = _with_fire(problem, asked)
    fire = asked if asked and solved.demand[last] > demand[last] else None
    most = None if not asked else _greatest(problem, sizes)
    if asked and fire is None and most is not None:
        text = message(
            "The flow for fire of {asked} is not kept at the last point {point}: with all taps at their peak the temporary pipe gives {most} there. Agree another supply for fire with the fire service.",
            asked=Quantity(asked, "l_s", 1),
            point=laid.places[last].id,
            most=Quantity(most, "l_s", 1),
        )  # fmt: skip
        told.append(("supply_fire", True, text))
    age = water_ages(laid, [mean_demand(one) for one in users], solved, sizes)
    given = dict(zip(sources, sizes.supplied.inflow, strict=True))
    points = tuple(
        SupplyPoint(
            place.id, place.chainage, place.side, solved.demand[node], sizes.supplied.head[node],
            (sizes.supplied.head[node] - level[node]) * weight, tuple(one.ref or "?" for one in place.services),
            node in given, given.get(node), age[node],
        )
        for node, place in enumerate(laid.places)
    )  # fmt: skip
    pipes = []
    for number, (one, other, length, crosses) in enumerate(laid.links):
        size = stock[sizes.size[solved.group[number]]]
        head = sizes.supplied.head
        pipes.append(
            SupplyLine(
                f"P{number + 1}", points[one].id, points[other].id, size.name, size.bore, size.roughness, length,
                sizes.supplied.flow[number], head[one] - head[other], crosses,
            )
        )  # fmt: skip
    without = [
        _off(one, blocks, message("A fire line is not fed by the temporary pipe: agree with the owner, the insurer and the fire service."))
        for one in lines
    ]
    for node in sorted(taps, key=lambda node: laid.places[node].chainage):
        if points[node].pressure < wanted - 2.0:
            text = message("The pressure at the peak is {has}, under the wanted {wanted}.", has=Quantity(points[node].pressure, "bar", 2), wanted=Quantity(wanted, "bar", 2))  # fmt: skip
            without += [_off(one, blocks, text) for one in laid.places[node].services]
    told += [*_judged(sizes, solved, laid), *_obstacles(job, laid)]
    cared = handling(pipes, temperature=temperature)
    told += _weather(cared, points)
    assumed += _taken(rule, served, temperature, job)
    return TemporarySupply(
        tuple(pipes), points, sizes.weight if priced else None, blocks, tuple(without), rule.name, sizes.exact, points[last].id, fire, most, wanted,
        part_list(pipes, points, crossed=_crossed(served, laid)), cared, tuple(assumed), _sources(rule), tuple(told),
    )  # fmt: skip


def _feed_head(feed: Feed | None, ground: float, weight: float, node: int) -> tuple[int, float, float]:
    pressure = 0.0 if feed is None or feed.pressure is None else feed.pressure
    level = ground if feed is None or feed.level is None else feed.level
    most = math.inf if feed is None or feed.flow_max is None else feed.flow_max
    return node, level + pressure / weight, most


def _with_fire(problem: _Problem, asked: float | None) -> tuple[SizeProblem, Sizes]:
    """Return the sizes with the flow for fire where that can be kept, else without it."""
    if asked:
        with_fire = problem(asked)
        largest = supplied(with_fire, (len(with_fire.stock) - 1,) * with_fire.groups)
        if _heads_short(with_fire, largest.head) == 0.0 and all(
            flow <= most for flow, (_, _, most) in zip(largest.inflow, with_fire.feeds, strict=True)
        ):
            sizes = choose_sizes(with_fire)
            if sizes.supplied.short == 0.0:
                return with_fire, sizes
    plain = problem(0.0)
    return plain, choose_sizes(plain)


def _heads_short(problem: SizeProblem, heads: Sequence[float]) -> float:
    return math.fsum(max(0.0, least - head - 1e-6) for least, head in zip(problem.least, heads, strict=True))


def _greatest(problem: _Problem, sizes: Sizes) -> float:
    """Return the greatest flow at the last point with which heads and feeds keep, by halving."""
    low, high = 0.0, 0.1
    if supplied(problem(0.0), sizes.size).short > 0.0:
        return 0.0
    for _ in range(24):
        middle = (low + high) / 2.0
        if supplied(problem(middle), sizes.size).short > 0.0:
            high = middle
        else:
            low = middle
    return low


def _crossed(services: Sequence[Service], laid: Laid) -> int:
    """Return how many connections are reached by a hose across the street."""
    side = {id(service): place.side for place in laid.places for service in place.services}
    return sum(one.side is not None and side.get(id(one), one.side) != one.side for one in services)


def _judged(sizes: Sizes, problem: SizeProblem, laid: Laid) -> list[_Told]:
    found: list[_Told] = []
    used = [0.0] * len(problem.stock)
    for group, length in enumerate(problem.group_lengths()):
        used[sizes.size[group]] += length
    for one, size in zip(used, problem.stock, strict=True):
        if one > size.length + 1e-6:
            text = message(
                "The stock of temporary pipe {size} is short: {needed} are needed, {has} are there.",
                size=size.name,
                needed=Quantity(one, "m", 0),
                has=Quantity(size.length, "m", 0),
            )
            found.append(("supply_stock", True, text))
    inflow = sizes.supplied.inflow
    for (node, _, most), flow in zip(problem.feeds, inflow, strict=True):
        if flow > most + 1e-6:
            text = message(
                "The feed {ref} must give {flow}, more than the {most} on record.",
                ref=laid.places[node].id,
                flow=Quantity(flow, "l_s", 1),
                most=Quantity(most, "l_s", 1),
            )
            found.append(("supply_feed", True, text))
    if _heads_short(problem, sizes.supplied.head) > 0.0:
        text = message(
            "Not every tap keeps the wanted pressure at the peak, whatever the sizes on stock: more or nearer feeds, larger pipes, or less use agreed. Those concerned are listed."
        )
        found.append(("supply_pressure", True, text))
    if not sizes.exact:
        text = message("The sizes of the temporary pipes were searched step by step: a cheaper choice is not ruled out.")
        found.append(("supply_sizes", False, text))
    shut = [laid.places[node].id for (node, _, _), flow in zip(problem.feeds, inflow, strict=True) if flow <= 0.0]
    if shut:
        text = message(
            "At the peak these feeds give nothing, their check valves are shut by higher pressure: {refs}.", refs=", ".join(shut)
        )
        found.append(("supply_feed_shut", False, text))
    return found


def _obstacles(job: Job, laid: Laid) -> list[_Told]:
    low, high = min(place.chainage for place in laid.places), max(place.chainage for place in laid.places)
    found: list[_Told] = []
    for ground in job.ground:
        if ground.surface in {"railway", "watercourse"} and ground.start < high and ground.end > low:
            text = message(
                "The temporary pipe is drawn past a railway or watercourse at {start} to {end}: its way across needs a bridge, a duct or leave.",
                start=Quantity(ground.start, "m", 0),
                end=Quantity(ground.end, "m", 0),
            )
            found.append(("supply_obstacle", True, text))
    return found


def _weather(cared: Sequence[Handling], points: Sequence[SupplyPoint]) -> list[_Told]:
    found: list[_Told] = []
    if cared:
        first = min(one.freezes_after for one in cared)
        warm = max(one.sun_temperature for one in cared)
        limit = next(row.published.value for row in table("supply").all(key="air", claim="frosty night"))
        found.append(("supply_frost", False, message("Pipes on the ground: in a night of {air} standing water reaches freezing point after about {time}. Let taps run, or lag and drain.", air=Quantity(limit, "c", 0), time=Quantity(first, "hours", 1))))  # fmt: skip
        if warm > value("supply", "warm").value:
            found.append(("supply_warm", True, message("On a hot sunny day standing water in pipes on the ground tends to {warm}: shade them, flush in the morning, and measure.", warm=Quantity(warm, "c", 0))))  # fmt: skip
    ages = [one.age for one in points if one.age is not None]
    if ages:
        found.append(
            (
                "supply_age",
                False,
                message("With the mean use of a day the oldest water at a tap is {age} old.", age=Quantity(max(ages), "hours", 1)),
            )
        )
    return found


def _taken(rule: DemandRule, services: Sequence[Service], temperature: float, job: Job) -> list[Assumed]:
    found = [
        Assumed("supply.crossing_m", value("supply", "crossing").value, "m", message("Width of a crossing, for want of a survey of the kerbs.")),
        Assumed("supply.pipe_length_m", value("supply", "pipe_length").value, "m", message("Length of one pipe, coupling to coupling: it sets the number of couplings.")),
    ]  # fmt: skip
    if rule.name == "dvgw_w410":
        found.append(
            Assumed("supply.people_a_dwelling", value("supply", "people").value, "-", message("People in a dwelling, by practice."))
        )
    unknown = [one.ref or "?" for one in services if one.use in {None, "dwelling", "dialysis"} and not one.dwellings]
    if unknown:
        found.append(
            Assumed("services.dwellings", 1.0, "-", message("One dwelling each where none is on record: {refs}.", refs=", ".join(unknown)))
        )
    if any(one.use not in {None, "dwelling", "dialysis"} for one in services):
        speed = value("supply", "other_speed").value
        found.append(Assumed("supply.other_speed_m_s", speed, "m_s", message("Shops, school, works and farms draw what their connection carries at this speed, all at once.")))  # fmt: skip
    if job.water is None or job.water.temperature is None:
        found.append(
            Assumed(
                "supply.temperature_c",
                from_si(temperature, "c"),
                "c",
                message("Temperature of the water, as for the hydraulics of the main."),
            )
        )
    return found


def _sources(rule: DemandRule) -> tuple[Source, ...]:
    used = [
        value("supply", key).source
        for key in ("crossing", "pipe_length", "other_speed", "flush_speed", "flush_volumes", "air_film", "people")
    ]
    return tuple(dict.fromkeys([*rule.sources, *used]))
