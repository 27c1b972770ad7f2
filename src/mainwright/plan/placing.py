"""How the runs of a job are lined: aim, flow, speeds, mortar and times of each."""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from mainwright.job.job import Job
from mainwright.job.plant import Mixer
from mainwright.job.survey import Service
from mainwright.plan.host import BoreLength, Host
from mainwright.plan.lining import Equipment, Pass, RunLining
from mainwright.plan.mortar_day import MortarDay, mortar_day
from mainwright.plan.result import Direction, RunSetting
from mainwright.science.bore.ring import deposit_area, ring_area
from mainwright.science.bore.volume import content
from mainwright.science.placement.aim import Aim, aim_thickness
from mainwright.science.placement.band import speed_band
from mainwright.science.placement.confidence import AimLength
from mainwright.science.placement.scatter import Scatter, stretches_in

__all__ = ["Linings", "Outline"]


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
    ring, pits
        Mortar that stays on the wall, and in its pits, before the deposit efficiency. [m3]
    """

    aim: Aim
    coats: int
    flow: float
    times: tuple[float, ...]
    ring: float
    pits: float


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
        self._scatter = Scatter(
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
        self._aims: dict[tuple[tuple[int, int, float], ...], Aim] = {}
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
        correlation = self._scatter.correlation
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
            parts = [_aim_length(lengths[index], high - low) for index, low, high in pieces]
            found = aim_thickness(lengths=parts, scatter=self._scatter, confidence=self.job.lining.confidence)
            self._aims[key] = found
        return found

    def outline(self, start: float, end: float, *, flow: float, speed_max: float | None) -> Outline:
        """Return aim, flow and times of a run with a pump's output and a head's greatest speed.

        Parameters
        ----------
        start, end : float
            Chainage. [m]
        flow : float
            Working output of the pump. [m3/s]
        speed_max : float or None
            Of the head. [m/s]

        Returns
        -------
        Outline
            The same object for the same run.
        """
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
            _coat_areas(lengths[index].bore, thickness, coats, lining.pit_allowance)
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
        times = tuple(span * sum(each) / on_wall for span, each in zip(spans, areas, strict=True))
        return Outline(aim, coats, flow, times, ring, pits)

    def _setting(
        self, piece: tuple[int, float, float], thickness: float, coat: int, outline: Outline, speed_max: float | None
    ) -> RunSetting:
        index, low, high = piece
        one, lining = self.host.lengths[index], self.job.lining
        share = thickness / outline.coats
        bore = one.bore - 2.0 * coat * share
        pits = lining.pit_allowance if coat == 0 else 0.0
        speed = lining.deposit_efficiency * outline.flow / deposit_area(thickness=share, bore=bore, pit_allowance=pits)
        band_low, band_high = speed, speed
        if outline.coats == 1:
            part = _aim_length(one, high - low)
            if part.maximum is None:
                # As far over the aim as the minimum lies under it.
                part = replace(part, maximum=thickness + max(thickness - part.minimum, 0.0))
            band = speed_band(
                part=part,
                aim=thickness,
                scatter=self._scatter,
                confidence=lining.confidence,
                flow=outline.flow,
                deposit_efficiency=lining.deposit_efficiency,
                speed_max=speed_max,
            )
            band_low, band_high = min(band.low or speed, speed), max(band.high, speed)
        else:
            # One coat has no minimum of its own: it is kept to the deviation that the aim allows for.
            band_low, band_high = speed * (1.0 - lining.speed_deviation), speed * (1.0 + lining.speed_deviation)
            if speed_max is not None:
                band_high = max(min(band_high, speed_max), speed)
        return RunSetting(low, high, bore, share, ring_area(thickness=share, bore=bore), speed, band_low, band_high)

    def hose_pressure(self, equipment: Equipment, flow: float) -> float | None:
        """Return the pressure at the pump through the whole hose, gauge, None where the mortar's flow is not known. [Pa]."""
        if self.day.loss is None or equipment.hose is None:
            return None
        return self.day.loss(flow, equipment.hose)

    def supply_length(self, outline: Outline, mixer: Mixer | None, start: float, end: float, direction: Direction) -> float | None:
        """Return after what length mixer and hopper no longer keep up with the pump, None where they do. [m]."""
        if mixer is None or outline.flow <= mixer.batch / mixer.cycle * (1.0 + 1e-9):
            return None
        lasts = mixer.hopper / (outline.flow - mixer.batch / mixer.cycle)
        seconds = [each / outline.coats for each in outline.times]
        if lasts >= sum(seconds):
            return None
        return _Clock(self.pieces(start, end), seconds, direction).way(lasts)

    def passes(self, start: float, end: float, outline: Outline, direction: Direction) -> tuple[Pass, ...]:
        """Return the connections of a run in the order in which they are passed, with their windows.

        Parameters
        ----------
        start, end : float
            Chainage. [m]
        outline : Outline
            Of this run. [-]
        direction : str
            Way of the head. [-]

        Returns
        -------
        tuple of Pass
            Times from the start of the head, of one coat.
        """
        services = self.services(start, end)
        if direction == "decreasing":
            services = services[::-1]
        rate = self.job.plant.clearing_rate
        found = []
        free = 0.0
        for service, at in zip(services, self._pass_times(start, end, outline, direction), strict=True):
            earliest, latest = at + self.day.clearing_from, at + self.day.set_time
            if rate is not None:
                free = max(free, earliest) + 1.0 / rate
            found.append(Pass(service, at, earliest, latest, None if rate is None else free))
        return tuple(found)

    def has_customers(self, start: float, end: float) -> bool:
        """Return whether somebody's connection is off while this run is lined; where no connection is on record, anybody's may be."""
        return not self._live or self.count_services(start, end) > 0

    def clearing_rate_needed(self, start: float, end: float, outline: Outline) -> float:
        """Return how many connections by second must be cleared so that each is clear before its mortar sets. [1/s]."""
        count = self.count_services(start, end)
        if count == 0:
            return 0.0
        window = self.day.set_time - self.day.clearing_from
        if window <= 0.0:
            return math.inf
        passed = self._pass_times(start, end, outline, "increasing")
        # Of those between two, the first may not begin before its time, and the last must be done by its own.
        return max((last - first + 1) / (passed[last] - passed[first] + window) for first in range(count) for last in range(first, count))

    def occupied_by(self, start: float, end: float, outline: Outline, direction: Direction, rate: float | None) -> float:
        """Return how long one coat of a run keeps its street busy: set-up, lining and clearing, closing. [s]."""
        clearing_end = 0.0
        if rate is not None:
            for passed in self._pass_times(start, end, outline, direction):
                clearing_end = max(clearing_end, passed + self.day.clearing_from) + 1.0 / rate
        lining_time = math.fsum(outline.times) / outline.coats
        return self.job.runs.set_up + max(lining_time, clearing_end) + self.job.runs.close

    def closing(self, start: float, end: float, equipment: Equipment, direction: Direction) -> float:
        """Return how long the connections of a run are off the main: all its coats, each from the first cut to the end of closing. [s]."""
        speed_max = None if equipment.head is None else equipment.head.speed_max
        outline = self.outline(start, end, flow=self.day.flow_of(equipment.pump), speed_max=speed_max)
        return outline.coats * self.occupied_by(start, end, outline, direction, self.job.plant.clearing_rate)

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

    def _pass_times(self, start: float, end: float, outline: Outline, direction: Direction) -> list[float]:
        services = self.services(start, end)
        clock = _Clock(self.pieces(start, end), [seconds / outline.coats for seconds in outline.times], direction)
        ordered = services if direction == "increasing" else services[::-1]
        return [clock.at(min(max(one.chainage, start), end)) for one in ordered]

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

    def mortar_over_nominal(self, start: float, end: float, equipment: Equipment) -> float:
        """Return what a run mixes more than the nominal ring of its length would take: thickness, hose filling, waste. [m3]."""
        head, hose = equipment.head, equipment.hose
        outline = self.outline(start, end, flow=self.day.flow_of(equipment.pump), speed_max=None if head is None else head.speed_max)
        nominal = math.fsum(
            (high - low) * ring_area(thickness=self.host.lengths[index].lining.nominal, bore=self.host.lengths[index].bore)
            for index, low, high in self.pieces(start, end)
        )
        filling = 0.0 if hose is None else content(bore=hose.bore, length=hose.length) * outline.coats
        return (outline.ring - nominal) / self.job.lining.deposit_efficiency * (1.0 + self.job.mortar.waste) + filling

    def pressure_limit(self, equipment: Equipment) -> float | None:
        """Return the smaller of what the pump and the hose bear, gauge, None where neither says. [Pa]."""
        holders = (equipment.hose, equipment.pump)
        return min((one.pressure_max for one in holders if one is not None and one.pressure_max is not None), default=None)

    def pull(self, start: float, end: float, equipment: Equipment, direction: Direction) -> float | None:
        """Return the pull that drags the loaded hose through the run, None where there is no hose or rope. [N]."""
        return None

    def line(self, start: float, end: float, equipment: Equipment, direction: Direction) -> RunLining:
        """Return everything about lining one run with this equipment.

        Parameters
        ----------
        start, end : float
            Chainage. [m]
        equipment : Equipment
            What does it. [-]
        direction : str
            Way of the head. [-]

        Returns
        -------
        RunLining
            Settings in order of chainage, times from the start of the head.

        Notes
        -----
        Mixed is: ring and pits over the deposit efficiency, with the share of waste on top, and the content of the whole hose once for
        each coat. Gaps of joints count when their size is known; no file gives it, so they are nothing and listed as assumed.
        """
        flow, speed_max = self.day.flow_of(equipment.pump), None if equipment.head is None else equipment.head.speed_max
        outline = self.outline(start, end, flow=flow, speed_max=speed_max)
        pieces = self.pieces(start, end)
        coat_settings = tuple(
            tuple(
                self._setting(piece, thickness, coat, outline, speed_max)
                for piece, thickness in zip(pieces, outline.aim.thicknesses, strict=True)
            )
            for coat in range(outline.coats)
        )
        settings = coat_settings[0]
        if outline.coats > 1:
            settings = tuple(
                _together(each, thickness)
                for each, thickness in zip(zip(*coat_settings, strict=True), outline.aim.thicknesses, strict=True)
            )
        passes = self.passes(start, end, outline, direction)
        clearing_end = max((one.cleared or 0.0 for one in passes), default=0.0)
        lining_time = math.fsum(outline.times)
        efficiency = self.job.lining.deposit_efficiency
        ring, pits, joints = outline.ring / efficiency, outline.pits / efficiency, 0.0
        hose = equipment.hose
        filling = 0.0 if hose is None else content(bore=hose.bore, length=hose.length)
        waste = self.job.mortar.waste * (ring + pits + joints)
        rope = equipment.rope
        return RunLining(
            settings=settings,
            coat_settings=coat_settings,
            aim=outline.aim.thickness,
            aim_met=not set(outline.aim.exceeded) & {"maximum", "bore"},
            mortar_per_length=outline.ring / (end - start),
            flow=outline.flow,
            speed=(end - start) / lining_time,
            speed_low=(end - start) / sum((one.end - one.start) / one.speed_low for one in settings),
            speed_high=(end - start) / sum((one.end - one.start) / one.speed_high for one in settings),
            lining_time=lining_time,
            coats=outline.coats,
            ring=ring,
            joints=joints,
            pits=pits,
            hose_filling=filling * outline.coats,
            waste=waste,
            mortar=ring + pits + joints + waste + filling * outline.coats,
            hose_pressure=self.hose_pressure(equipment, outline.flow),
            pressure_limit=self.pressure_limit(equipment),
            residence=filling / outline.flow,
            usable=self.day.usable,
            rope_pull=self.pull(start, end, equipment, direction),
            working_load=None if rope is None else rope.breaking / rope.safety,
            passes=passes,
            clearing_end=clearing_end,
            occupied=self.occupied_by(start, end, outline, direction, self.job.plant.clearing_rate),
            supply_length=self.supply_length(outline, equipment.mixer, start, end, direction),
        )


