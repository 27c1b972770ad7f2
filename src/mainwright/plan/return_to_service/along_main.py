"""How much lime the water has taken up at each place of the main: pieces one after the other, under the flows of day and night."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from mainwright.science.chemistry.leaching import WEEK, stay_share
from mainwright.standards.published import value

_STANDS: Final = 1e-9
"""A flow under this is none: a millilitre in a quarter of an hour. [m3/s]"""

__all__ = ["Course", "Direction", "Piece", "bleed_to_keep", "course_of_water", "flow_direction", "lime_at"]

Direction = Literal["increasing", "decreasing"]


@dataclass(frozen=True, slots=True)
class Piece:
    """A length of one bore and flow: chainage and bore [m], flow [m3/s], None where not known. An unlined one gives no lime."""

    start: float
    end: float
    bore: float
    flow: float | None
    lined: bool = True


@dataclass(frozen=True, slots=True)
class Course:
    """What the water has at one place: lime one week after placing [mol/m3], and stay in the lined main [s]."""

    lime: float
    stay: float


def flow_direction(pieces: Sequence[Piece]) -> Direction | None:
    """Return which way the water runs: from the greater flow to the smaller; None where that cannot be told.

    Parameters
    ----------
    pieces : sequence of Piece
        In order of chainage. [-]

    Returns
    -------
    str or None
        Along the chainage, or against it; one flow throughout runs along it, as chainage is counted from the source.
    """
    flows = [piece.flow for piece in pieces if piece.flow is not None]
    if not flows or len(flows) != len(pieces):
        return None
    return "decreasing" if flows[-1] > flows[0] else "increasing"


def course_of_water(
    pieces: Sequence[Piece], *, at: Sequence[float], direction: Direction, share: float, extra: float, rate: float
) -> list[Course | None]:
    r"""Return what the water has taken up at each place, one week after placing.

    Parameters
    ----------
    pieces : sequence of Piece
        In order of chainage. [-]
    at : sequence of float
        Places. [m]
    direction : str
        Which way the water runs. [-]
    share : float
        Flow now by the flows of the pieces. [-]
    extra : float
        Flow besides, which leaves at the end. [m3/s]
    rate : float
        Uptake of a long stay in a bore of 0.1 m. [mol/m3]

    Returns
    -------
    list of Course or None
        None where a flow on the way is missing or nought: there it stands.

    Notes
    -----
    A plug that moves through pieces of other bores: in each :math:`c' = (c_D - c) / \tau_s`, with :math:`c_D` of its bore, so that one bore
    gives the law of `mainwright.science.chemistry.leaching` again. Customers draw evenly along a piece: its own flow stands for it.
    """
    scale = value("leaching", "stay_scale").value
    onward = direction == "increasing"
    way = list(pieces) if onward else list(reversed(pieces))
    order = sorted(range(len(at)), key=lambda k: at[k] if onward else -at[k])
    found: list[Course | None] = [None] * len(at)
    lime, stay, nearest = 0.0, 0.0, 0
    for piece in way:
        flow = None if piece.flow is None else piece.flow * share + extra
        if flow is None or not flow > _STANDS:
            break  # From here on it stands.
        pace = math.pi / 4.0 * piece.bore**2 / flow
        full = rate * 0.1 / piece.bore if piece.lined else lime
        while nearest < len(order):
            place = at[order[nearest]]
            if not (place <= piece.end if onward else place >= piece.start):
                break
            time = pace * max(place - piece.start if onward else piece.end - place, 0.0)
            found[order[nearest]] = Course(lime + (full - lime) * stay_share(stay=time, scale=scale), stay + (time if piece.lined else 0.0))
            nearest += 1
        whole = pace * (piece.end - piece.start)
        lime += (full - lime) * stay_share(stay=whole, scale=scale)
        stay += whole if piece.lined else 0.0
    return found


def lime_at(course: Course, *, age: float, exponent: float) -> float:
    """Return the lime at another age of the lining.

    Parameters
    ----------
    course : Course
        One week after placing. [-]
    age : float
        Since placing. [s]
    exponent : float
        Fall with time. [-]

    Returns
    -------
    float
        Ca(OH)2. [mol/m3]
    """
    return course.lime * math.pow(age / WEEK, -exponent)


def bleed_to_keep(
    pieces: Sequence[Piece], *, at: Sequence[float], direction: Direction, share: float, rate: float, most: float
) -> float | None:
    """Return the least flow at the end, besides the least flow of the job, that keeps the lime at every place down.

    Parameters
    ----------
    pieces : sequence of Piece
        In order of chainage. [-]
    at : sequence of float
        Places, the end of the main among them. [m]
    direction : str
        Which way the water runs. [-]
    share : float
        Least flow by the flows of the pieces. [-]
    rate : float
        Uptake of a long stay in a bore of 0.1 m at the age that is asked. [mol/m3]
    most : float
        Greatest lime. [mol/m3]

    Returns
    -------
    float or None
        Flow, to a thousandth; 0 where none is needed, None where more than 1 m/s in the largest bore would be. [m3/s]
    """

    def enough(extra: float) -> bool:
        found = course_of_water(pieces, at=at, direction=direction, share=share, extra=extra, rate=rate)
        return all(one is not None and one.lime <= most for one in found)

    if enough(0.0):
        return 0.0
    high = math.pi / 4.0 * max(piece.bore for piece in pieces) ** 2
    if not enough(high):
        return None
    low = 0.0
    while high - low > 1e-3 * high:
        middle = 0.5 * (low + high)
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high
