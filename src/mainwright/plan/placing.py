"""How runs of a job are placed: aim, flow, times, pull and pressure of each, as far as limits and costs ask for them."""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from typing import Final, NamedTuple

from mainwright.constants import STANDARD_GRAVITY
from mainwright.job.job import Job
from mainwright.job.plant import Hose
from mainwright.job.survey import Service
from mainwright.plan.head_clock import HeadClock
from mainwright.plan.host import BoreLength, Host
from mainwright.plan.lining import Equipment
from mainwright.plan.mortar_day import MortarDay, mortar_day
from mainwright.plan.result import Direction
from mainwright.science.bore.ring import deposit_area, ring_area
from mainwright.science.bore.volume import bore_area, content
from mainwright.science.mortar.hose import static_pressure
from mainwright.science.placement.aim import Aim, aim_thickness
from mainwright.science.placement.confidence import AimLength
from mainwright.science.placement.pull import Drag, Piece, pull_along
from mainwright.science.placement.scatter import Scatter, stretches_in
from mainwright.standards.published import value

__all__ = ["Demand", "Linings", "Outline", "aim_length", "coat_areas"]


_COMPILE_FROM: Final = 2_000
"""Aims after which compiled code is worth its loading: each takes about 1.5 ms without, and so many are asked for by a long main alone."""


class Outline(NamedTuple):
    """What the limits of a run ask for, without its sheets.

    Attributes
    ----------
    aim
        Thickness of each length of one bore, confidence and exceeded limits.
    coats
        How many coats the thickest length takes.
    flow
        Of the pump. [m3/s]
    times
        Seconds over each length, all coats.
    ring, nominal_ring, pits
        Mortar that stays on the wall, what the nominal thickness would take, and what the pits take, before the deposit efficiency. [m3]
    """

    aim: Aim
    coats: int
    flow: float
    times: tuple[float, ...]
    ring: float
    nominal_ring: float
    pits: float


class Demand(NamedTuple):
    """What one run asks of plant and crew.

    Attributes
    ----------
    pressure, pressure_limit
        At the pump, gauge, and what pump and hose bear; zero and endless where not known. [Pa]
    stay
        Of the mortar in the hose. [s]
    rate
        Connections that must be cleared by second. [1/s]
    occupied
        Time that one coat takes. [s]
    coats, customers
        How many coats, and whether anybody's connection is off.
    over_nominal
        Mortar beyond the nominal ring. [m3]
    """

    pressure: float
    stay: float
    rate: float
    occupied: float
    coats: int
    customers: bool
    over_nominal: float
    pressure_limit: float


