"""What a run may not do: every limit by name, what a run needs of it, and what there is."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import product
from typing import Final, NamedTuple

from mainwright.job.job import Job
from mainwright.job.plant import LiningHead
from mainwright.plan.layout.candidates import ANGLE_SLACK, LENGTH_SLACK, Candidate
from mainwright.plan.lining import Equipment
from mainwright.plan.placing import Linings
from mainwright.plan.result import Direction
from mainwright.science.bore.volume import content
from mainwright.words.message import Message, Quantity, message

__all__ = [
    "LIMITS",
    "Breach",
    "Limit",
    "Line",
    "Relaxed",
    "breaches",
    "by_pull",
    "by_times",
    "equipment_sets",
    "limit_text",
    "over",
    "size_after",
    "usable_length",
]


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit: name, display unit of its value (empty where it has none), and what is said of a run that stops at it.

    Attributes
    ----------
    text
        With ``{need}`` and ``{limit}`` where the limit has a value.
    """

    name: str
    unit: str
    text: str


LIMITS: Final = (
    Limit("opening", "", "something has to come out here: no run may pass"),
    Limit("dn_change", "", "the nominal size changes here"),
    Limit("lining_head", "", "no lining head of the plant is made for this size"),
    Limit("bore_step", "mm", "the bore steps by {need}; a run may hold steps up to {limit}"),
    Limit("max_bend", "deg", "a bend of {need} would lie inside; the head passes {limit}"),
    Limit("max_bends_total", "deg", "the bends inside would add up to {need}; allowed are {limit}"),
    Limit("max_length", "m", "the run would be {need} long; allowed are {limit}"),
    Limit("hose_length", "m", "the run would be {need} long; the hose reaches {limit}"),
    Limit("rope_length", "m", "the run would be {need} long; the rope has {limit}"),
    Limit("rope_pull", "kn", "the rope would have to pull {need}; its working load is {limit}"),
    Limit("hose_pressure", "bar", "the whole hose would need {need} at the pump; allowed are {limit}"),
    Limit("hose_residence", "minutes", "the mortar would be {need} in the hose; it can be used for {limit}"),
    Limit("connections", "per_hour", "the connections would have to be cleared at {need}; the crew clears {limit}"),
    Limit("shift", "hours", "set-up, lining, clearing and closing would take {need}; the shift has {limit}"),
)
"""Every limit, in the order in which one that governs is named."""

_BY_NAME: Final = {limit.name: limit for limit in LIMITS}
_RELATIVE_SLACK: Final = 1e-9


class Breach(NamedTuple):
    """A limit that a run does not keep: what the run needs and what there is, in SI; both infinite or zero where it has no value."""

    limit: str
    need: float
    have: float


@dataclass(frozen=True, slots=True)
class Relaxed:
    """One limit raised: it is at least `value` wherever it stands at `least` or more. For connections the crew's rate is.

    Of several hoses only the longest is made longer so: a spare one that grew with it would be another plant.
    """

    name: str
    value: float
    least: float = 0.0


@dataclass(frozen=True, slots=True)
class Line:
    """The candidates with what the limits ask of them, and how runs are lined.

    Attributes
    ----------
    sets
        Equipment that may do a run, in the order in which it is tried.
    closing
        Longest time that a connection may be off the main; None where only the shift counts. [s]
    """

    job: Job
    linings: Linings
    candidates: tuple[Candidate, ...]
    sets: tuple[Equipment, ...]
    relaxed: Relaxed | None = None
    closing: float | None = None

    def raised(self, name: str, value: float) -> float:
        """Return a limit, raised where it is the one that is."""
        if self.relaxed is not None and self.relaxed.name == name and value >= self.relaxed.least:
            return max(value, self.relaxed.value)
        return value

    def bend_limit(self, head: LiningHead | None) -> float:
        """Return the greatest single bend inside a run: the smaller of the job's and the head's. [rad]."""
        own = self.job.runs.max_bend
        return self.raised("max_bend", own if head is None or head.bend_max is None else min(own, head.bend_max))


def usable_length(equipment: Equipment) -> float:
    """Return how long a run the hose allows, endless without one. [m]."""
    return math.inf if equipment.hose is None else equipment.hose.length - equipment.hose.dead_length


def equipment_sets(job: Job, sizes: Iterable[int]) -> tuple[Equipment, ...]:
    """Return what of the plant may do a run, in the order in which it is tried.

    Parameters
    ----------
    job : Job
        The job. [-]
    sizes : iterable of int
        Nominal sizes of the main. [-]

    Returns
    -------
    tuple of Equipment
        Every combination of pump, hose, head and rope: the hose that holds least mortar first, then in the order of ``plant.toml``. A
        self-propelled head needs no rope. The mixer is the first that keeps up with the pump, or the one that keeps up longest.
    """
    plant = job.plant
    sizes = set(sizes)
    pumps = plant.pumps or (None,)
    hoses = sorted(plant.hoses, key=lambda hose: content(bore=hose.bore, length=hose.length)) or (None,)
    heads = [head for head in plant.heads if any(head.dn_from <= dn <= head.dn_to for dn in sizes)] or (None,)
    sets = []
    for hose, pump, head in product(hoses, pumps, heads):
        ropes = plant.ropes if plant.ropes and (head is None or head.kind == "winched") else (None,)
        mixer = None
        if plant.mixers:
            flow = 0.0 if pump is None else pump.flow
            mixer = next((one for one in plant.mixers if one.batch / one.cycle >= flow * (1.0 - _RELATIVE_SLACK)), None)
            mixer = mixer or max(plant.mixers, key=lambda one: (one.batch / one.cycle, one.hopper))
        sets += [Equipment(pump, hose, head, rope, mixer) for rope in ropes]
    return tuple(sets)


