"""Random small jobs, and their best layout found by trying everything: no code of the room under test is used for the limits or the sums."""

import math
import random
from dataclasses import replace
from itertools import pairwise, product

from mainwright.job.job import Job
from mainwright.job.plant import Hose, LiningHead, MortarFlow, Plant, Pump, Rope
from mainwright.job.survey import Feature, Ground, Service, Stretch
from mainwright.science.mortar.hose import hose_pressure
from mainwright.units import to_si
from tests.unit.plan.layout.jobs import BASE, HEAD, PUMP, prices, with_lining, with_plant, with_runs

RATES = {"verge": 2000.0, "footway": 2900.0, "carriageway": 3900.0, "main_road": 5900.0}
KINDS = ("hydrant", "air_valve", "gate_valve", "tee", "branch", "branch", "bend", "bend", "bend")


def random_job(rng: random.Random, *, end: float | None = None, grid: float = 15.0, features: int = 4) -> Job:
    """Return a main, of 60 to 90 m where not said, with limits tight enough to bind and everything that a layout must respect."""
    if end is None:
        end = rng.choice([60.0, 75.0, 90.0])
    main = _main(rng, end)
    fittings = sorted((_feature(rng, end) for _ in range(rng.randint(0, features))), key=lambda one: one.chainage)
    connections = [
        Service(round(rng.uniform(0.0, end), 1), live=rng.choice([True, True, None, False])) for _ in range(rng.choice([0, 0, 6, 14]))
    ]
    services = sorted(connections, key=lambda one: one.chainage)
    job = replace(BASE, main=main, features=tuple(fittings), ground=_ground(rng, end), services=tuple(services), plant=_plant(rng))
    job = with_runs(
        job,
        opening_spacing_grid=grid,
        max_length=rng.choice([None, 30.0, 45.0]),
        max_bends_total=to_si(rng.choice([22.5, 45.0]), "deg"),
        set_up=rng.choice([3600.0, 30000.0, 33000.0]),
    )
    job = with_lining(job, deposit_efficiency=rng.choice([1.0, 0.9]), pit_allowance=rng.choice([0.0, 0.0005]))
    if rng.random() < 0.3:
        # Mortar that sets soon, so that the crew's rate binds.
        job = replace(job, mortar=replace(job.mortar, set_time=3600.0, clearing_from=1200.0))
    rates = {f"opening_{surface}": rate for surface, rate in RATES.items()} | {"set_up_run": 1400.0}
    rates |= {
        item: rate
        for item, rate in {
            "set_up_pump": 900.0,
            "branch_treatment": 380.0,
            "opening_extra_depth": 900.0,
            "cement": 175.0,
            "traffic_day": 600.0,
        }.items()
        if rng.random() < 0.5
    }
    return replace(job, prices=prices(**rates))


def _main(rng: random.Random, end: float) -> tuple[Stretch, ...]:
    cut = rng.choice([0.0, 0.0, 28.0, 40.0])
    if not cut:
        return (Stretch(0.0, end, 200, "grey_iron", bore=0.2),)
    dn, bore = rng.choice([(200, 0.202), (200, 0.203), (200, 0.2035), (150, 0.15)])
    return (Stretch(0.0, cut, 200, "grey_iron", bore=0.2), Stretch(cut, end, dn, "grey_iron", bore=bore))


def _feature(rng: random.Random, end: float) -> Feature:
    kind = rng.choice(KINDS)
    angle = to_si(rng.choice([11.25, 22.5, 22.5, 30.0, 45.0]), "deg") if kind == "bend" else None
    return Feature(round(rng.uniform(0.0, end), 1), kind, angle=angle, opening=rng.choice([None, None, None, "may", "must"]))  # type: ignore[arg-type]


def _ground(rng: random.Random, end: float) -> tuple[Ground, ...]:
    edges = sorted({0.0, end, *(round(rng.uniform(5.0, end - 5.0)) + 0.0 for _ in range(rng.randint(0, 3)))})
    rows = []
    for start, stop in pairwise(edges):
        if rng.random() < 0.1:
            continue  # the survey is silent here
        surface = rng.choice([*RATES, None])
        rows.append(Ground(start, stop, surface, rng.choice([None, 1.2, 2.0]), rng.choice([True, None, False, True])))  # type: ignore[arg-type]
    return tuple(rows)


