"""The pH at each connection over days to months, what keeps it down, other ways, and who must be told."""

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from mainwright.job.giving_back import GivingBack
from mainwright.job.job import Job
from mainwright.job.water import WaterAnalysis
from mainwright.plan.dissolved import lime_to_ph, water_mass, water_rows
from mainwright.plan.result import LinedStretch
from mainwright.plan.result_giving_back import Alternative, Keeping, TapForecast, TapPh, TapWater
from mainwright.plan.return_to_service.along_main import Course, Direction, Piece, bleed_to_keep, course_of_water, flow_direction, lime_at
from mainwright.plan.water import duration
from mainwright.plan.water_forecast import Cement, ph_after_lime, release_law
from mainwright.science.chemistry.leaching import WEEK
from mainwright.standards.published import table, value
from mainwright.standards.water import AlkalinityClass, alkalinity_class
from mainwright.words.message import Message, Quantity, message

__all__ = ["AGES", "tap_water"]

_DAY: Final = 86400.0
AGES: Final = (_DAY, 3 * _DAY, WEEK, 2 * WEEK, 4 * WEEK, 8 * WEEK, 13 * WEEK, 26 * WEEK, 52 * WEEK)
"""Ages of the lining for which a pH is told. [s]"""
_KEPT_AT: Final = (WEEK, 4 * WEEK, 13 * WEEK, 26 * WEEK)
_MOST_PLACES: Final = 400
"""So many places are told of."""
_NODES: Final = 40
"""Uptakes of lime for which the equilibrium is solved; the others are read between them."""
_BICARBONATE: Final = 50e-3
"""Dose that a report of the field trials names. [kg/m3]"""
_BICARBONATE_MOLAR: Final = 0.0840066
_SODIUM_MOLAR: Final = 0.02298977


def _pieces(job: Job, stretches: Sequence[LinedStretch]) -> list[Piece]:
    flows = {(row.start, row.end): row.flow for row in job.main}
    return [
        Piece(one.start, one.end, one.bore_lined or one.bore_clean, flows.get((one.start, one.end)), one.bore_lined is not None)
        for one in stretches
    ]


def _places(job: Job, pieces: Sequence[Piece], direction: Direction) -> dict[float, tuple[str, ...]]:
    """Return where the water is told of, with the connections there: each connection, and the end that the water runs to."""
    found: dict[float, tuple[str, ...]] = {}
    for service in job.services:
        if pieces[0].start <= service.chainage <= pieces[-1].end:
            found[service.chainage] = (*found.get(service.chainage, ()), service.ref or f"{service.chainage:g}")
    last = pieces[-1].end if direction == "increasing" else pieces[0].start
    found.setdefault(last, ())
    every = sorted(found)
    step = max(len(every) / _MOST_PLACES, 1.0)
    # On a main with very many connections some are left out, evenly; its last place and those with lead never are.
    lead = {service.chainage for service in job.services if service.material == "lead"}
    kept = {every[int(k * step)] for k in range(math.ceil(len(every) / step))} | {last} | (lead & found.keys())
    return {place: found[place] for place in sorted(kept)}


class _Water:
    """One water and one cement: lime to pH and back."""

    def __init__(self, water: WaterAnalysis, cement: Cement) -> None:
        law = release_law(cement)
        self.water, self.cement = water, cement
        self.rate, self.exponent = law["rate"], law["exponent"]
        name = None if water.alkalinity is None else alkalinity_class(water.alkalinity)
        self.name: AlkalinityClass = name or "to_10"
        self.limit = self._lime(value("water", "ph_high").value)
        self.lead = self._lime(value("water", "lead_ph").value)

    def _lime(self, ph: float) -> float:
        return float(lime_to_ph(water_rows([self.water]), ph)[0]) * water_mass(self.water)

    @property
    def answers(self) -> bool:
        """Whether this water has an answer at all."""
        return not math.isnan(self.limit) and not math.isnan(self.lead)

    def over(self, course: Course, lime: float) -> tuple[float, float, float] | None:
        """Return how long the lime at a place stays over a given one: low, middle, high. [s]."""
        if not lime > 0.0 or not course.lime > 0.0 or math.isinf(lime):
            return None
        middle = WEEK * math.pow(course.lime / lime, 1.0 / self.exponent)
        return duration(middle, name=self.name if lime == self.limit else "to_10")