def limit_text(breach: Breach) -> Message:
    """Return what is said of a limit that a run does not keep; it stands within a sentence."""
    limit = _BY_NAME[breach.limit]
    if limit.unit:
        return message(limit.text, need=Quantity(breach.need, limit.unit), limit=Quantity(breach.have, limit.unit))
    return message(limit.text)


def over(need: float, have: float) -> bool:
    """Return whether more is needed than there is, by more than binary numbers round.

    Parameters
    ----------
    need, have : float
        In one unit. [any]

    Returns
    -------
    bool
        Never at the limit itself.
    """
    return need > have * (1.0 + _RELATIVE_SLACK)


def breaches(line: Line, start: int, end: int, equipment: Equipment, direction: Direction) -> tuple[Breach, ...]:
    """Return every limit that a run does not keep, in the order of `LIMITS`.

    Parameters
    ----------
    line : Line
        The candidates and the job. [-]
    start, end : int
        Candidates at the ends of the run. [-]
    equipment : Equipment
        What does it. [-]
    direction : str
        Way of the head. [-]

    Returns
    -------
    tuple of Breach
        Empty where the run is allowed.
    """
    found = _along(line, start, end, equipment)
    # What lies over a size or outside every head is not reckoned further: there is nothing to line it with.
    if any(breach.limit in ("dn_change", "lining_head") for breach in found):
        return tuple(found)
    return (
        *found,
        *by_pull(line, start, end, equipment, direction),
        *by_times(line, start, end, equipment, direction),
    )


def _along(line: Line, start: int, end: int, equipment: Equipment) -> list[Breach]:
    """Return the limits that follow from what lies inside a run, and from its length."""
    inner = line.candidates[start + 1 : end]
    length = line.candidates[end].chainage - line.candidates[start].chainage
    found = []
    if any(one.must for one in inner):
        found.append(Breach("opening", 0.0, 0.0))
    if any(one.dn_change for one in inner):
        found.append(Breach("dn_change", 0.0, 0.0))
    head = equipment.head
    dn = size_after(line, start)
    if line.job.plant.heads and (head is None or not head.dn_from <= dn <= head.dn_to):
        found.append(Breach("lining_head", 0.0, 0.0))
    step = max((one.bore_step for one in inner), default=0.0)
    if step > (have := line.raised("bore_step", line.job.runs.bore_step_max)) + LENGTH_SLACK:
        found.append(Breach("bore_step", step, have))
    bends = [bend for one in inner for bend in one.bends]
    if max(bends, default=0.0) > (have := line.bend_limit(head)) + ANGLE_SLACK:
        found.append(Breach("max_bend", max(bends), have))
    if (total := math.fsum(bends)) > (have := line.raised("max_bends_total", line.job.runs.max_bends_total)) + ANGLE_SLACK:
        found.append(Breach("max_bends_total", total, have))
    lengths = (
        ("max_length", math.inf if line.job.runs.max_length is None else line.job.runs.max_length),
        ("hose_length", usable_length(equipment)),
        ("rope_length", math.inf if equipment.rope is None else equipment.rope.length),
    )
    for name, have in lengths:
        if length > (have := line.raised(name, have)) + LENGTH_SLACK:
            found.append(Breach(name, length, have))
    return found


def size_after(line: Line, start: int) -> int:
    """Return the nominal size of a run that begins at a candidate."""
    index, _, _ = line.linings.pieces(line.candidates[start].chainage, line.candidates[start + 1].chainage)[0]
    return line.linings.host.lengths[index].dn


def by_pull(line: Line, start: int, end: int, equipment: Equipment, direction: Direction) -> tuple[Breach, ...]:
    """Return the breach of the rope's working load, if the run has one. What lies inside a run pulls no more than the run."""
    rope = equipment.rope
    if rope is None:
        return ()
    low, high = line.candidates[start].chainage, line.candidates[end].chainage
    pull = line.linings.pull(low, high, equipment, direction)
    have = line.raised("rope_pull", rope.breaking / rope.safety)
    return (Breach("rope_pull", pull, have),) if pull is not None and over(pull, have) else ()


def by_times(line: Line, start: int, end: int, equipment: Equipment, direction: Direction) -> list[Breach]:
    """Return the limits that follow from flow and times: pressure and stay in the hose, connections, and the shift."""
    low, high = line.candidates[start].chainage, line.candidates[end].chainage
    linings = line.linings
    demand = linings.demand(low, high, equipment, direction)
    found: list[Breach] = []
    if over(demand.pressure, have := line.raised("hose_pressure", demand.pressure_limit)):
        found.append(Breach("hose_pressure", demand.pressure, have))
    if over(demand.stay, have := line.raised("hose_residence", linings.day.usable)):
        found.append(Breach("hose_residence", demand.stay, have))
    occupied = demand.occupied
    given = line.job.plant.clearing_rate
    if given is not None and demand.rate > 0.0:
        rate = line.raised("connections", given)
        if over(demand.rate, rate):
            found.append(Breach("connections", demand.rate, rate))
        if rate != given:
            occupied = linings.occupied(low, high, equipment, direction, rate)
    if over(occupied, have := line.raised("shift", line.job.shift.length)):
        found.append(Breach("shift", occupied, have))
    elif line.closing is not None and demand.customers and over(demand.coats * occupied, line.closing):
        found.append(Breach("shift", demand.coats * occupied, line.closing))
    return found
