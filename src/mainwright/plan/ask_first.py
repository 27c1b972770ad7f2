"""What to find out first: each weak record by the chance that it is wrong times what that costs, against what finding out costs."""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp
from types import MappingProxyType
from typing import Final

from mainwright.job.job import Job
from mainwright.job.survey import Feature, Ground
from mainwright.plan.host import Host, HostStretch
from mainwright.plan.layout.money import PRICED_COVER
from mainwright.plan.result import AskFirst
from mainwright.plan.wall_state import lining_kind
from mainwright.standards.published import table, value
from mainwright.standards.source import Assumed
from mainwright.words.message import Message, Quantity, message

__all__ = ["ask_first", "chance_names", "chances_assumed"]

_STOPS_THE_HEAD: Final = ("bend", "tee", "cross", "reducer", "meter", "check_valve", "butterfly_valve", "gate_valve")
_VALVES: Final = ("gate_valve", "butterfly_valve")
_AT_AN_OPENING: Final = 0.5
"""A record nearer than this to a planned opening is seen there anyway. [m]"""

_FREE: Final = 0.0
"""What a telephone call, a walk with a valve key or a look into a drawer costs, against a hole, in the job's currency."""


@dataclass(frozen=True, slots=True)
class _Weak:
    """A weak record: which chance, how often (per record or per kilometre), what it costs, what asking costs."""

    chance: str
    subject: Message
    chainage: float | None
    count: float
    consequence: float | None
    cost_of_asking: float | None


def chance_names() -> tuple[str, ...]:
    """Return the names of the chances that a network's own rates may replace."""
    return tuple(row.text("key") for row in table("weak_records").rows)


def ask_first(
    job: Job, host: Host, *, openings: Sequence[float] = (), chances: Mapping[str, float] = MappingProxyType({})
) -> tuple[AskFirst, ...]:
    """Return the weak records of a job, the dearest uncertainty first.

    Parameters
    ----------
    job : Job
        The job with its prices. [-]
    host : Host
        Its main, resolved. [-]
    openings : sequence of float
        Chainages where the road is opened anyway: a fitting there needs no hole of its own. [m]
    chances : mapping of str to float
        Chances of the own network, by name, in place of the assumed ones. [-]

    Returns
    -------
    tuple of AskFirst
        By expected cost, greatest first; what has no price comes last, the likeliest error first. For several alike records
        ``probability`` is that of one and ``consequence`` what all of them cost together.

    Notes
    -----
    Dig where chance times cost is more than the hole. What can be found out without a hole (a telephone call, a valve key) is
    reckoned as free. Rates are assumptions: `chances_assumed` lists them.
    """
    found = [_valued(weak, chances) for weak in _weak(job, host, openings)]
    return tuple(
        sorted(
            found, key=lambda one: (one.expected is None, -(one.expected or 0.0), -one.probability, one.chainage or 0.0, one.subject.text)
        )
    )


def chances_assumed(
    job: Job, host: Host, *, openings: Sequence[float] = (), chances: Mapping[str, float] = MappingProxyType({})
) -> tuple[Assumed, ...]:
    """Return the assumed chances that `ask_first` used for this job.

    Parameters
    ----------
    job : Job
        The job. [-]
    host : Host
        Its main, resolved. [-]
    openings : sequence of float
        As for `ask_first`. [m]
    chances : mapping of str to float
        As for `ask_first`; these are not assumed. [-]

    Returns
    -------
    tuple of Assumed
        One for each chance, in the order of the table.
    """
    used = {weak.chance for weak in _weak(job, host, openings)} - set(chances)
    return tuple(
        Assumed(
            f"chance.{row.text('key')}",
            row.published.value,
            "",
            message(
                "Chance that a record is wrong, to rank what to find out first: {what}. An allowance without a source.",
                what=row.published.note,
            ),
        )
        for row in table("weak_records").rows
        if row.text("key") in used
    )


