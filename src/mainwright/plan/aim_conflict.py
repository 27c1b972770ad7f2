"""Where minimum and maximum cannot both be kept: which deviation must shrink, and to what."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from mainwright.science.placement.confidence import AimLength
from mainwright.science.placement.remedy import Remedy, what_must_shrink
from mainwright.science.placement.scatter import Scatter
from mainwright.words.message import Message, Quantity, message

__all__ = ["aim_conflict"]

_NAMES: Final = {
    "flow_bias": message("the pump's error that a whole run shares"),
    "flow_deviation": message("the pump's scatter along the run"),
    "speed_deviation": message("the scatter of the travel speed"),
    "bore_deviation": message("the scatter of the bore"),
    "eccentricity": message("how far the head hangs off the centre"),
}


def aim_conflict(lengths: Sequence[AimLength], *, scatter: Scatter, confidence: float) -> Message:
    """Return what would have to become better so that a run keeps both its minimum and its maximum.

    Parameters
    ----------
    lengths : sequence of AimLength
        The lengths of one bore that make up the run. [-]
    scatter : Scatter
        What makes their thickness uncertain. [-]
    confidence : float
        Wanted probability. [-]

    Returns
    -------
    Message
        The deviation of which the least change is enough, or all together, or that none is.
    """
    # A single coat is no limit here: a thicker aim is laid in several.
    found = what_must_shrink(lengths=[replace(one, single_coat_max=None) for one in lengths], scatter=scatter, confidence=confidence)
    if found.alone:
        first = found.alone[0]
        return message(
            "Both are kept where {what} comes down from {present} to {needed}.",
            what=_NAMES[first.cause],
            present=_shown(first, first.present),
            needed=_shown(first, first.needed),
        )
    if found.together is not None:
        return message(
            "No single deviation is enough: both are kept where all of them come down to {share} of what they are.",
            share=Quantity(found.together, "pct", 0),
        )
    return message("No smaller deviation helps: the nominal thickness itself is over the maximum.")


def _shown(remedy: Remedy, amount: float) -> Quantity:
    return Quantity(amount, "mm", 2) if remedy.cause in ("bore_deviation", "eccentricity") else Quantity(amount, "pct", 2)
