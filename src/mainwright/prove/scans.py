"""A run by its ring scans: thickness along the main and thin areas against what was asked, with what two scans cannot see."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from mainwright.plan.result import LinedStretch, Run
from mainwright.prove.verdict import Verdict
from mainwright.science.rings.thin import ThinArea
from mainwright.words.message import Message

__all__ = ["SURE", "ScanProof", "ScannedMetre", "judge_scan", "least_asked"]

SURE: Final = 0.95
"""Confidence, to one side, with which a smallest thickness must be shown; an assumption."""

_SCORE: Final = 1.6448536269514722
"""So many deviations of a normal distribution in hand give it."""


@dataclass(frozen=True, slots=True)
class ScannedMetre:
    """One metre from a whole chainage on: 5 % point, median and least of its cells; None where nothing was read. [m]."""

    chainage: float
    p05: float | None
    p50: float | None
    minimum: float | None


@dataclass(frozen=True, slots=True)
class ScanProof:
    """One run by its scans.

    Attributes
    ----------
    run
        Its id.
    verdict
        ``does_not_meet`` with a thin area, ``incomplete`` where metres are missing or the smallest thickness is too unsure, else ``meets``.
    metres
        Along the main, those of the run.
    mean
        Mean of the medians of the metres; None without any. [m]
    minimum, minimum_deviation
        The smallest cell, and one standard deviation of it with the eccentricity that two scans cannot see. [m]
    unseen, unseen_because
        One standard deviation of that eccentricity [m], and where it comes from.
    thin
        Areas under what was asked where they lie, in order of chainage.
    unread
        Metres of the run without a reading, as chainages. [m]
    """

    run: str
    verdict: Verdict
    metres: tuple[ScannedMetre, ...]
    mean: float | None
    minimum: float | None
    minimum_deviation: float | None
    unseen: float | None
    unseen_because: Message | None
    thin: tuple[ThinArea, ...]
    unread: tuple[float, ...]


def least_asked(run: Run, stretches: Sequence[LinedStretch]) -> float:
    """Return the greatest of the minima that a run has: areas under it are looked for, and each is judged by its own stretch.

    Parameters
    ----------
    run : Run
        The run. [-]
    stretches : sequence of LinedStretch
        The main with what the contract asks. [-]

    Returns
    -------
    float
        Thickness. [m]
    """
    return max(one.minimum for one in stretches if one.start < run.end and one.end > run.start)


def judge_scan(
    run: Run,
    stretches: Sequence[LinedStretch],
    *,
    metres: Sequence[ScannedMetre],
    areas: Sequence[ThinArea],
    minimum: float | None,
    minimum_deviation: float | None,
    unseen: float | None,
    unseen_because: Message | None,
) -> ScanProof:
    """Judge a run by its scans.

    Parameters
    ----------
    run : Run
        The run as it was lined. [-]
    stretches : sequence of LinedStretch
        The main with what the contract asks. [-]
    metres : sequence of ScannedMetre
        Of the scans, in order of chainage; those outside the run are left alone. [-]
    areas : sequence of ThinArea
        Areas under `least_asked`. [-]
    minimum : float or None
        Smallest cell. [m]
    minimum_deviation : float or None
        One standard deviation of it, the unseen part included. [m]
    unseen : float or None
        One standard deviation of the eccentricity. [m]
    unseen_because : Message or None
        Where that comes from. [-]

    Returns
    -------
    ScanProof
        A thin area decides, however unsure the smallest thickness is: an eccentricity that lifts it thins the far side by as much.
    """

    def asked(chainage: float) -> float:
        return next((one for one in stretches if chainage < one.end), stretches[-1]).minimum

    here = tuple(one for one in metres if run.start < one.chainage + 1.0 and one.chainage < run.end)
    known = {one.chainage: one.p50 for one in here if one.p50 is not None}
    whole = [float(metre) for metre in range(int(run.start // 1), int(-(-run.end // 1)))]
    unread = tuple(metre for metre in whole if metre not in known)
    thin = tuple(
        area for area in areas if area.end > run.start and area.start < run.end and area.minimum < asked(0.5 * (area.start + area.end))
    )
    sure = minimum is not None and minimum_deviation is not None and minimum - _SCORE * minimum_deviation >= least_asked(run, stretches)
    verdict: Verdict = "does_not_meet" if thin else "meets" if sure and not unread else "incomplete"
    return ScanProof(
        run=run.id,
        verdict=verdict,
        metres=here,
        mean=sum(known.values()) / len(known) if known else None,
        minimum=minimum,
        minimum_deviation=minimum_deviation,
        unseen=unseen,
        unseen_because=unseen_because,
        thin=thin,
        unread=unread,
    )