@dataclass(frozen=True, slots=True)
class _Line:
    """The main as the water runs through it: pieces, the places that are told of with their connections, the way of the water."""

    pieces: tuple[Piece, ...]
    starts: tuple[float, ...]
    places: dict[float, tuple[str, ...]]
    direction: Direction | None
    night: float | None

    def courses(self, *, share: float, rate: float) -> list[Course | None]:
        """Return the water at each place; None at all of them where the way of the water is not known."""
        if self.direction is None:
            return [None] * len(self.places)
        return course_of_water(self.pieces, at=list(self.places), direction=self.direction, share=share, extra=0.0, rate=rate)

    def standing(self, place: float, rate: float) -> Course:
        """Return the water that has stood at a place for long."""
        home = min(max(bisect_right(self.starts, place) - 1, 0), len(self.pieces) - 1)
        piece = self.pieces[home]
        return Course(rate * 0.1 / piece.bore if piece.lined else 0.0, math.inf)

    def worst(self, known: _Water) -> tuple[float, float, float] | None:
        """Return the longest time over the limit at any place under the least flow; standing where no flow is known."""
        least = 1.0 if self.night is None else self.night
        found = [one for one in self.courses(share=least, rate=known.rate) if one is not None]
        found = found or [self.standing(place, known.rate) for place in self.places]
        return max((time for one in found if (time := known.over(one, known.limit)) is not None), default=None)


def tap_water(job: Job, stretches: Sequence[LinedStretch]) -> TapWater | None:
    """Return what the fresh lining does to the water along the main, None without an analysis that has an answer.

    Parameters
    ----------
    job : Job
        The job: its water, flows and connections. [-]
    stretches : sequence of LinedStretch
        The main as it is lined. [-]

    Returns
    -------
    TapWater or None
        By day at the flows of the job, by night at the share that it names, and standing; all linings of one age.
    """
    if job.water is None or job.water.alkalinity is None or all(one.bore_lined is None for one in stretches):
        return None
    asked = job.giving_back or GivingBack()
    known = _Water(job.water, asked.cement or "portland")
    if not known.answers:
        return None
    pieces = tuple(_pieces(job, stretches))
    direction = flow_direction(pieces)
    line = _Line(
        pieces, tuple(piece.start for piece in pieces), _places(job, pieces, direction or "increasing"), direction, asked.night_share
    )
    found: list[tuple[float, str, Course]] = []
    for case, share in (("day", 1.0), *((("night", line.night),) if line.night is not None else ())):
        courses = line.courses(share=share, rate=known.rate)
        found += [(place, case, course) for place, course in zip(line.places, courses, strict=True) if course is not None]
    found += [(place, "standing", line.standing(place, known.rate)) for place in line.places]
    found.sort(key=lambda one: one[:2])
    return TapWater(
        cement=known.cement,
        direction=direction,
        taps=_taps(known, line, found),
        keeping=_keeping(known, line),
        alternatives=_alternatives(job.water, known, line),
        tell=_tell(job),
        sources=(value("leaching", "rate").source, value("water", "ph_high").source, value("water", "lead_ph").source),
    )


def _taps(known: _Water, line: _Line, found: Sequence[tuple[float, str, Course]]) -> tuple[TapForecast, ...]:
    """Return the places with their pH at each age, worked out for all of them at once."""
    limes = [[lime_at(course, age=age, exponent=known.exponent) for age in AGES] for _, _, course in found]
    at = _ph_of(known.water, sorted({lime for row in limes for lime in row}))
    return tuple(
        TapForecast(
            chainage=place,
            refs=line.places[place],
            case=case,
            stay=None if case == "standing" else course.stay,
            series=tuple(TapPh(age, *at[lime]) for age, lime in zip(AGES, row, strict=True)),
            over_limit=known.over(course, known.limit),
            over_lead=known.over(course, known.lead),
        )
        for (place, case, course), row in zip(found, limes, strict=True)
    )


def _ph_of(water: WaterAnalysis, limes: Sequence[float]) -> dict[float, tuple[float, float]]:
    """Return the pH at each uptake of lime, ascending: worked out at a few and read between them, straight in the logarithm, to 0.01."""
    if len(limes) <= _NODES or not limes[0] > 0.0:
        return dict(zip(limes, ph_after_lime(water, limes), strict=True))
    step = math.log(limes[-1] / limes[0]) / (_NODES - 1)
    nodes = [limes[0] * math.exp(step * k) for k in range(_NODES)]
    told = ph_after_lime(water, nodes)
    found = {}
    for lime in limes:
        place = min(math.log(lime / limes[0]) / step, _NODES - 1.0)
        k = min(int(place), _NODES - 2)
        low, high = (tuple(told[k + side]) for side in (0, 1))
        found[lime] = (low[0] + (place - k) * (high[0] - low[0]), low[1] + (place - k) * (high[1] - low[1]))
    return found