def _plant(rng: random.Random) -> Plant:
    hoses = [Hose("H1", rng.choice([42.0, 57.0, 72.0]), 12.0, 0.038, to_si(rng.choice([12.0, 40.0]), "bar"))]
    if rng.random() < 0.4:
        hoses.append(Hose("H2", 87.0, 12.0, 0.05, to_si(40.0, "bar")))
    pumps = [PUMP] if rng.random() < 0.7 else [replace(PUMP, name="slow", flow=to_si(12.0, "l_min")), replace(PUMP, name="fast")]
    heads = [replace(HEAD, speed_max=to_si(rng.choice([2.0, 12.0]), "m_min"))]
    if rng.random() < 0.3:
        heads = [replace(heads[0], dn_to=150, bend_max=to_si(11.25, "deg")), replace(heads[0], name="B", dn_from=200)]
    flow = MortarFlow(yield_stress=300.0, plastic_viscosity=2.0) if rng.random() < 0.5 else None
    rope = Rope("R1", rng.choice([35.0, 400.0]), 400e3, 5.0)
    rate = rng.choice([None, 6.0 / 3600.0, 12.0 / 3600.0])
    return with_plant(
        BASE, pumps=tuple(pumps), hoses=tuple(hoses), heads=tuple(heads), ropes=(rope,), mortar_flow=flow, clearing_rate=rate
    ).plant


# From here on everything by hand, as the rules are written.


