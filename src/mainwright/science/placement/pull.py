"""The pull of the rope: friction and slope along the real profile, and what every bend makes of it.

A profile is a tuple of pieces in the order in which the load travels. A bend multiplies all that hangs behind it, so the
order matters and both directions must be tried.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from mainwright.errors import InputError, require_not_negative, require_positive

__all__ = ["Drag", "HaulingPull", "Piece", "hauling_pull", "pull_along", "reversed_profile", "rope_working_load"]


@dataclass(frozen=True, slots=True)
class Piece:
    """A straight or a bend.

    Attributes
    ----------
    length
        Of the straight; zero for a bend. [m]
    slope
        Of the straight, from the level, positive where it rises in the direction of travel. [rad]
    bend
        Change of direction; zero for a straight. [rad]
    """

    length: float = 0.0
    slope: float = 0.0
    bend: float = 0.0


@dataclass(frozen=True, slots=True)
class Drag:
    """Something that is drawn along.

    Attributes
    ----------
    weight
        By length for a rope, a hose or the deposits that are swept up; of the whole for a tool. [N/m] or [N]
    friction
        Coefficient of friction on the wall. [-]
    """

    weight: float
    friction: float

    def __post_init__(self) -> None:
        require_not_negative("weight", self.weight, "N/m or N")
        require_not_negative("friction", self.friction, "-")


@dataclass(frozen=True, slots=True)
class HaulingPull:
    """What the winch must pull.

    Attributes
    ----------
    greatest
        Over the whole way. [N]
    at
        Way of the load from the start where it is greatest. [m]
    at_end
        When the load arrives. [N]
    """

    greatest: float
    at: float
    at_end: float


def reversed_profile(profile: Sequence[Piece]) -> tuple[Piece, ...]:
    """Return a profile as it is met from the other end.

    Parameters
    ----------
    profile : sequence of Piece
        Pieces in the order of travel. [-]

    Returns
    -------
    tuple of Piece
        The pieces in the other order, each slope with the other sign.

    References
    ----------
    Derived here: geometry.

    Examples
    --------
    >>> reversed_profile([Piece(length=80.0, slope=0.1), Piece(bend=0.4)])
    (Piece(length=0.0, slope=-0.0, bend=0.4), Piece(length=80.0, slope=-0.1, bend=0.0))
    """
    return tuple(Piece(piece.length, -piece.slope, piece.bend) for piece in reversed(profile))


def pull_along(*, profile: Sequence[Piece], back_tension: float, drag: Drag) -> tuple[float, ...]:
    r"""Return the pull in a rope, hose or cable after each piece of a profile, when all of it lies in the pipe.

    Parameters
    ----------
    profile : sequence of Piece
        Pieces from the free end to the winch. [-]
    back_tension : float
        Pull at the free end. [N]
    drag : Drag
        Weight by length [N/m] and friction of what is drawn. [-]

    Returns
    -------
    tuple of float
        Pull after each piece. [N]

    Raises
    ------
    InputError
        If the back tension or a length is negative.

    Notes
    -----
    Straight: :math:`T + w L (\mu \cos\beta + \sin\beta)`, not under zero, for a rope cannot push. Bend:
    :math:`T e^{\mu \theta}`. Stiffness and the weight within a bend are left out.

    References
    ----------
    Euler, L. (1769) and Eytelwein, J. A. (1808), belt friction, as in Beer, F. P., Johnston, E. R., Vector Mechanics for Engineers:
    Statics, section 8.10; the straight from the balance of forces on a slope.

    Examples
    --------
    >>> way = [Piece(length=80.0), Piece(bend=math.radians(22.5))]
    >>> [round(pull, 2) for pull in pull_along(profile=way, back_tension=500.0, drag=Drag(weight=1.2 * 9.81, friction=0.35))]
    [829.62, 951.85]
    """
    require_not_negative("back_tension", back_tension, "N")
    pull = back_tension
    pulls = []
    for piece in profile:
        require_not_negative("length", piece.length, "m")
        pull = _onward(pull, piece, drag)
        pulls.append(pull)
    return tuple(pulls)


def _onward(pull: float, piece: Piece, drag: Drag) -> float:
    if piece.length > 0.0:
        pull = max(pull + drag.weight * piece.length * (drag.friction * math.cos(piece.slope) + math.sin(piece.slope)), 0.0)
    return pull * math.exp(drag.friction * abs(piece.bend))


def hauling_pull(
    *, profile: Sequence[Piece], back_tension: float, rope: Drag, tool: Drag, trailing: Drag | None, swept: Drag | None
) -> HaulingPull:
    r"""Return what the winch pulls while a tool travels the whole profile.

    Parameters
    ----------
    profile : sequence of Piece
        Pieces in the order in which the tool travels; the winch stands at the end. [-]
    back_tension : float
        Pull at the far end of what trails behind. [N]
    rope : Drag
        The winch rope, from the tool to the winch: weight by length [N/m] and friction. [-]
    tool : Drag
        Head or plunger: its weight, or the force that presses it on the wall [N], and friction. [-]
    trailing : Drag or None
        What it draws behind, such as a hose full of mortar: weight by length [N/m] and friction. [-]
    swept : Drag or None
        What it pushes ahead, such as deposits: weight by length of main swept [N/m] and friction. [-]

    Returns
    -------
    HaulingPull
        The greatest pull, where it is, and the pull on arrival. [N]

    Raises
    ------
    InputError
        If an argument is negative.

    Notes
    -----
    At each point of the way: what trails has come through the pieces behind (`pull_along`); the tool adds
    :math:`W (\mu \cos\beta + \sin\beta)`, the deposits the same with the weight of all that was swept up so far; the rope carries
    that through the pieces ahead. The pull is straight in the way within a straight piece, so the ends of the pieces are enough.
    What is swept up stays ahead of the tool, which is the worst case. A snag is no part of it: it brings the winch to its limit at once.

    References
    ----------
    As `pull_along`.

    Examples
    --------
    >>> way = [Piece(length=100.0), Piece(bend=math.radians(22.5)), Piece(length=50.0)]
    >>> rope, head, hose = Drag(weight=8.0, friction=0.2), Drag(weight=500.0, friction=0.4), Drag(weight=35.0, friction=0.4)
    >>> found = hauling_pull(profile=way, back_tension=0.0, rope=rope, tool=head, trailing=hose, swept=None)
    >>> round(found.greatest), found.at
    (2538, 150.0)
    """
    require_not_negative("back_tension", back_tension, "N")
    for piece in profile:
        require_not_negative("length", piece.length, "m")
    nothing = Drag(weight=0.0, friction=0.0)
    hose, deposits = trailing or nothing, swept or nothing
    behind = back_tension
    way = swept_weight = 0.0
    greatest, at, last = -1.0, 0.0, 0.0

    def through_rope(pull: float, ahead: Sequence[Piece]) -> float:
        for piece in ahead:
            pull = _onward(pull, piece, rope)
        return pull

    for index, piece in enumerate(profile):
        lift = math.sin(piece.slope)
        press = math.cos(piece.slope)
        for inside in (False, True):
            if inside:
                # The end of the piece: behind it now lies this piece too.
                way += piece.length
                behind = _onward(behind, piece, hose)
                swept_weight += deposits.weight * piece.length
            pull = behind + tool.weight * (tool.friction * press + lift) + swept_weight * (deposits.friction * press + lift)
            last = through_rope(max(pull, 0.0), profile[index + 1 :] if inside else profile[index:])
            if last > greatest:
                greatest, at = last, way
    return HaulingPull(max(greatest, 0.0), at, last)


def rope_working_load(*, breaking: float, safety: float) -> float:
    r"""Return the load to which the winch's limit is set.

    Parameters
    ----------
    breaking : float
        Least breaking load of the rope. [N]
    safety : float
        Factor of safety, one or more. [-]

    Returns
    -------
    float
        Working load. [N]

    Raises
    ------
    InputError
        If an argument is not positive, or the factor under one.

    Notes
    -----
    Breaking load over factor. End fittings, wear and kinks lower the breaking load; the certificate of the rope in use counts.

    References
    ----------
    Definition; usual factors are 3.5 to 5 for running ropes on winches (practice, without a clause).

    Examples
    --------
    >>> rope_working_load(breaking=80e3, safety=5.0)
    16000.0
    """
    require_positive("breaking", breaking, "N")
    if not 1.0 <= safety < math.inf:
        raise InputError("safety", safety, "-", "1 or more")
    return breaking / safety