def _keeping(known: _Water, line: _Line) -> tuple[Keeping, ...]:
    """Return what keeps the whole main under the limit, at several ages: a flow at the end, or a change of standing water so often."""
    scale = value("leaching", "stay_scale").value
    narrow = min(piece.bore for piece in line.pieces if piece.lined)
    found = []
    for age in _KEPT_AT:
        rate = known.rate * math.pow(age / WEEK, -known.exponent)
        share = known.limit / (rate * 0.1 / narrow)
        bleed = None
        if line.direction is not None:
            bleed = bleed_to_keep(
                line.pieces,
                at=list(line.places),
                direction=line.direction,
                share=1.0 if line.night is None else line.night,
                rate=rate,
                most=known.limit,
            )
        found.append(Keeping(age, bleed, math.inf if share >= 1.0 else -scale * math.log1p(-share)))
    return tuple(found)


def _alternatives(water: WaterAnalysis, known: _Water, line: _Line) -> tuple[Alternative, ...]:
    """Return other ways, with what each does to the worst place under the least flow."""
    charge = _BICARBONATE / _BICARBONATE_MOLAR
    rich = _Water(
        replace(water, alkalinity=(water.alkalinity or 0.0) + charge, sodium=(water.sodium or 0.0) + charge * _SODIUM_MOLAR), known.cement
    )
    dose = Quantity(_BICARBONATE, "mg_l", 0)
    return (
        Alternative("as_planned", message("As planned."), line.worst(known)),
        Alternative(
            "slag_cement",
            message("Slag cement (65 % slag): about 0.4 lower in pH in the first weeks, and a shorter time; in very soft water not enough alone."),
            line.worst(_Water(water, "slag")),
        ),
        Alternative(
            "bicarbonate",
            message("Sodium bicarbonate dosed, {dose}: raises the alkalinity as long as it is dosed; costly, the authority's leave first.", dose=dose),
            line.worst(rich) if rich.answers else None,
        ),
        Alternative(
            "carbon_dioxide",
            message("Carbon dioxide through the cured lining before it is filled: turns the lime at the surface to calcite. Done in works; no number for it in place could be read."),
            None,
        ),
        Alternative("not_lining", message("No cement lining: another lining or a new pipe, where none of these is enough."), None),
    )  # fmt: skip


def _tell(job: Job) -> tuple[Message, ...]:
    lead = [service.ref or f"{service.chainage:g}" for service in job.services if service.material == "lead"]
    unknown = sum(service.material is None for service in job.services)
    found = [
        message("Dialysis patients, clinics and the health authority: before every change of supply, whatever the alkalinity. A pipe record knows no home patient."),
        message("Keepers of fish: aquaria and ponds bear neither the chlorine nor the pH of the first weeks."),
    ]  # fmt: skip
    if lead or unknown:
        found.append(
            message(
                "Lead service pipes ({lead}; material not known: {n}): above pH {ph} lead dissolves. Change them first, or flush each tap and sample it until the pH is down.",
                lead=", ".join(lead) or "-",
                n=unknown,
                ph=Quantity(value("water", "lead_ph").value, "-", 1),
            )
        )
    aluminium = table("water").find(key="over_aluminium", **{"class": "to_10"})
    if aluminium is not None:
        found.append(
            message(
                "Aluminium is not worked out here. Field trials saw it over {limit} for {low} to {high} at about 10 mg/l of alkalinity, and under it by the eighth day at 22: sample it with the pH.",
                limit=Quantity(value("water", "aluminium").value, "mg_l", 1),
                low=Quantity(aluminium.published.low or 0.0, "weeks", 0),
                high=Quantity(aluminium.published.high or 0.0, "weeks", 0),
            )
        )
    if any(service.use in ("school", "hospital") for service in job.services):
        found.append(
            message("Schools and hospitals: written notice to the person who runs the house water, and taps run before they open again.")
        )
    return tuple(found)