def _valued(weak: _Weak, chances: Mapping[str, float]) -> AskFirst:
    rate = chances.get(weak.chance, value("weak_records", weak.chance).value)
    by_length = weak.chance == "unrecorded_fitting"
    chance = 1.0 - exp(-rate * weak.count) if by_length else rate
    wrongs = rate * weak.count if by_length else rate
    expected = None if weak.consequence is None else wrongs * weak.consequence
    asking = weak.cost_of_asking
    worth = None if expected is None or asking is None else expected > asking
    return AskFirst(weak.subject, weak.chainage, chance, weak.consequence, expected, asking, worth)


class _Costs:
    """What things cost in this job, in its currency; None where a price is missing."""

    def __init__(self, job: Job) -> None:
        self._rates = {price.item: price.rate for price in reversed(job.prices) if price.rate is not None}
        self._ground = sorted(job.ground, key=lambda row: row.start)
        self._starts = [row.start for row in self._ground]

    def rate(self, item: str) -> float | None:
        return self._rates.get(item)

    def _over(self, chainage: float) -> list[Ground]:
        """Return what may lie over the main there: one row, two at a joint, none where the file is silent."""
        after = bisect_right(self._starts, chainage)
        return [row for row in self._ground[max(0, after - 2) : after] if row.end >= chainage]

    def opening(self, chainage: float) -> float | None:
        """Return the price of an opening there, None where the surface is not known, has no price, or may not be dug."""
        costs = []
        for row in self._over(chainage):
            rate = None if row.surface is None or row.dig is False else self.rate(f"opening_{row.surface}")
            if rate is not None:
                extra = max(0.0, (row.cover or 0.0) - PRICED_COVER)
                costs.append(rate + extra * (self.rate("opening_extra_depth") or 0.0))
        return min(costs) if costs else None

    def hole(self, chainage: float) -> float | None:
        """Return what looking there costs: a trial hole at its own price, or an opening."""
        rows = self._over(chainage)
        if rows and all(row.dig is False for row in rows):
            return None
        own = self.rate("trial_hole")
        return own if own is not None else self.opening(chainage)

    def obstruction(self, chainage: float) -> float | None:
        """Return what an obstruction costs: its own price, or one more opening and one more run."""
        own = self.rate("obstruction")
        return own if own is not None else _sum(self.opening(chainage), self.rate("set_up_run"))

    def lost_day(self) -> float | None:
        """Return what a run that cannot start costs: its set-up, and the day's traffic where that has a price."""
        set_up = self.rate("set_up_run")
        return None if set_up is None else set_up + (self.rate("traffic_day") or 0.0)

    def burst(self, stretch: HostStretch) -> float | None:
        """Return what a pipe that breaks in cleaning costs: an opening, a run, and one pipe length relaid where that has a price."""
        relaid = (self.rate(f"new_pipe_dn{stretch.dn}") or 0.0) * (stretch.row.joint or 0.0)
        return _sum(self.opening((stretch.start + stretch.end) / 2.0), self.rate("set_up_run"), relaid)

    def dug_up(self, places: Sequence[float]) -> float | None:
        """Return what it costs to dig up every one of these connections."""
        return _sum(*(self.opening(place) for place in places))


def _weak(job: Job, host: Host, openings: Sequence[float]) -> list[_Weak]:
    costs = _Costs(job)
    opened = sorted(openings)
    found = [weak for feature in job.features for weak in _of_feature(costs, feature, opened)]
    for stretch in host.stretches:
        found += _of_stretch(costs, stretch)
    found += _of_services(job, costs)
    found += _of_main(job, host, costs)
    return found