class Linings:
    """How runs of one job are lined. Keeps what it has computed: the same run is asked for many times.

    Parameters
    ----------
    job : Job
        The job. [-]
    host : Host
        Its main, resolved. [-]
    """

    def __init__(self, job: Job, host: Host) -> None:
        self.job = job
        self.host = host
        self.day: MortarDay = mortar_day(job)
        lining = job.lining
        self.scatter = Scatter(
            flow_bias=lining.flow_bias,
            flow=lining.flow_deviation,
            speed=lining.speed_deviation,
            bore=lining.bore_deviation,
            eccentricity=lining.eccentricity,
            pit_allowance=lining.pit_allowance,
            correlation=lining.correlation,
        )
        self._starts = [one.start for one in host.lengths]
        self._live = [one for one in job.services if one.live is not False]
        self._places = [one.chainage for one in self._live]
        self._levels = [(one.chainage, one.pipe) for one in job.levels if one.pipe is not None]
        self._level_places = [place for place, _ in self._levels]
        self._bends = [(one.chainage, one.angle) for one in job.features if one.kind == "bend" and one.angle]
        hose = (value("hose", "friction"), value("hose", "own_share"), value("cleaning", "rope_mass"), value("hose", "head_mass"))
        self._drag = tuple(one.value for one in hose)
        self._sets: tuple[Equipment, ...] = ()
        self._pulls: dict[tuple[float, float, float, Direction], float] = {}
        self._demands: dict[int, tuple[Equipment, dict[tuple[float, float, Direction], Demand]]] = {}
        self._rates: dict[tuple[float, float, float, float | None], float] = {}
        self._busy: dict[tuple[float, float, float, float | None, Direction, float | None], float] = {}
        self._aims: dict[tuple[tuple[int, int, float], ...], Aim] = {}
        self._overs: dict[int, tuple[Equipment, dict[tuple[float, float], float]]] = {}
        self._outlines: dict[tuple[float, float, float, float | None], Outline] = {}

    def pieces(self, start: float, end: float) -> list[tuple[int, float, float]]:
        """Return the lengths of one bore between two chainages: which one, from, to."""
        index = max(bisect_right(self._starts, start) - 1, 0)
        found = []
        while index < len(self._starts) and self.host.lengths[index].start < end:
            one = self.host.lengths[index]
            low, high = max(start, one.start), min(end, one.end)
            if high > low:
                found.append((index, low, high))
            index += 1
        return found

    def services(self, start: float, end: float) -> list[Service]:
        """Return the live connections of a run: from its start on, those at its end belonging to the next, at the end of the main to it."""
        low = bisect_left(self._places, start)
        high = bisect_right(self._places, end) if end >= self.host.end else bisect_left(self._places, end)
        return self._live[low:high]

    def count_services(self, start: float, end: float) -> int:
        """Return how many live connections a run has."""
        high = bisect_right(self._places, end) if end >= self.host.end else bisect_left(self._places, end)
        return max(high - bisect_left(self._places, start), 0)

    def _aim(self, pieces: Sequence[tuple[int, float, float]]) -> Aim:
        lengths = self.host.lengths
        correlation = self.scatter.correlation
        # The aim depends on a length only through its number of stretches, and its weight where a mean is asked for.
        key = tuple(
            (
                index,
                stretches_in(length=high - low, correlation=correlation),
                high - low if lengths[index].lining.mean_minimum is not None and len(pieces) > 1 else 0.0,
            )
            for index, low, high in pieces
        )
        found = self._aims.get(key)
        if found is None:
            parts = [aim_length(lengths[index], high - low) for index, low, high in pieces]
            many = len(self._aims) > _COMPILE_FROM
            found = aim_thickness(lengths=parts, scatter=self.scatter, confidence=self.job.lining.confidence, compiled=many)
            self._aims[key] = found
        return found

    def outline(self, start: float, end: float, equipment: Equipment) -> Outline:
        """Return aim, flow and times of a run.

        Parameters
        ----------
        start, end : float
            Chainage. [m]
        equipment : Equipment
            What does it: the output of its pump and the greatest speed of its head count. [-]

        Returns
        -------
        Outline
            The same object for the same run.
        """
        flow, speed_max = self.draw(equipment)
        asked = (start, end, flow, speed_max)
        found = self._outlines.get(asked)
        if found is None:
            found = self._outlines[asked] = self._make_outline(start, end, flow, speed_max)
        return found

    def _make_outline(self, start: float, end: float, flow: float, speed_max: float | None) -> Outline:
        lining = self.job.lining
        pieces = self.pieces(start, end)
        aim = self._aim(pieces)
        lengths = self.host.lengths
        coats = 1
        for (index, _, _), thickness in zip(pieces, aim.thicknesses, strict=True):
            most = lengths[index].lining.single_coat_max
            if most is not None and thickness > most + 1e-12:
                coats = max(coats, math.ceil(thickness / most - 1e-9))
        areas = [
            coat_areas(lengths[index].bore, thickness, coats, lining.pit_allowance)
            for (index, _, _), thickness in zip(pieces, aim.thicknesses, strict=True)
        ]
        if speed_max is not None:
            # One output for the whole run: the thinnest coat says how much the head can follow.
            flow = min(flow, speed_max * min(min(each) for each in areas) / lining.deposit_efficiency)
        on_wall = lining.deposit_efficiency * flow
        spans = [high - low for _, low, high in pieces]
        ring = sum(
            span * ring_area(thickness=thickness, bore=lengths[index].bore)
            for span, (index, _, _), thickness in zip(spans, pieces, aim.thicknesses, strict=True)
        )
        pits = sum(span * math.pi * lengths[index].bore * lining.pit_allowance for span, (index, _, _) in zip(spans, pieces, strict=True))
        nominal_ring = sum(
            span * ring_area(thickness=lengths[index].lining.nominal, bore=lengths[index].bore)
            for span, (index, _, _) in zip(spans, pieces, strict=True)
        )
        times = tuple(span * sum(each) / on_wall for span, each in zip(spans, areas, strict=True))
        return Outline(aim, coats, flow, times, ring, nominal_ring, pits)

    def has_customers(self, start: float, end: float) -> bool:
        """Return whether somebody's connection is off while this run is lined."""
        return self.count_services(start, end) > 0

    def needed_rate(self, start: float, end: float, equipment: Equipment) -> float:
        """Return how many connections by second must be cleared so that each is clear before its mortar sets. [1/s]."""
        count = self.count_services(start, end)
        if count == 0:
            return 0.0
        window = self.day.set_time - self.day.clearing_from
        if window <= 0.0:
            return math.inf
        asked = (start, end, *self.draw(equipment))
        found = self._rates.get(asked)
        if found is None:
            passed = self.pass_times(start, end, equipment, "increasing")
            # Of those between two, the first may not begin before its time, and the last must be done by its own.
            found = self._rates[asked] = max(
                (last - first + 1) / (passed[last] - passed[first] + window) for first in range(count) for last in range(first, count)
            )
        return found

    def clearing_end(self, start: float, end: float, equipment: Equipment, direction: Direction, rate: float | None) -> float:
        """Return when the last connection is cleared at a rate, from the start of the head; 0 where none is, or no rate is known. [s]."""
        cleared = 0.0
        if rate is not None:
            for passed in self.pass_times(start, end, equipment, direction):
                cleared = max(cleared, passed + self.day.clearing_from) + 1.0 / rate
        return cleared

    def occupied(self, start: float, end: float, equipment: Equipment, direction: Direction, rate: float | None) -> float:
        """Return how long one coat of a run keeps its street busy: set-up, lining and clearing, closing. [s]."""
        asked = (start, end, *self.draw(equipment), direction, rate)
        found = self._busy.get(asked)
        if found is None:
            outline = self.outline(start, end, equipment)
            lining_time = math.fsum(outline.times) / outline.coats
            working = max(lining_time, self.clearing_end(start, end, equipment, direction, rate))
            found = self._busy[asked] = self.job.runs.set_up + working + self.job.runs.close
        return found

    def closing(self, start: float, end: float, equipment: Equipment, direction: Direction) -> float:
        """Return how long the connections of a run are off the main: all its coats, each from the first cut to the end of closing. [s]."""
        return self.outline(start, end, equipment).coats * self.occupied(start, end, equipment, direction, self.job.plant.clearing_rate)

    def pass_times(self, start: float, end: float, equipment: Equipment, direction: Direction) -> list[float]:
        """Return when each connection of a run is passed, in the order in which they are, from the start of the head. [s]."""
        services = self.services(start, end)
        if not services:
            return []
        clock = self.clock(start, end, equipment, direction)
        ordered = services if direction == "increasing" else services[::-1]
        return [clock.at(min(max(one.chainage, start), end)) for one in ordered]

    def clock(self, start: float, end: float, equipment: Equipment, direction: Direction) -> HeadClock:
        """Return where the head is when, in one coat of a run."""
        outline = self.outline(start, end, equipment)
        return HeadClock(self.pieces(start, end), [seconds / outline.coats for seconds in outline.times], direction)

    def rise(self, start: float, end: float) -> float:
        """Return how much higher the pipe lies at the end than at the start, 0 where no level is known. [m]."""
        return self._height(end) - self._height(start)

    def _height(self, chainage: float) -> float:
        """Return the height of the pipe, straight between known levels and level beyond them. [m]."""
        after = bisect_left(self._level_places, chainage)
        if not self._levels:
            return 0.0
        if after == 0 or after == len(self._levels):
            return self._levels[min(after, len(self._levels) - 1)][1]
        (low, first), (high, last) = self._levels[after - 1], self._levels[after]
        return first + (last - first) * (chainage - low) / (high - low)

    def climb(self, start: float, end: float, direction: Direction) -> float:
        """Return how much higher than at the pump the pipe lies at most within a run, 0 where no level is known. [m]."""
        inner = self._levels[bisect_right(self._level_places, start) : bisect_left(self._level_places, end)]
        at_pump = self._height(end if direction == "increasing" else start)
        highest = max(self._height(start), self._height(end), *(height for _, height in inner), at_pump)
        return highest - at_pump

    @property
    def greatest_climb(self) -> float:
        """What no run climbs more than. [m]."""
        heights = [height for _, height in self._levels]
        return max(heights, default=0.0) - min(heights, default=0.0)

    def least_flow(self, *, flow: float, speed_max: float | None) -> float:
        """Return a bound under which no run's flow falls, however far the head's greatest speed lowers it. [m3/s]."""
        if speed_max is None:
            return flow
        areas = []
        for one in self.host.lengths:
            most = one.lining.single_coat_max
            # A coat is at least half of the greatest single coat, or the whole nominal.
            thinnest = min(one.lining.nominal, math.inf if most is None else 0.5 * most, 0.3 * one.bore)
            areas.append(ring_area(thickness=thinnest, bore=one.bore if most is None else 0.7 * one.bore))
        return min(flow, speed_max * min(areas) / self.job.lining.deposit_efficiency)

    def draw(self, equipment: Equipment) -> tuple[float, float | None]:
        """Return what of the equipment times depend on: working output of the pump [m3/s], greatest speed of the head [m/s]."""
        return self.day.flow_of(equipment.pump), None if equipment.head is None else equipment.head.speed_max

    def mortar_over_nominal(self, start: float, end: float, equipment: Equipment) -> float:
        """Return what a run mixes more than the nominal ring of its length would take: thickness, hose filling, waste. [m3]."""
        # As in `demand`: a layout asks for the same run again and again while the price of a limit is looked for.
        _, kept = self._overs.setdefault(id(equipment), (equipment, {}))
        found = kept.get((start, end))
        if found is None:
            outline = self.outline(start, end, equipment)
            over = (outline.ring - outline.nominal_ring) / self.job.lining.deposit_efficiency * (1.0 + self.job.mortar.waste)
            found = kept[start, end] = over + self.filling(equipment.hose) * outline.coats
        return found

    def filling(self, hose: Hose | None) -> float:
        """Return what a whole hose holds, nothing without one. [m3]."""
        return 0.0 if hose is None else content(bore=hose.bore, length=hose.length)

    def hose_pressure(self, start: float, end: float, equipment: Equipment, direction: Direction) -> float | None:
        """Return the pressure at the pump, gauge: friction through the whole hose, and the climb; None where flow is not known. [Pa]."""
        if equipment.hose is None:
            return None
        friction = self.day.friction_in(equipment.hose, self.outline(start, end, equipment).flow)
        if friction is None:
            return None
        return friction + static_pressure(density=self.day.mix.density, rise=self.climb(start, end, direction))

    def pressure_limit(self, equipment: Equipment) -> float | None:
        """Return the smaller of what the pump and the hose bear, gauge, None where neither says. [Pa]."""
        holders = (equipment.hose, equipment.pump)
        return min((one.pressure_max for one in holders if one is not None and one.pressure_max is not None), default=None)

    def same(self, sets: tuple[Equipment, ...]) -> tuple[Equipment, ...]:
        """Return the sets of an earlier question where they are equal, so that what was computed with them is found again."""
        if self._sets != sets:
            self._sets = sets
        return self._sets

    def demand(self, start: float, end: float, equipment: Equipment, direction: Direction) -> Demand:
        """Return what a run asks of pump, hose, rope, crew and shift; computed once for each run."""
        # Equipment is told apart by identity: to hash all that it holds would take longer than the answer. Kept, it stays what it is.
        _, found = self._demands.setdefault(id(equipment), (equipment, {}))
        asked = (start, end, direction)
        demand = found.get(asked)
        if demand is None:
            outline = self.outline(start, end, equipment)
            rate = self.job.plant.clearing_rate
            demand = found[asked] = Demand(
                pressure=self.hose_pressure(start, end, equipment, direction) or 0.0,
                stay=self.filling(equipment.hose) / outline.flow,
                rate=0.0 if rate is None else self.needed_rate(start, end, equipment),
                occupied=self.occupied(start, end, equipment, direction, rate),
                coats=outline.coats,
                customers=self.has_customers(start, end),
                over_nominal=self.mortar_over_nominal(start, end, equipment),
                pressure_limit=math.inf if (most := self.pressure_limit(equipment)) is None else most,
            )
        return demand

    def pull(self, start: float, end: float, equipment: Equipment, direction: Direction) -> float | None:
        """Return the pull that draws head and loaded hose through the whole run, None without rope. [N].

        It is greatest as the head starts: then all of the hose lies in the run. What lies inside a run pulls no more than the run.
        """
        if equipment.rope is None:
            return None
        bore = 0.0 if equipment.hose is None else equipment.hose.bore
        asked = (start, end, bore, direction)
        found = self._pulls.get(asked)
        if found is None:
            friction, share, rope_mass, head_mass = self._drag
            by_length = rope_mass
            if bore > 0.0:
                by_length += bore_area(bore) * self.day.mix.density * (1.0 + share)
            dn = self.host.lengths[self.pieces(start, end)[0][0]].dn
            head = head_mass * (dn / 150.0) ** 2 * STANDARD_GRAVITY * friction
            drag = Drag(by_length * STANDARD_GRAVITY, friction)
            found = max(head, *pull_along(profile=self._profile(start, end, direction), back_tension=head, drag=drag))
            self._pulls[asked] = found
        return found

    def _profile(self, start: float, end: float, direction: Direction) -> list[Piece]:
        """Return straights and bends of a run in the order in which the head travels."""
        marks = [(place, 0.0) for place in self._level_places if start < place < end]
        marks += [(place, angle) for place, angle in self._bends if start < place < end]
        marks.sort()
        profile = []
        here = start
        for place, angle in [*marks, (end, 0.0)]:
            if place > here:
                rise = self._height(place) - self._height(here)
                profile.append(Piece(length=place - here, slope=math.asin(max(-1.0, min(1.0, rise / (place - here))))))
            if angle > 0.0:
                profile.append(Piece(bend=angle))
            here = place
        if direction == "decreasing":
            profile = [Piece(one.length, -one.slope, one.bend) for one in reversed(profile)]
        return profile


def aim_length(one: BoreLength, length: float) -> AimLength:
    """Return a length of one bore as the aim wants it. [m]."""
    values = one.lining
    return AimLength(
        length=length,
        bore=one.bore,
        nominal=values.nominal,
        minimum=values.minimum,
        mean_minimum=values.mean_minimum,
        maximum=values.maximum,
        single_coat_max=values.single_coat_max,
    )


def coat_areas(bore: float, thickness: float, coats: int, pit_allowance: float) -> list[float]:
    """Return what each coat lays by length; the first also fills the pits."""
    share = thickness / coats
    return [
        deposit_area(thickness=share, bore=bore - 2.0 * coat * share, pit_allowance=pit_allowance if coat == 0 else 0.0)
        for coat in range(coats)
    ]
