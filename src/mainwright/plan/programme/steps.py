"""What has to be done: the activities of every block, run and opening, how long each takes, and what each waits for."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from mainwright.job.giving_back import GivingBack
from mainwright.job.job import Job
from mainwright.job.office import ProgrammeRules
from mainwright.plan.closed_blocks import closed_blocks
from mainwright.plan.result import Run
from mainwright.plan.return_to_service.amounts import cure_time
from mainwright.plan.timetable import Kind, WaitKind
from mainwright.standards.published import Published, value
from mainwright.standards.source import Assumed
from mainwright.words.message import Message, message

__all__ = ["Block", "Step", "Steps", "Wait", "WaitPart", "blocks_of", "steps_of"]


@dataclass(frozen=True, slots=True)
class Block:
    """A length of main that is closed as a whole [m], by name, with the runs in it and whether customers hang on it."""

    number: int
    name: str
    start: float
    end: float
    runs: tuple[Run, ...]
    supplied: bool

    @property
    def length(self) -> float:
        """Return the length between the valves. [m]."""
        return self.end - self.start


@dataclass(frozen=True, slots=True)
class Step:
    """One activity before it has a time.

    Attributes
    ----------
    id
        Unique in the job and the same in every plan where its block, run or opening is the same.
    start, end
        Chainages between which it goes on. [m]
    shifts
        Working time. [shifts]
    one_shift
        Whether it cannot go on over the night.
    """

    id: str
    kind: Kind
    block: int
    start: float
    end: float
    run: str | None
    shifts: float
    one_shift: bool = False


@dataclass(frozen=True, slots=True)
class WaitPart:
    """One thing that is waited for, by the clock on the wall [s]; several waits of one id are one, which begins with the last of them."""

    id: str
    kind: WaitKind
    duration: float


@dataclass(frozen=True, slots=True)
class Wait:
    """``after`` begins when ``before`` has ended and everything that is waited for between them is over, one after the other."""

    before: str
    after: str
    parts: tuple[WaitPart, ...] = ()

    @property
    def duration(self) -> float:
        """Return how long it takes by the clock on the wall. [s]."""
        return sum((part.duration for part in self.parts), 0.0)


@dataclass(frozen=True, slots=True)
class Steps:
    """All activities, what each waits for, and what was assumed."""

    blocks: tuple[Block, ...]
    steps: tuple[Step, ...]
    waits: tuple[Wait, ...]
    assumed: tuple[Assumed, ...]


def blocks_of(job: Job, runs: Sequence[Run]) -> tuple[Block, ...]:
    """Return the lengths that are closed as a whole.

    Parameters
    ----------
    job : Job
        The job. [-]
    runs : sequence of Run
        Its runs, in order of chainage. [-]

    Returns
    -------
    tuple of Block
        Between the valves that hold, as they are given back and supplied.
    """
    found = []
    for number, block in enumerate(closed_blocks(job, runs), start=1):
        inside = tuple(run for run in runs if run.id in block.runs)
        supplied = any(one.live is not False and block.start <= one.chainage <= block.end for one in job.services)
        found.append(Block(number, block.id, block.start, block.end, inside, supplied))
    return tuple(found)


def steps_of(job: Job, runs: Sequence[Run]) -> Steps:
    """Return the activities of a plan, with the client's time at hold points between them.

    Parameters
    ----------
    job : Job
        The job. [-]
    runs : sequence of Run
        What the plan decided; the road is opened at both ends of each. [-]

    Returns
    -------
    Steps
        In the order of the work, block by block.
    """
    pace = _Pace(job)
    blocks = blocks_of(job, runs)
    make = _Maker(job, pace)
    for block in blocks:
        make.block(block)
    make.reinstate()
    return Steps(blocks, tuple(make.steps), tuple(make.waits), tuple(pace.assumed))


class _Pace:
    """How much is done by shift: the job's own outputs, else the shipped allowances, which are then listed as assumed."""

    def __init__(self, job: Job) -> None:
        self.outputs = {one.activity: one for one in job.outputs if one.rate}
        self.giving_back = job.giving_back or GivingBack()
        self.assumed: list[Assumed] = []
        self._said: set[str] = set()

    def published(self, key: str, what: str, unit: str, because: Message) -> Published:
        """Return a shipped value, and list it."""
        found = value("programme", key)
        if what not in self._said:
            self._said.add(what)
            self.assumed.append(Assumed(what, found.value if unit != "hours" else found.value / 3600.0, unit, because))
        return found

    def shifts(self, names: Sequence[str], *, count: float, length: float, key: str) -> float:
        """Return the shifts of so many pieces of so much length [m] together."""
        for name in names:
            output = self.outputs.get(name)
            if output is not None and output.rate:
                return (length if output.unit == "m" else count) / output.rate
        because = message("No output of {names} in the job: an allowance without a source was taken, by shift.", names=" / ".join(names))
        rate = self.published(key, f"outputs.{names[-1]}", "", because).value
        return (length if key in {"temporary_supply", "cleaning", "camera"} else count) / rate

    def wait(self, key: Literal["contact", "laboratory"]) -> float:
        """Return a waiting time, the job's own where it gives one [s]."""
        own = self._own(key)
        if own is not None:
            return own
        because = message("The job gives no time for it: the usual of client specifications was taken.")
        return self.published(key, f"programme.{key}", "hours", because).value

    def _own(self, key: str) -> float | None:
        asked = self.giving_back
        if key == "contact":
            return asked.chlorine_time
        if asked.laboratory is None or asked.sample_rounds is None or (asked.sample_rounds > 1 and asked.sample_interval is None):
            return None
        return asked.laboratory + (asked.sample_rounds - 1) * (asked.sample_interval or 0.0)