class _Clock:
    """Where the head is when: over each length it goes evenly."""

    def __init__(self, pieces: Sequence[tuple[int, float, float]], seconds: Sequence[float], direction: Direction) -> None:
        legs = [(low, high, each) for (_, low, high), each in zip(pieces, seconds, strict=True)]
        self._sign = 1.0 if direction == "increasing" else -1.0
        self._origin = legs[0][0] if direction == "increasing" else legs[-1][1]
        self._legs = legs if direction == "increasing" else legs[::-1]

    def at(self, chainage: float) -> float:
        """Return the time at which the head passes a chainage."""
        elapsed = 0.0
        for low, high, seconds in self._legs:
            if low <= chainage <= high:
                way = chainage - low if self._sign > 0.0 else high - chainage
                return elapsed + seconds * way / (high - low)
            elapsed += seconds
        return elapsed

    def way(self, elapsed: float) -> float:
        """Return how far the head has come after a time."""
        way = 0.0
        for low, high, seconds in self._legs:
            if elapsed <= seconds:
                return way + (high - low) * elapsed / seconds
            elapsed -= seconds
            way += high - low
        return way


def _aim_length(one: BoreLength, length: float) -> AimLength:
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


def _coat_areas(bore: float, thickness: float, coats: int, pit_allowance: float) -> list[float]:
    """Return what each coat lays by length; the first also fills the pits."""
    share = thickness / coats
    return [
        deposit_area(thickness=share, bore=bore - 2.0 * coat * share, pit_allowance=pit_allowance if coat == 0 else 0.0)
        for coat in range(coats)
    ]


def _together(coats: Sequence[RunSetting], thickness: float) -> RunSetting:
    """Return one setting that stands for all coats: the sum of what they lay, and the speed that takes their time."""
    first = coats[0]
    return RunSetting(
        start=first.start,
        end=first.end,
        bore=first.bore,
        aim=thickness,
        mortar_per_length=math.fsum(one.mortar_per_length for one in coats),
        speed=1.0 / math.fsum(1.0 / one.speed for one in coats),
        speed_low=1.0 / math.fsum(1.0 / one.speed_low for one in coats),
        speed_high=1.0 / math.fsum(1.0 / one.speed_high for one in coats),
    )
