"""Verdicts of the parts of a proof, and of all parts together."""

from collections.abc import Iterable
from typing import Literal

__all__ = ["PartVerdict", "Verdict", "worst"]

Verdict = Literal["meets", "does_not_meet", "incomplete"]
"""Of the entered requirements. Acceptance is the client's signature."""

PartVerdict = Literal["meets", "does_not_meet", "incomplete", "not_asked"]
"""Of one part; ``not_asked`` where the contract entered nothing to judge it by: what is on record is told all the same."""


def worst(verdicts: Iterable[PartVerdict]) -> PartVerdict:
    """Return the verdict of all parts together: one that fails decides, then one that is incomplete; what was not asked decides nothing.

    Parameters
    ----------
    verdicts : iterable of PartVerdict
        Of the parts. [-]

    Returns
    -------
    PartVerdict
        ``not_asked`` where nothing was asked of any part.

    Examples
    --------
    >>> worst(["meets", "not_asked", "incomplete"])
    'incomplete'
    """
    found = set(verdicts)
    order: tuple[PartVerdict, ...] = ("does_not_meet", "incomplete", "meets")
    return next((one for one in order if one in found), "not_asked")