_After = str | tuple[str, *tuple[WaitPart, ...]]
"""What a step waits for: the id of another, and what has to pass between them."""


def _parts(name: str, *parts: tuple[WaitKind, str, float | None]) -> tuple[WaitPart, ...]:
    """Return what has to pass after a step or block of a name; what takes no time is none."""
    return tuple(WaitPart(f"{name}-{what}", kind, duration) for kind, what, duration in parts if duration)


class _Maker:
    def __init__(self, job: Job, pace: _Pace) -> None:
        self.job = job
        self.pace = pace
        self.steps: list[Step] = []
        self.waits: list[Wait] = []
        self.closers: dict[float, list[str]] = {}
        self.diggers: dict[float, str] = {}
        self.cure = self._cure()
        self.holds = job.programme or ProgrammeRules()

    def _cure(self) -> float:
        if self.job.curing is not None and self.job.curing.fill is not None:
            # Not before the mortar is as old as the floor means, in the wall that is forecast; frost stops the work, not the programme.
            return cure_time(self.job).time or self.job.curing.fill
        found = value("return_to_use", "cure_to_fill")
        because = message("The governing document's own floor was not given: {title}.", title=found.source.title)
        self.pace.assumed.append(Assumed("curing.fill_hours", found.value / 3600.0, "hours", because))
        return found.value

    def add(self, step: Step, after: Iterable[_After] = ()) -> str:
        self.steps.append(step)
        for before in after:
            name, *parts = (before,) if isinstance(before, str) else before
            self.waits.append(Wait(name, step.id, tuple(parts)))
        return step.id

    def piece(self, kind: Kind, block: Block, shifts: float, after: Iterable[_After] = ()) -> str:
        return self.add(Step(f"{block.name}-{kind}", kind, block.number, block.start, block.end, None, shifts), after)

    def block(self, block: Block) -> None:
        pace, name = self.pace, block.name
        ready: list[_After] = []
        sides = 2.0 if self.job.supply is not None and self.job.supply.sides == "both" else 1.0
        laying = pace.shifts(["temporary_supply"], count=1, length=block.length * sides, key="temporary_supply") if block.supplied else 0.0
        if block.supplied:
            ready.append((self.piece("supply", block, laying), *self._sampled(f"{name}-supply")))
        closed = self.piece("isolating", block, pace.shifts(["isolating"], count=1, length=block.length, key="isolating"), ready)
        lined = [self._run(block, run, closed) for run in block.runs]
        seen: list[_After] = [
            (one, *_parts(run.id, ("hold_point", "hold_lined", self.holds.hold_lined))) for run, one in zip(block.runs, lined, strict=True)
        ]
        soak = _parts(name, ("soak", "soak", pace.giving_back.soak))
        fitted: list[_After] = [(one, *soak) for one in self._refit(block, seen)]
        tested = self.piece(
            "pressure_test", block, pace.shifts(["pressure_test"], count=1, length=block.length, key="pressure_test"), fitted
        )
        clean = self.piece(
            "disinfection",
            block,
            pace.shifts(["disinfection"], count=1, length=block.length, key="disinfection"),
            [(tested, *_parts(name, ("hold_point", "hold_tested", self.holds.hold_tested)))],
        )
        passing = [*self._sampled(name), *_parts(name, ("hold_point", "hold_released", self.holds.hold_released))]
        back: _After = (clean, *passing)
        given = self.piece("reconnection", block, pace.shifts(["reconnection"], count=1, length=block.length, key="reconnection"), [back])
        if block.supplied:
            because = message("No output of {names} in the job: an allowance without a source was taken, by shift.", names="supply_removal")
            factor = pace.published("supply_removal", "outputs.supply_removal", "", because).value
            self.piece("supply_removal", block, laying / factor, [given])

    def _sampled(self, name: str) -> tuple[WaitPart, ...]:
        """Return what passes until water may be used: the chlorine stands in the pipe, then the laboratory looks at samples."""
        contact, laboratory = self.pace.wait("contact"), self.pace.wait("laboratory")
        return _parts(name, ("contact", "contact", contact), ("laboratory", "laboratory", laboratory))

    def _run(self, block: Block, run: Run, closed: str) -> str:
        pace, dn = self.pace, run.dn
        dug = [self._dig(block, chainage) for chainage in (run.start, run.end)]
        cleaning = pace.shifts([f"cleaning_dn{dn}", "cleaning"], count=1, length=run.length, key="cleaning")
        cleaned = self.add(_of_run("cleaning", block, run, cleaning), [closed, *dug])
        camera = pace.shifts(["camera"], count=1, length=run.length, key="camera")
        seen = self.add(_of_run("camera_cleaned", block, run, camera), [cleaned])
        least = (self.job.runs.set_up + run.lining_time + self.job.runs.close) / self.job.shift.length
        names = [f"lining_dn{dn}", "lining"]
        lining = max(least, pace.shifts(names, count=run.coats, length=run.length * run.coats, key="lining"))
        accepted = _parts(run.id, ("hold_point", "hold_cleaned", self.holds.hold_cleaned))
        lined = self.add(_of_run("lining", block, run, lining), [(seen, *accepted)])
        return self.add(_of_run("camera_lined", block, run, camera), [(lined, *_parts(run.id, ("cure", "cure", self.cure)))])

    def _dig(self, block: Block, chainage: float) -> str:
        if chainage not in self.diggers:
            shifts = self.pace.shifts(["opening"], count=1, length=0.0, key="opening")
            self.diggers[chainage] = self.add(Step(f"O{chainage:g}-opening", "opening", block.number, chainage, chainage, None, shifts))
        return self.diggers[chainage]

    def _refit(self, block: Block, lined: Sequence[_After]) -> list[str]:
        by_place: dict[float, list[_After]] = {}
        for run, accepted in zip(block.runs, lined, strict=True):
            by_place.setdefault(run.start, []).append(accepted)
            by_place.setdefault(run.end, []).append(accepted)
        found = []
        for chainage in sorted(by_place):
            shifts = self.pace.shifts(["refitting"], count=1, length=0.0, key="refitting")
            name = self.diggers[chainage].replace("-opening", f"-refitting-{block.name}")
            step = Step(name, "refitting", block.number, chainage, chainage, None, shifts)
            found.append(self.add(step, by_place[chainage]))
            self.closers.setdefault(chainage, []).append(f"{block.name}-pressure_test")
        return found

    def reinstate(self) -> None:
        """Close every opening once the joints in it have held."""
        block_of = {step.id: step.block for step in self.steps}
        for chainage in sorted(self.closers):
            shifts = self.pace.shifts(["reinstatement"], count=1, length=0.0, key="reinstatement")
            digger = self.diggers[chainage]
            name = digger.replace("-opening", "-reinstatement")
            self.add(Step(name, "reinstatement", block_of[digger], chainage, chainage, None, shifts), self.closers[chainage])


def _of_run(kind: Kind, block: Block, run: Run, shifts: float) -> Step:
    # Camera and lining are not left half-done over the night where they fit into a shift.
    return Step(f"{run.id}-{kind}", kind, block.number, run.start, run.end, run.id, shifts, one_shift=kind != "cleaning" and shifts <= 1.0)
