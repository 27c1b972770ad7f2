"""Where the pumped mortar lies: the exact share of each bin of the way, for a head that moves evenly between two readings."""

import math
from collections.abc import Callable, MutableSequence, Sequence
from functools import lru_cache
from typing import Any

from mainwright.errors import require_not_negative, require_positive

__all__ = ["carry_on", "compiled_steps", "head_flow_after", "lay_steps", "spread"]


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


def spread(
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
    sums = [0.0, 0.0, head_flow]
    lay_steps(volumes, volumes, sums, (0.0, duration), (start, end), (pump_flow,), (0.0,), 0, 1, bin_length, lag, share, 1.0)
    return sums[1]


def lay_steps(  # noqa: C901, PLR0912, PLR0915, PLR0917 - one kernel, run as it stands or compiled: it calls nothing and takes arrays by place
    volumes: MutableSequence[float],
    guessed: MutableSequence[float],
    sums: MutableSequence[float],
    times: Sequence[float],
    ways: Sequence[float],
    flows: Sequence[float],
    guesses: Sequence[float],
    first: int,
    last: int,
    bin_length: float,
    lag: float,
    efficiency: float,
    sign: float,
) -> None:
    r"""Add what leaves the head on many steps, one after the other, to the bins of their ways.

    Parameters
    ----------
    volumes : mutable sequence of float
        Mortar in each bin from the zero of the way on; is added to. [m3]
    guessed : mutable sequence of float
        The same times the deviation of its flow; is added to where that is not 0. [m3]
    sums : mutable sequence of float
        What was pumped and what fell outside the bins so far, and the flow at the head; is changed. [m3] [m3] [m3/s]
    times : sequence of float
        Of the readings. [s]
    ways : sequence of float
        Of the spray plane at each reading. [m]
    flows : sequence of float
        From each reading to the next. [m3/s]
    guesses : sequence of float
        Deviation of each flow, relative; 0 where it was measured. [-]
    first : int
        Place of the reading with which the first step begins. [-]
    last : int
        Place of the reading with which the last step ends. [-]
    bin_length : float
        Length of a bin. [m]
    lag : float
        Time constant of the hose; 0 for a stiff hose. [s]
    efficiency : float
        Share of the mortar that stays on the wall. [-]
    sign : float
        1, or -1 to take the steps back out. [-]

    Notes
    -----
    The head moves evenly within a step, so the time at which it passes the edge of a bin is known, and the volume between two times is
    :math:`Q (t_2 - t_1) + (q_0 - Q) \tau (e^{-t_1/\tau} - e^{-t_2/\tau})`. A head that stands puts all of it into one bin, the one ahead where it
    stands on an edge. The work of a step is that of the bins which it touches. Compiled or not, the bits are the same.

    References
    ----------
    Derived here: conservation of the mortar's volume.

    Examples
    --------
    >>> bins, sums = [0.0, 0.0], [0.0, 0.0, 0.0]
    >>> lay_steps(bins, [0.0, 0.0], sums, (0.0, 5.0, 10.0), (0.5, 1.5, 2.5), (0.2, 0.2), (0.0, 0.0), 0, 2, 1.0, 0.0, 1.0, 1.0)
    >>> bins, sums[:2]
    ([0.5, 1.0], [2.0, 0.5])
    """
    count = len(volumes)
    reached = count * bin_length
    per_bin = 1.0 / bin_length
    share = sign * efficiency
    pumped, outside, head_flow = sums[0], sums[1], sums[2]
    for place in range(first, last):
        duration = times[place + 1] - times[place]
        flow, start, end = flows[place], ways[place], ways[place + 1]
        pumped += sign * flow * duration
        number = int(start * per_bin)
        if lag == 0.0 and start > 0.0 and end > 0.0 and number < count and number == int(end * per_bin):
            # Most steps stay inside one bin.
            volume = share * flow * duration
            volumes[number] += volume
            if guesses[place] > 0.0:
                guessed[number] += guesses[place] * volume
            continue
        excess = (head_flow - flow) * lag
        low, high = (start, end) if start <= end else (end, start)
        stands = low == high
        pace = 0.0 if stands else duration / (end - start)
        number = math.floor(low / bin_length)
        if stands and number == count and low == reached:
            # At the very end of the way there is only the bin behind.
            number -= 1
        at = low
        while True:
            # One bin, or what lies before or beyond all of them.
            inside = at >= 0.0 and 0 <= number < count
            if stands:
                edge, one, other = at, 0.0, duration
            else:
                if inside:
                    edge = min((number + 1) * bin_length, high)
                elif at < 0.0:
                    edge = min(0.0, high)
                else:
                    edge = high
                one, other = (at - start) * pace, (edge - start) * pace
                if one > other:
                    one, other = other, one
            if edge > at or stands:
                volume = flow * (other - one)
                if lag > 0.0:
                    volume += excess * (math.exp(-one / lag) - math.exp(-other / lag))
                volume *= share
                if inside:
                    volumes[number] += volume
                    if guesses[place] > 0.0:
                        guessed[number] += guesses[place] * volume
                else:
                    outside += volume
            number = number + 1 if inside else 0
            before = at < 0.0
            at = max(at, edge)
            if at >= high or (not inside and not before):
                break
        if lag > 0.0:
            head_flow = flow + (head_flow - flow) * math.exp(-duration / lag)
    sums[0], sums[1], sums[2] = pumped, outside, head_flow


@lru_cache(maxsize=1)
def compiled_steps() -> Callable[..., None]:
    """Return `lay_steps` compiled, for arrays of numpy.

    Returns
    -------
    callable
        The same bits; what it compiles is kept on disk. [-]

    References
    ----------
    None; it is `lay_steps`.
    """
    import numba

    compiled: Callable[..., Any] = numba.njit(cache=True, nogil=True)(lay_steps)
    return compiled


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