def candidates_of(job: Job) -> list[float]:
    """Return every candidate opening."""
    end, grid = job.main[-1].end, job.runs.opening_spacing_grid
    found = {0.0, end, *(one.chainage for one in job.features), *(grid * k for k in range(int(end // grid) + 1))}
    found |= {after.start for before, after in pairwise(job.main) if stops(job, before, after)}
    zones = zones_of(job)
    found |= {edge for zone in zones for edge in zone}
    return sorted(
        place for place in found if not any(low < place < high for low, high in zones) or any(place == one for one in musts_of(job))
    )


def stops(job: Job, before: Stretch, after: Stretch) -> bool:
    return before.dn != after.dn or abs((after.bore or 0.0) - (before.bore or 0.0)) > job.runs.bore_step_max + 1e-9


def zones_of(job: Job) -> list[tuple[float, float]]:
    zones: list[tuple[float, float]] = []
    for one in job.ground:
        if one.dig is False:
            if zones and zones[-1][1] == one.start:
                zones[-1] = (zones[-1][0], one.end)
            else:
                zones.append((one.start, one.end))
    return zones


def heads_at(job: Job, place: float) -> list[LiningHead]:
    sizes = {row.dn for row in job.main if row.start <= place <= row.end}
    return [head for head in job.plant.heads if any(head.dn_from <= dn <= head.dn_to for dn in sizes)]


def musts_of(job: Job) -> set[float]:
    found = {0.0, job.main[-1].end}
    found |= {after.start for before, after in pairwise(job.main) if stops(job, before, after)}
    for one in job.features:
        passed = max((head.bend_max or 9.0 for head in heads_at(job, one.chainage)), default=9.0)
        over = one.kind == "bend" and (one.angle or 0.0) > min(job.runs.max_bend, passed) + 1e-9
        if over or one.opening == "must" or (one.opening is None and one.kind in ("gate_valve", "tee")):
            found.add(one.chainage)
    return found


def opening_price(job: Job, place: float) -> float:
    rate = {one.item: one.rate or 0.0 for one in job.prices}
    end = job.main[-1].end
    rows = [one for one in job.ground if one.start <= place <= one.end]
    free = [one for one in rows if one.dig is not False]
    silent = (place > 0.0 and not any(one.start < place for one in rows)) or (place < end and not any(one.end > place for one in rows))
    if not free and (silent or not rows):
        return 0.0
    return min(
        rate.get(f"opening_{one.surface}", 0.0) + rate.get("opening_extra_depth", 0.0) * max((one.cover or 0.0) - 1.5, 0.0)
        for one in free or rows
    )


def _pieces(job: Job, start: float, end: float) -> list[tuple[float, float, float]]:
    return [(max(start, row.start), min(end, row.end), row.bore or 0.0) for row in job.main if row.start < end and row.end > start]


def _at(pieces: list[tuple[float, float, float]], speeds: list[float], place: float, *, forward: bool) -> float:
    elapsed = 0.0
    legs = list(zip(pieces, speeds, strict=True))
    for (low, high, _), speed in legs if forward else legs[::-1]:
        way = (min(place, high) - low) if forward else (high - max(place, low))
        elapsed += max(way, 0.0) / speed
    return elapsed


def _can(job: Job, start: float, end: float, *, pump: Pump, hose: Hose, head: LiningHead, forward: bool) -> bool:
    """Return whether one set of plant can do one run one way."""
    inside = [one for one in job.features if start < one.chainage < end]
    bends = [one.angle or 0.0 for one in inside if one.kind == "bend"]
    rope = job.plant.ropes[0]
    longest = min(hose.length - hose.dead_length, rope.length, job.runs.max_length or 1e9)
    pieces = _pieces(job, start, end)
    dn = next(row.dn for row in job.main if row.start < end and row.end > start)
    if end - start > longest + 1e-9 or any(start < must < end for must in musts_of(job)) or not head.dn_from <= dn <= head.dn_to:
        return False
    if sum(bends) > job.runs.max_bends_total + 1e-9 or max(bends, default=0.0) > (head.bend_max or 9.0) + 1e-9:
        return False
    lining = job.lining
    areas = [math.pi * lining.nominal * (bore - lining.nominal) + math.pi * bore * lining.pit_allowance for _, _, bore in pieces]
    flow = min(pump.flow, *((head.speed_max or 1e9) * area / lining.deposit_efficiency for area in areas))
    speeds = [lining.deposit_efficiency * flow / area for area in areas]
    if math.pi / 4 * hose.bore**2 * hose.length / flow > job.mortar.usable * (1 + 1e-9):
        return False
    mortar = job.plant.mortar_flow
    if mortar is not None:
        pressure = hose_pressure(
            flow=flow,
            length=hose.length,
            bore=hose.bore,
            yield_stress=mortar.yield_stress or 0.0,
            plastic_viscosity=mortar.plastic_viscosity or 0.0,
        )
        if pressure > min(hose.pressure_max or 1e12, pump.pressure_max or 1e12):
            return False
    return _crew_keeps_up(job, start, end, pieces, speeds, forward=forward)


def _crew_keeps_up(
    job: Job, start: float, end: float, pieces: list[tuple[float, float, float]], speeds: list[float], *, forward: bool
) -> bool:
    last = job.main[-1].end
    mine = [one for one in job.services if one.live is not False and (start <= one.chainage < end or one.chainage == end == last)]
    rate = job.plant.clearing_rate
    now = 0.0
    if rate is not None:
        for passed in sorted(_at(pieces, speeds, one.chainage, forward=forward) for one in mine):
            now = max(now, passed + job.mortar.clearing_from) + 1.0 / rate
            if now > (passed + job.mortar.set_time) * (1.0 + 1e-9):
                return False
    lining_time = sum((high - low) / speed for (low, high, _), speed in zip(pieces, speeds, strict=True))
    return job.runs.set_up + max(lining_time, now) + job.runs.close <= job.shift.length * (1.0 + 1e-9)


def run_price(job: Job, start: float, end: float, *, forward: bool) -> float | None:
    """Return what a run costs, None where nothing can do it."""
    rate = {one.item: one.rate or 0.0 for one in job.prices}
    hoses = sorted(job.plant.hoses, key=lambda hose: hose.bore**2 * hose.length)
    for hose, pump, head in product(hoses, job.plant.pumps, job.plant.heads):
        if _can(job, start, end, pump=pump, hose=hose, head=head, forward=forward):
            branches = sum(one.kind == "branch" and start < one.chainage < end for one in job.features)
            mortar = job.mortar
            cement = (1.0 - mortar.air) / (
                1 / mortar.cement_density + mortar.sand_per_cement / mortar.sand_density + mortar.water_per_cement / 1000
            )
            filling = math.pi / 4 * hose.bore**2 * hose.length
            return (
                rate["set_up_run"]
                + rate.get("traffic_day", 0.0)
                + rate.get("branch_treatment", 0.0) * branches
                + filling * cement * rate.get("cement", 0.0) / 1000.0
            )
    return None


def best_by_trying_all(job: Job) -> tuple[float, int] | None:
    """Return the least cost and the fewest openings with it, None where nothing is possible."""
    places = candidates_of(job)
    musts = musts_of(job)
    pump = next((one.rate or 0.0 for one in job.prices if one.item == "set_up_pump"), 0.0)
    price = {
        (a, b, way): run_price(job, places[a], places[b], forward=way)
        for a in range(len(places))
        for b in range(a + 1, len(places))
        for way in (True, False)
    }
    openings = [opening_price(job, place) for place in places]
    free = [k for k in range(1, len(places) - 1) if places[k] not in musts]
    held = [k for k in range(len(places)) if places[k] in musts]
    best: tuple[float, int] | None = None
    for chosen in range(1 << len(free)):
        taken = sorted(held + [k for bit, k in enumerate(free) if chosen >> bit & 1])
        runs = list(pairwise(taken))
        if any(price[a, b, True] is None and price[a, b, False] is None for a, b in runs):
            continue
        for ways in product((True, False), repeat=len(runs)):
            parts = [price[a, b, way] for (a, b), way in zip(runs, ways, strict=True)]
            if any(part is None for part in parts):
                continue
            pumps = {b if way else a for (a, b), way in zip(runs, ways, strict=True)}
            total = sum(openings[k] for k in taken) + sum(part for part in parts if part is not None) + pump * len(pumps)
            if best is None or (round(total, 6), len(taken)) < best:
                best = (round(total, 6), len(taken))
    return best
