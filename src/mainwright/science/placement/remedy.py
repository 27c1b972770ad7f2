"""What would have to become better so that an aim keeps all its limits."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from mainwright.errors import require_within
from mainwright.science.placement.aim import aim_thickness
from mainwright.science.placement.confidence import AimLength
from mainwright.science.placement.scatter import Scatter

__all__ = ["Cause", "Remedies", "Remedy", "what_must_shrink"]

Cause = Literal["flow_bias", "flow_deviation", "speed_deviation", "bore_deviation", "eccentricity"]

_FIELDS: Final[tuple[tuple[Cause, str], ...]] = (
    ("flow_bias", "flow_bias"),
    ("flow_deviation", "flow"),
    ("speed_deviation", "speed"),
    ("bore_deviation", "bore"),
    ("eccentricity", "eccentricity"),
)


@dataclass(frozen=True, slots=True)
class Remedy:
    """One cause that, made better alone, is enough.

    Attributes
    ----------
    cause
        What it is.
    present, needed
        What it is now, and the greatest value with which all limits are kept; relative [-], of the bore and the eccentricity [m].
    """

    cause: Cause
    present: float
    needed: float


@dataclass(frozen=True, slots=True)
class Remedies:
    """What would let an aim keep its limits.

    Attributes
    ----------
    kept
        Whether all limits are kept as it is.
    alone
        Causes of which one alone is enough, the one that needs the smallest share of change first.
    together
        The share of all causes with which the limits are kept; None where they cannot be kept without any deviation either. [-]
    """

    kept: bool
    alone: tuple[Remedy, ...]
    together: float | None


def what_must_shrink(*, lengths: Sequence[AimLength], scatter: Scatter, confidence: float) -> Remedies:
    r"""Return which deviation must shrink, and to what, so that minimum and maximum are both kept.

    Parameters
    ----------
    lengths : sequence of AimLength
        The lengths of one bore that make up the run. [-]
    scatter : Scatter
        What makes the thickness uncertain now. [-]
    confidence : float
        Wanted probability that the limits are kept. [-]

    Returns
    -------
    Remedies
        Every deviation that is enough alone, and the common share that is enough for all.

    Raises
    ------
    InputError
        If an argument is out of range.

    Notes
    -----
    Each cause is made smaller with the others as they are, until `aim_thickness` keeps the maximum and the single coat; by
    bisection, to a millionth of the present value, and never more than is allowed.

    References
    ----------
    Derived here; see `aim_thickness`.

    Examples
    --------
    >>> loose = Scatter(flow_bias=0.0, flow=0.10, speed=0.03, bore=0.001, eccentricity=0.0, pit_allowance=0.0, correlation=1.0)
    >>> tight = [AimLength(150.0, 0.15, 0.006, 0.005, maximum=0.0065)]
    >>> found = what_must_shrink(lengths=tight, scatter=loose, confidence=0.95)
    >>> [(one.cause, round(one.needed, 4)) for one in found.alone]
    [('flow_deviation', 0.0571)]
    """
    require_within("confidence", confidence, "-", above=0.0, below=1.0)

    def keeps(candidate: Scatter) -> bool:
        return not aim_thickness(lengths=lengths, scatter=candidate, confidence=confidence).exceeded

    if keeps(scatter):
        return Remedies(kept=True, alone=(), together=1.0)
    alone = []
    for cause, field in _FIELDS:
        present = getattr(scatter, field)
        if present > 0.0:
            share = _greatest_share(lambda part, field=field, present=present: keeps(replace(scatter, **{field: part * present})))  # type: ignore[misc]
            if share is not None:
                alone.append((share, Remedy(cause, present, share * present)))
    alone.sort(key=lambda pair: -pair[0])
    together = _greatest_share(lambda part: keeps(replace(scatter, **{field: part * getattr(scatter, field) for _, field in _FIELDS})))
    return Remedies(kept=False, alone=tuple(remedy for _, remedy in alone), together=together)


def _greatest_share(keeps: Callable[[float], bool]) -> float | None:
    if not keeps(0.0):
        return None
    low, high = 0.0, 1.0
    while high - low > 1e-6:
        middle = 0.5 * (low + high)
        if keeps(middle):
            low = middle
        else:
            high = middle
    return low
