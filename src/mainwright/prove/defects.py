"""What is wrong along a run, as objects: thin, bare, thick and silent lengths with their likely cause, and the remedy with its quantities."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from mainwright.plan.result import Run
from mainwright.prove.as_lined import AsLined
from mainwright.prove.causes import events_there, likely_causes
from mainwright.prove.scans import ScanProof
from mainwright.prove.thickness import Laid
from mainwright.science.bore.ring import ring_area
from mainwright.words.message import Message, Quantity, message

__all__ = ["LONGEST_PATCH", "REACH", "Defect", "Remedy", "find_defects", "scan_defects"]

Remedy = Literal["hand_patch", "second_coat", "line", "reline", "measure", "look"]

REACH: Final = 1.5
"""By hand from an opening so far; an assumption. [m]"""

LONGEST_PATCH: Final = 1.0
"""A longer patch is no patch; an assumption. [m]"""


@dataclass(frozen=True, slots=True)
class Defect:
    """One length that is not as it was asked.

    Attributes
    ----------
    kind
        ``thin``, ``bare`` (nothing lies there), ``thick`` (over the maximum), ``silent`` (no readings).
    start, end
        Chainage. [m]
    worst
        Least thickness of a thin length, greatest of a thick one; None where nothing is known. [m]
    depth
        By how much that misses what was asked. [m]
    causes
        Likely ones, from the events and readings of the run; the first is the most likely.
    remedy, text
        What is proposed; the client agrees first.
    area, mortar
        Wall to be treated [m2], and mortar to be mixed for it [m3]; None where the remedy needs none.
    by
        What shows it: the readings of odometer and pump, as the mean of the ring, or the ring scans, where it lies on the clock.
    clock_start, clock_end
        Outer edges of what the scans show, clockwise; None by the readings. [hours of the clock]
    """

    kind: Literal["thin", "bare", "thick", "silent"]
    start: float
    end: float
    worst: float | None
    depth: float | None
    causes: tuple[Message, ...]
    remedy: Remedy
    text: Message
    area: float | None
    mortar: float | None
    by: Literal["readings", "scan"] = "readings"
    clock_start: float | None = None
    clock_end: float | None = None

    @property
    def length(self) -> float:
        """Length along the main. [m]."""
        return self.end - self.start


def find_defects(lined: AsLined, laid: Laid) -> tuple[Defect, ...]:
    """Return what is not as it was asked along one run, in order of chainage.

    Parameters
    ----------
    lined : AsLined
        The run. [-]
    laid : Laid
        What lies in it by its readings. [-]

    Returns
    -------
    tuple of Defect
        Lengths that touch and are of one kind are one.
    """
    found = []
    for kind, first, last in _spans(lined, laid):
        low, high = laid.chainages[first] - 0.5 * laid.width, laid.chainages[last] + 0.5 * laid.width
        values = laid.thicknesses[first : last + 1]
        worst = max(values) if kind == "thick" else min(values)
        asked = [lined.asked(chainage) for chainage in laid.chainages[first : last + 1]]
        limits = [one.maximum for one in asked if one.maximum is not None] if kind == "thick" else [one.minimum for one in asked]
        causes = likely_causes(lined, low, high)
        if kind == "bare":
            causes = (message("the head never passed here by its readings"), *causes)
        remedy, text, mortar = _remedy(lined, kind, low=low, high=high, values=values, laid=laid, first=first)
        area = None if remedy in ("measure", "look") else math.pi * asked[0].bore_clean * (high - low)
        depth = worst - min(limits) if kind == "thick" else max(limits) - worst
        found.append(Defect(kind, low, high, worst, depth, causes, remedy, text, area, mortar))
    for gap in laid.gaps:
        text = message("Look at what lies there: by gauge from both ends, by camera, by scan; the record says nothing of it.")
        found.append(
            Defect(
                "silent",
                gap.start,
                gap.end,
                None,
                None,
                (gap.why, *events_there(lined, gap.start, gap.end)),
                "measure",
                text,
                None,
                None,
            )
        )
    return tuple(sorted(found, key=lambda one: (one.start, one.end, one.kind)))


def _spans(lined: AsLined, laid: Laid) -> list[tuple[Literal["thin", "bare", "thick"], int, int]]:
    found: list[tuple[Literal["thin", "bare", "thick"], int, int]] = []
    for place, (chainage, value) in enumerate(zip(laid.chainages, laid.thicknesses, strict=True)):
        asked = lined.asked(chainage)
        kind: Literal["thin", "bare", "thick"] | None = None
        if value < asked.minimum:
            kind = "bare" if value <= 0.0 else "thin"
        elif asked.maximum is not None and value > asked.maximum:
            kind = "thick"
        if kind is None:
            continue
        if found and found[-1][0] == kind and found[-1][2] == place - 1:
            found[-1] = (kind, found[-1][1], place)
        else:
            found.append((kind, place, place))
    return found


def _remedy(
    lined: AsLined, kind: Literal["thin", "bare", "thick"], *, low: float, high: float, values: Sequence[float], laid: Laid, first: int
) -> tuple[Remedy, Message, float | None]:
    if kind == "thick":
        return "look", message("Look by camera whether connections are free and the bore is enough; nothing is added here."), None
    efficiency, waste = lined.job.lining.deposit_efficiency, 1.0 + lined.job.mortar.waste
    mortar, thickest = 0.0, 0.0
    over = False
    for place, value in enumerate(values, start=first):
        asked = lined.asked(laid.chainages[place])
        aim = asked.aim if asked.aim is not None else asked.nominal
        missing = ring_area(thickness=aim, bore=asked.bore_clean) - ring_area(thickness=min(max(value, 0.0), aim), bore=asked.bore_clean)
        thickest = max(thickest, aim - max(value, 0.0))
        mortar += missing * laid.width / efficiency * waste
        # A coat is one thickness over its length: where the length has both thin and better places, those get it too. At its edges it can end.
        edge = len(values) > 2 and place in (first, first + len(values) - 1)
        over = over or (not edge and asked.maximum is not None and value + aim - min(values) > asked.maximum)
    if kind == "bare" and not _by_hand(lined.run, low, high):
        return "line", message("Line the {length} that the head did not reach.", length=Quantity(high - low, "m", 1)), mortar
    return (*_treatment(lined, low, high, thickest=thickest, over=over), mortar)


def scan_defects(lined: AsLined, scan: ScanProof) -> tuple[Defect, ...]:
    """Return the thin areas of one run by its ring scans, with the same causes and remedies as those of its readings.

    Parameters
    ----------
    lined : AsLined
        The run. [-]
    scan : ScanProof
        The run by its scans. [-]

    Returns
    -------
    tuple of Defect
        One for each thin area, in order of chainage. By hand the area alone is filled up to the aim; a further coat goes all round on what lies there.
    """
    job, run = lined.job, lined.run
    found = []
    for area in scan.thin:
        low, high = max(area.start, run.start), min(area.end, run.end)
        asked = lined.asked(0.5 * (low + high))
        aim = asked.aim if asked.aim is not None else asked.nominal
        coat = aim - max(area.minimum, 0.0)
        around = [one.p50 for one in scan.metres if one.p50 is not None and one.chainage < high and one.chainage + 1.0 > low]
        lies = sum(around) / len(around) if around else aim
        remedy, text = _treatment(lined, low, high, thickest=coat, over=asked.maximum is not None and lies + coat > asked.maximum)
        waste = 1.0 + job.mortar.waste
        if remedy == "hand_patch":
            treated, mortar = area.area, area.area * coat * waste
        else:
            base = 0.0 if remedy == "reline" else lies
            ring = ring_area(thickness=aim if remedy == "reline" else lies + coat, bore=asked.bore_clean) - ring_area(
                thickness=base, bore=asked.bore_clean
            )
            treated = math.pi * asked.bore_clean * (high - low)
            mortar = ring * (high - low) / job.lining.deposit_efficiency * waste
        found.append(
            Defect(
                kind="bare" if area.minimum <= 0.0 else "thin",
                start=low,
                end=high,
                worst=area.minimum,
                depth=asked.minimum - area.minimum,
                causes=likely_causes(lined, low, high),
                remedy=remedy,
                text=text,
                area=treated,
                mortar=mortar,
                by="scan",
                clock_start=area.clock_start,
                clock_end=area.clock_end,
            )
        )
    return tuple(found)


def _by_hand(run: Run, low: float, high: float) -> bool:
    return high - low <= LONGEST_PATCH and (low - run.start <= REACH or run.end - high <= REACH)


def _treatment(lined: AsLined, low: float, high: float, *, thickest: float, over: bool) -> tuple[Remedy, Message]:
    """Return what to do with a length that lacks so much, and says it; ``over`` where a further coat would pass the maximum."""
    length = Quantity(high - low, "m", 1)
    if _by_hand(lined.run, low, high):
        return "hand_patch", message("Patch by hand from the opening over {length}.", length=length)
    if over:
        text = "Take the lining out over {length} and line again: a second coat would pass the maximum at its better places."
        return "reline", message(text, length=length)
    most = [
        one.lining.single_coat_max for one in lined.host if one.start < high and one.end > low and one.lining.single_coat_max is not None
    ]
    count = math.ceil(thickest / min(most) - 1e-9) if most else 1
    if count > 1:
        text = "{count} further {count:coat/coats} over {length}, none over {most}, the head drawn there without spraying; bond and waiting time as the document says."
        return "second_coat", message(text, count=count, length=length, most=Quantity(min(most), "mm", 1))
    text = "Second coat over {length}, the head drawn there without spraying; bond and waiting time as the document says."
    return "second_coat", message(text, length=length)
