"""Where the pumped mortar lies: the exact share of each bin of the way, for a head that moves evenly between two readings."""

import math
from collections.abc import MutableSequence, Sequence

from mainwright.errors import require_not_negative, require_positive

__all__ = ["carry_on", "head_flow_after", "spread"]


def head_flow_after(*, pump_flow: float, head_flow: float, lag: float, elapsed: float) -> float:
    r"""Return the flow at the head after a while of even pumping.

    Parameters
    ----------
    pump_flow : float
        Output of the pump, constant meanwhile. [m3/s]
    head_flow : float
        Flow at the head at the beginning. [m3/s]
    lag : float
        Time constant of the hose, which swells before it gives; 0 for a stiff hose. [s]
    elapsed : float
        Time since the beginning. [s]

    Returns
    -------
    float
        Flow at the head. [m3/s]

    Raises
    ------
    InputError
        If lag or time is negative.

    Notes
    -----
    First order: :math:`q = Q + (q_0 - Q) e^{-t/\tau}`. What the hose holds more than at rest is :math:`\tau q`.

    References
    ----------
    Derived here: a volume that stores in proportion to its outflow.

    Examples
    --------
    >>> head_flow_after(pump_flow=1.0, head_flow=0.0, lag=0.0, elapsed=1.0)
    1.0
    """
    require_not_negative("lag", lag, "s")
    require_not_negative("elapsed", elapsed, "s")
    if lag == 0.0:
        return pump_flow
    return pump_flow + (head_flow - pump_flow) * math.exp(-elapsed / lag)


def spread(  # noqa: C901 - the ends of the way are apart from its bins
    volumes: MutableSequence[float],
    *,
    bin_length: float,
    start: float,
    end: float,
    duration: float,
    pump_flow: float,
    head_flow: float,
    lag: float,
    share: float,
) -> float:
    r"""Add what leaves the head on one step to the bins of its way.

    Parameters
    ----------
    volumes : mutable sequence of float
        Mortar in each bin from the zero of the way on; is added to. [m3]
    bin_length : float
        Length of a bin. [m]
    start : float
        Place of the spray plane when the step begins. [m]
    end : float
        Its place when the step ends, on either side. [m]
    duration : float
        Of the step. [s]
    pump_flow : float
        Output of the pump during the step. [m3/s]
    head_flow : float
        Flow at the head when the step begins; counts only with a lag. [m3/s]
    lag : float
        Time constant of the hose; 0 for a stiff hose. [s]
    share : float
        Deposit efficiency, or minus it to take a step back out. [-]

    Returns
    -------
    float
        What fell before the first bin or beyond the last one, times the share. [m3]

    Raises
    ------
    InputError
        If the bin is not positive, or duration or lag is negative.

    Notes
    -----
    The head moves evenly, so the time at which it passes the edge of a bin is known, and the volume between two times is
    :math:`Q (t_2 - t_1) + (q_0 - Q) \tau (e^{-t_1/\tau} - e^{-t_2/\tau})`. A head that stands puts all of it into one bin: a ring.
    The work is that of the bins that the step touches, whatever came before.

    References
    ----------
    Derived here: conservation of the mortar's volume.

    Examples
    --------
    >>> bins = [0.0, 0.0]
    >>> none = {"head_flow": 0.0, "lag": 0.0, "share": 1.0}
    >>> spread(bins, bin_length=1.0, start=0.5, end=1.5, duration=10.0, pump_flow=0.2, **none)
    0.0
    >>> bins
    [1.0, 1.0]
    """
    require_positive("bin_length", bin_length, "m")
    require_not_negative("duration", duration, "s")
    require_not_negative("lag", lag, "s")
    count = len(volumes)
    excess = (head_flow - pump_flow) * lag

    def between(first: float, last: float) -> float:
        volume = pump_flow * (last - first)
        if lag > 0.0:
            volume += excess * (math.exp(-first / lag) - math.exp(-last / lag))
        return share * volume

    low, high = (start, end) if start <= end else (end, start)
    reached = count * bin_length
    if low == high or (low // bin_length == high // bin_length and low >= 0.0 and high < reached):
        total = between(0.0, duration)
        number = math.floor(low / bin_length)
        # A head that stands on an edge fills the bin ahead of it; at the very end of the way there is only the one behind.
        if number == count and low == high == reached:
            number -= 1
        if 0 <= number < count:
            volumes[number] += total
            return 0.0
        return total
    outside = 0.0
    pace = duration / (end - start)

    def piece(first: float, last: float) -> float:
        one, other = (first - start) * pace, (last - start) * pace
        return between(one, other) if one <= other else between(other, one)

    if low < 0.0:
        outside += piece(low, min(high, 0.0))
        low = 0.0
    if high > reached:
        outside += piece(max(low, reached), high)
        high = reached
    if low < high:
        number = min(math.floor(low / bin_length), count - 1)
        while low < high:
            edge = min((number + 1) * bin_length, high) if number + 1 < count else high
            if edge > low:
                volumes[number] += piece(low, edge)
                low = edge
            number += 1
    return outside


def carry_on(thicknesses: Sequence[float], *, bin_length: float, trowel: float, forward: bool) -> list[float]:
    r"""Return the thickness after a trowel that follows the spray plane has evened it out.

    Parameters
    ----------
    thicknesses : sequence of float
        As thrown, one for each bin. [m]
    bin_length : float
        Length of a bin. [m]
    trowel : float
        How far behind the spray plane it smooths; 0 for none. [m]
    forward : bool
        Whether the head went from the first bin to the last. [-]

    Returns
    -------
    list of float
        Mean over the length that the trowel had behind it when it passed. [m]

    Raises
    ------
    InputError
        If the bin is not positive or the trowel negative.

    Notes
    -----
    A trowel carries mortar from where there is much to where there is little, over its own length: a moving mean. It keeps the sum as
    far as a mean at the ends can, and never shows a gap shorter than itself. The deposit of each bin stays what it was.

    References
    ----------
    Derived here; the model is an assumption.

    Examples
    --------
    >>> carry_on([0.0, 6.0, 0.0], bin_length=0.1, trowel=0.2, forward=True)
    [0.0, 3.0, 3.0]
    """
    require_positive("bin_length", bin_length, "m")
    require_not_negative("trowel", trowel, "m")
    width = max(1, round(trowel / bin_length))
    if width == 1:
        return list(thicknesses)
    ordered = thicknesses if forward else thicknesses[::-1]
    smooth = []
    for place in range(len(ordered)):
        behind = ordered[max(0, place + 1 - width) : place + 1]
        smooth.append(math.fsum(behind) / len(behind))
    return smooth if forward else smooth[::-1]
