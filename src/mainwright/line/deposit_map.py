"""The mortar along the way, reading by reading: exact in each bin, whatever comes late, twice or with a clock that jumps."""

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from mainwright.errors import require_not_negative, require_positive
from mainwright.line.run_plan import RunPlan
from mainwright.science.bore.ring import thickness_of_deposit
from mainwright.science.placement.deposit import carry_on, compiled_steps, lay_steps

__all__ = ["BIN", "COMPILE_FROM", "COUNTED", "Added", "DepositMap", "Profile"]

BIN = 0.1
"""Length of a bin where nothing else is asked. [m]"""

COMPILE_FROM = 20_000
"""From so many readings at once on compiled code pays for its loading (0.4 s); measured. [-]"""

COUNTED = 0.02
"""Deviation of a flow that was counted (strokes of the pump, or litres of a sender of its own), relative; an assumption. [-]"""

Added = Literal["new", "late", "double", "clock_step"]


@dataclass(frozen=True, slots=True)
class Profile:
    """Thickness along the way as far as the head has been.

    Attributes
    ----------
    ways
        Middle of each bin. [m]
    thrown
        What the mass balance gives in each bin. [m]
    thicknesses
        The same after the trowel. [m]
    deviations
        One standard deviation of each, everything together. [m]
    shared
        The part of it that the whole run shares: the bias of the flow. [m]
    """

    ways: tuple[float, ...]
    thrown: tuple[float, ...]
    thicknesses: tuple[float, ...]
    deviations: tuple[float, ...]
    shared: tuple[float, ...]