def _of_feature(costs: _Costs, feature: Feature, openings: Sequence[float]) -> list[_Weak]:
    found = []
    after = bisect_left(openings, feature.chainage - _AT_AN_OPENING)
    seen_anyway = after < len(openings) and openings[after] <= feature.chainage + _AT_AN_OPENING
    if feature.kind in _STOPS_THE_HEAD and feature.confidence in ("recorded", None) and not seen_anyway:
        chance = "unsaid_fitting" if feature.confidence is None else "recorded_fitting"
        subject = message("{kind} at {chainage}, known from the record only", kind=feature.kind, chainage=_m(feature.chainage))
        found.append(_Weak(chance, subject, feature.chainage, 1.0, costs.obstruction(feature.chainage), costs.hole(feature.chainage)))
    if feature.kind in _VALVES and feature.state is None:
        subject = message("{kind} at {chainage}, not tried", kind=feature.kind, chainage=_m(feature.chainage))
        found.append(_Weak("untried_valve", subject, feature.chainage, 1.0, costs.lost_day(), _FREE))
    return found


def _of_stretch(costs: _Costs, stretch: HostStretch) -> list[_Weak]:
    middle = (stretch.start + stretch.end) / 2.0
    where = {"start": _m(stretch.start), "end": _m(stretch.end)}
    found = []
    if stretch.bore_source in ("table", "dn", "record"):
        chance = "recorded_bore" if stretch.bore_source == "record" else "table_bore"
        subject = message("Bore between {start} and {end}, not measured", **where)
        found.append(_Weak(chance, subject, middle, 1.0, costs.rate("set_up_run"), costs.hole(middle)))
    if stretch.row.wall is None:
        subject = message("Strength of the host between {start} and {end}, no wall known", **where)
        found.append(_Weak("unknown_structure", subject, middle, 1.0, costs.burst(stretch), costs.hole(middle)))
    if stretch.row.deposit is None:
        subject = message("Deposits between {start} and {end}, thickness not known", **where)
        cleaning = costs.rate(f"cleaning_dn{stretch.dn}")
        cost = None if cleaning is None else cleaning * (stretch.end - stretch.start)
        found.append(_Weak("unknown_deposits", subject, middle, 1.0, cost, costs.hole(middle)))
    if lining_kind(stretch.row.existing_lining) == "unknown" and stretch.material in ("grey_iron", "ductile_iron", "steel"):
        subject = message("Coating between {start} and {end}: tar or an older lining?", **where)
        cleaning = costs.rate(f"cleaning_dn{stretch.dn}")
        cost = None if cleaning is None else cleaning * (stretch.end - stretch.start)
        found.append(_Weak("unknown_lining", subject, middle, 1.0, cost, costs.hole(middle)))
    return found


def _of_services(job: Job, costs: _Costs) -> list[_Weak]:
    """Return the connections of unknown state, all alike in one record: a door is knocked at once for all of them."""
    taps = [service.chainage for service in job.services if service.stop_tap is None]
    pipes = [service.chainage for service in job.services if service.material is None or service.size is None]
    found = []
    for chance, places, text in (
        ("untried_tap", taps, "{n} {n:connection/connections}, stop tap not tried"),
        ("unknown_pipe", pipes, "{n} {n:connection/connections}, size or material not known"),
    ):
        if places:
            cost = costs.dug_up(places)
            found.append(_Weak(chance, message(text, n=len(places)), places[0] if len(places) == 1 else None, 1.0, cost, _FREE))
    return found


def _of_main(job: Job, host: Host, costs: _Costs) -> list[_Weak]:
    length = host.end - host.start
    camera = costs.rate("camera")
    middle = (host.start + host.end) / 2.0
    found = [
        _Weak(
            "unrecorded_fitting",
            message("Fittings that no record shows, along {length}: a camera run finds them", length=Quantity(length, "m", 0)),
            None,
            length / 1000.0,
            costs.obstruction(middle),
            None if camera is None else camera * length,
        )
    ]
    if not job.levels:
        subject = message("Heights of the main, not known: low points hold water and slopes change the pull")
        found.append(_Weak("no_level", subject, None, 1.0, costs.lost_day(), _FREE))
    return found


def _sum(*parts: float | None) -> float | None:
    known = [part for part in parts if part is not None]
    return sum(known) if len(known) == len(parts) else None


def _m(chainage: float) -> Quantity:
    return Quantity(chainage, "m", 1)