class DepositMap:
    """Where the mortar of one run lies. Grows by readings in the order in which they come; equal orders give equal bits.

    Readings are told apart and ordered by the sender's number: a number that is known already is a double, one below the greatest is
    late and is put in its place, and one above it with a time that is not later tells of a clock that was set back. Between two readings
    the head moves evenly and the flow is that of the first.
    """

    def __init__(self, plan: RunPlan, *, bin_length: float = BIN, lag: float = 0.0) -> None:
        require_positive("bin_length", bin_length, "m")
        require_not_negative("lag", lag, "s")
        self.plan = plan
        self.bin_length = bin_length
        self.lag = lag
        count = max(1, math.ceil(plan.length / bin_length - 1e-9))
        self.volumes = [0.0] * count
        self.guessed = [0.0] * count
        self.furthest = 0.0
        self.turned_back = 0.0
        self._numbers: list[int] = []
        self._times: list[float] = []
        self._ways: list[float] = []
        self._flows: list[float] = []
        self._guesses: list[float] = []
        self._counts: list[float] | None = None
        self._taken_out: list[tuple[int, float]] = []
        self._sums = [0.0, 0.0, 0.0]
        self._clock_shift = 0.0
        self._efficiency = plan.deposit_efficiency
        self._per_bin = 1.0 / bin_length
        self._count = count
        self._quick = lag == 0.0

    @property
    def pumped(self) -> float:
        """Return what was pumped. [m3]."""
        return self._sums[0]

    @pumped.setter
    def pumped(self, value: float) -> None:
        self._sums[0] = value

    @property
    def outside(self) -> float:
        """Return what fell before the first bin and beyond the last one. [m3]."""
        return self._sums[1]

    @outside.setter
    def outside(self, value: float) -> None:
        self._sums[1] = value

    @property
    def deposited(self) -> float:
        """Return the mortar on the wall and what fell before and behind it, by mass balance. [m3]."""
        return math.fsum(self.volumes) + self.outside

    @property
    def way(self) -> float:
        """Return where the spray plane is, by the latest reading. [m]."""
        return self._ways[-1] if self._ways else 0.0

    @property
    def readings(self) -> int:
        """Return how many readings count."""
        return len(self._numbers)

    def rows(self) -> Iterator[tuple[int, float, float, float, float]]:
        """Give what counts of each reading, in order: number, time [s], way [m], flow [m3/s], and its deviation, relative [-]."""
        return zip(self._numbers, self._times, self._ways, self._flows, self._guesses, strict=True)

    def latest(self) -> tuple[float, float, float] | None:
        """Return time [s], way [m] and flow [m3/s] of the reading with the greatest number."""
        return (self._times[-1], self._ways[-1], self._flows[-1]) if self._numbers else None

    def speed(self, span: float = 5.0) -> float | None:
        """Return the mean speed over the last seconds, None before there are two readings. [m/s]."""
        if len(self._times) < 2:
            return None
        last = self._times[-1]
        place = max(0, min(bisect_left(self._times, last - span), len(self._times) - 2))
        elapsed = last - self._times[place]
        return (self._ways[-1] - self._ways[place]) / elapsed if elapsed > 0.0 else None

    def flow(self, span: float = 10.0) -> float | None:
        """Return the mean flow over the last seconds, None before there is a reading. [m3/s]."""
        if not self._times:
            return None
        last = self._times[-1]
        place = max(0, min(bisect_left(self._times, last - span), len(self._times) - 2))
        elapsed = last - self._times[place]
        if elapsed <= 0.0:
            return self._flows[-1]
        volume = math.fsum(self._flows[k] * (self._times[k + 1] - self._times[k]) for k in range(place, len(self._times) - 1))
        return volume / elapsed

    def knows(self, number: int) -> bool:
        """Return whether a reading of this number counts already."""
        place = bisect_left(self._numbers, number)
        return place < len(self._numbers) and self._numbers[place] == number

    @property
    def greatest(self) -> int | None:
        """Return the greatest number so far."""
        return self._numbers[-1] if self._numbers else None

    def take_out(self, volume: float) -> None:
        """Take mortar that was pumped and does not lie on the wall out of the bin in which the head stands; it counts as outside. [m3]."""
        number = int(max(self.way, 0.0) * self._per_bin)
        if number >= len(self.volumes):
            number = len(self.volumes) - 1
        # No more than lies there: what was purged before the readings began was never put there.
        moved = min(volume * self._efficiency, max(self.volumes[number], 0.0))
        self.volumes[number] -= moved
        self.outside += moved
        self._taken_out.append((number, moved))

    def add(self, *, number: int, time: float, way: float, flow: float, guess: float, count: float | None = None) -> Added:
        """Take in a reading.

        Parameters
        ----------
        number : int
            The sender's. [-]
        time : float
            By its clock. [s]
        way : float
            Of the spray plane. [m]
        flow : float
            From now to the next reading. [m3/s]
        guess : float
            Deviation of this flow, relative, where it was not measured; 0 where it was. [-]
        count : float or None
            What was pumped up to now by a counter, which stands for a flow that was not measured where the next reading has one too. [m3]

        Returns
        -------
        str
            What the reading was.
        """
        numbers, times = self._numbers, self._times
        if self._quick and count is None and numbers and number > numbers[-1] and time > times[-1]:
            # Most readings, by the shortest way: the same sums as below, in the same order.
            ways, flows, guesses = self._ways, self._flows, self._guesses
            start, before, guessed, duration = ways[-1], flows[-1], guesses[-1], time - times[-1]
            numbers.append(number)
            times.append(time)
            ways.append(way)
            flows.append(flow)
            guesses.append(guess)
            place = int(start * self._per_bin)
            if start > 0.0 and way > 0.0 and place < self._count and place == int(way * self._per_bin):
                self._sums[0] += before * duration
                volume = self._efficiency * before * duration
                self.volumes[place] += volume
                if guessed > 0.0:
                    self.guessed[place] += guessed * volume
            else:
                self._step(len(numbers) - 2, 1.0)
            if way > self.furthest:
                self.furthest = way
            elif self.furthest - way > self.turned_back:
                self.turned_back = self.furthest - way
            return "new"
        if count is not None and self._counts is None:
            self._counts = [math.nan] * len(self._numbers)
            self._quick = False
        if not self._numbers or number > self._numbers[-1]:
            return self._append(number, time=time, way=way, flow=flow, guess=guess, count=count)
        place = bisect_left(self._numbers, number)
        if self._numbers[place] == number:
            return "double"
        self._insert(place, number=number, time=time, way=way, flow=flow, guess=guess, count=count)
        return "late"

    def _append(self, number: int, *, time: float, way: float, flow: float, guess: float, count: float | None) -> Added:
        told: Added = "new"
        time += self._clock_shift
        if self._times and time <= self._times[-1]:
            # The clock was set back: it goes on from where it was, by the pace of the readings before.
            pace = self._times[-1] - self._times[-2] if len(self._times) > 1 else 1.0
            shift = self._times[-1] + pace - time
            self._clock_shift += shift
            self._quick = False
            time += shift
            told = "clock_step"
        self._numbers.append(number)
        self._times.append(time)
        self._ways.append(way)
        self._flows.append(flow)
        self._guesses.append(guess)
        if self._counts is not None:
            self._counts.append(math.nan if count is None else count)
            self._amend(len(self._numbers) - 2)
        if len(self._numbers) == 1:
            # The hose is full and flows evenly when the record begins.
            self._sums[2] = flow
            self.furthest = max(self.furthest, way)
        else:
            self._step(len(self._numbers) - 2, 1.0)
            self.turned_back = max(self.turned_back, self.furthest - way)
            self.furthest = max(self.furthest, way)
        return told

    def add_many(
        self,
        *,
        numbers: Sequence[int],
        times: Sequence[float],
        ways: Sequence[float],
        flows: Sequence[float],
        guesses: Sequence[float] | None = None,
        compiled: bool | None = None,
    ) -> None:
        """Take in many readings at once, with the same bits as one by one.

        Parameters
        ----------
        numbers : sequence of int
            The sender's. [-]
        times, ways, flows : sequence of float
            As `add` takes them. [s] [m] [m3/s]
        guesses : sequence of float or None
            Deviations of the flows; none where all were measured. [-]
        compiled : bool or None
            Whether compiled code runs it; None decides by how many there are. [-]
        """
        import numpy as np

        guesses = [0.0] * len(numbers) if guesses is None else guesses
        begin = 0
        if not self._numbers and len(numbers):
            self.add(number=int(numbers[0]), time=float(times[0]), way=float(ways[0]), flow=float(flows[0]), guess=float(guesses[0]))
            begin = 1
        if compiled is None:
            compiled = len(numbers) - begin >= max(COMPILE_FROM, len(self.volumes))
        # From the last reading on: the first step begins there.
        rows = [np.asarray(values[begin:], dtype=np.float64) for values in (times, ways, flows, guesses)]
        rows[0] = rows[0] + self._clock_shift
        order = np.asarray(numbers[begin:], dtype=np.int64)
        later = len(order) and order[0] > self._numbers[-1] and rows[0][0] > self._times[-1]
        if not (compiled and later and self._counts is None and np.all(np.diff(order) > 0) and np.all(np.diff(rows[0]) > 0.0)):
            for number, time, way, flow, guess in zip(
                numbers[begin:], times[begin:], ways[begin:], flows[begin:], guesses[begin:], strict=True
            ):
                self.add(number=int(number), time=float(time), way=float(way), flow=float(flow), guess=float(guess))
            return
        kept = (self._times, self._ways, self._flows, self._guesses)
        joined = [np.concatenate([[values[-1]], row]) for values, row in zip(kept, rows, strict=True)]
        volumes, guessed, sums = (np.array(values, dtype=np.float64) for values in (self.volumes, self.guessed, self._sums))
        compiled_steps()(volumes, guessed, sums, *joined, 0, len(order), self.bin_length, self.lag, self._efficiency, 1.0)
        self.volumes[:], self.guessed[:], self._sums[:] = volumes.tolist(), guessed.tolist(), sums.tolist()
        self._numbers += order.tolist()
        for values, row in zip(kept, rows, strict=True):
            values.extend(row.tolist())
        furthest = np.maximum.accumulate(np.concatenate([[self.furthest], rows[1]]))
        self.turned_back = max(self.turned_back, float(np.max(furthest[:-1] - rows[1])))
        self.furthest = float(furthest[-1])

    def _amend(self, place: int) -> None:
        """Take the flow of a step by its counter where it was not measured."""
        if self._counts is None or place < 0 or place + 1 >= len(self._counts) or self._guesses[place] <= 0.0:
            return
        volume, duration = self._counts[place + 1] - self._counts[place], self._times[place + 1] - self._times[place]
        if duration > 0.0 and not math.isnan(volume):
            self._flows[place], self._guesses[place] = volume / duration, COUNTED

    def _insert(self, place: int, *, number: int, time: float, way: float, flow: float, guess: float, count: float | None) -> None:
        time += self._clock_shift
        if place > 0:
            time = max(time, self._times[place - 1])
        time = min(time, self._times[place])
        if self.lag == 0.0 and place > 0:
            self._step(place - 1, -1.0)
        for values, value in ((self._times, time), (self._ways, way), (self._flows, flow), (self._guesses, guess)):
            values.insert(place, value)
        self._numbers.insert(place, number)
        if self._counts is not None:
            self._counts.insert(place, math.nan if count is None else count)
            self._amend(place - 1)
            self._amend(place)
        self.furthest = max(self.furthest, way)
        if self.lag > 0.0:
            # With a hose that swells, everything after it changes too.
            self._again()
        else:
            if place > 0:
                self._step(place - 1, 1.0)
            self._step(place, 1.0)

    def _step(self, place: int, sign: float) -> None:
        """Lay one step between two readings, or take it back out."""
        lay_steps(
            self.volumes,
            self.guessed,
            self._sums,
            self._times,
            self._ways,
            self._flows,
            self._guesses,
            place,
            place + 1,
            self.bin_length,
            self.lag,
            self._efficiency,
            sign,
        )

    def _again(self) -> None:
        for values in (self.volumes, self.guessed):
            values[:] = [0.0] * len(values)
        self._sums[:] = [0.0, 0.0, self._flows[0]]
        for place in range(len(self._numbers) - 1):
            self._step(place, 1.0)
        for number, moved in self._taken_out:
            self.volumes[number] -= moved
            self.outside += moved

    def _covered(self, number: int) -> float:
        """Return how much of a bin is on the main and has been passed. [m]."""
        begin = number * self.bin_length
        return min(self.bin_length, self.plan.length - begin, max(self.furthest - begin, 0.0))

    def thickness(self, number: int) -> float | None:
        """Return the mean thickness thrown in one bin, None where the head has not been. [m]."""
        covered = self._covered(number)
        if covered <= 1e-9 * self.bin_length:
            return None
        bore = self.plan.at((number + 0.5) * self.bin_length).bore
        area = max(self.volumes[number], 0.0) / covered
        # More than fills a third of the bore is a plug: the ring of that is said, and the alarm is long up.
        most = math.pi * (bore / 3.0) * (bore - bore / 3.0)
        return thickness_of_deposit(area=min(area, most), bore=bore, pit_allowance=self.plan.pit_allowance)

    def recent(self, span: float) -> float | None:
        """Return the mean thickness over the last length behind the head, whole bins only. [m]."""
        last = min(math.floor(self.way / self.bin_length), len(self.volumes)) - 1
        first = max(0, last + 1 - max(1, round(span / self.bin_length)))
        found = [one for number in range(first, last + 1) if (one := self.thickness(number)) is not None]
        return math.fsum(found) / len(found) if found else None

    def profile(self) -> Profile:
        """Return the thickness along the way as far as the head has been.

        Returns
        -------
        Profile
            One value for each bin that was passed, the one in work included.

        Notes
        -----
        The deviation of a bin: of the flow its bias, which the whole run shares, and its scatter, which a bin longer than the correlation
        length averages; of the bore the same way; and that of a flow which was not measured, all of it. First order of the ring.
        """
        plan = self.plan
        thrown: list[float] = []
        for number in range(len(self.volumes)):
            value = self.thickness(number)
            if value is None:
                break
            thrown.append(value)
        smooth = carry_on(thrown, bin_length=self.bin_length, trowel=plan.trowel, forward=True)
        fresh = min(1.0, plan.correlation / self.bin_length)
        deviations, shared = [], []
        for number, value in enumerate(smooth):
            bore = plan.at((number + 0.5) * self.bin_length).bore
            free = bore - 2.0 * value
            slope = (value * (bore - value) + bore * plan.pit_allowance) / free
            bias = slope * plan.bias
            of_bore = (value + plan.pit_allowance) / free * plan.bore_deviation
            volume = self.volumes[number]
            guess = slope * self.guessed[number] / volume if volume > 0.0 else 0.0
            shared.append(bias)
            deviations.append(math.sqrt(bias * bias + fresh * ((slope * plan.scatter) ** 2 + of_bore**2) + guess * guess))
        ways = tuple((number + 0.5) * self.bin_length for number in range(len(thrown)))
        return Profile(ways, tuple(thrown), tuple(smooth), tuple(deviations), tuple(shared))
