"""What the camera saw: both passes, water in the pipe, and each finding against what was asked at its place."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from mainwright.job.job import Job
from mainwright.job.records import Observation, Records
from mainwright.plan.host import HostStretch
from mainwright.plan.result import Run
from mainwright.prove.verdict import PartVerdict
from mainwright.words.message import Message, Quantity, message

__all__ = ["SEEN", "SHORT", "CameraPass", "CameraProof", "Finding", "judge_camera"]

_WATER: Final = frozenset({"water", "standing_water", "water_in_invert", "water_in_pipe"})
_BARE: Final = frozenset({"bare", "bare_wall", "bare_metal", "no_lining", "missing_lining"})
_BLOCKED: Final = frozenset({"blocked_connection", "connection_blocked", "blocked_tapping"})
_PLAIN: Final = frozenset(
    {"start", "end", "connection", "joint", "remark", "bend", "tee", "cross", "gate_valve", "hydrant", "branch", "reducer"}
)
_BEFORE: Final = "cleaned"
SEEN: Final = {
    **dict.fromkeys(_WATER, message("water in the pipe")),
    **dict.fromkeys(_BARE, message("bare wall")),
    **dict.fromkeys(_BLOCKED, message("blocked connection")),
    "crack": message("crack"),
    "ripple": message("ripple"),
    "slump": message("slump"),
    "spall": message("spalled mortar"),
    "blister": message("blister"),
    "thin": message("thin lining"),
    "deposits": message("deposits"),
    "debris": message("debris"),
    "open_joint": message("open joint"),
    "hole": message("hole"),
}
"""What the usual things are called; any other stands as it was written, small and with underlines for blanks."""
SHORT: Final = 1.0
"""A pass whose rows end so far from an end of the run is told. [m]"""


@dataclass(frozen=True, slots=True)
class CameraPass:
    """One pass: how many rows, between which chainages [m] they lie, when they were written, and whether water stood in the pipe."""

    name: Literal["cleaned", "lined"]
    rows: int
    start: float | None
    end: float | None
    first: datetime | None
    last: datetime | None
    water: bool


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that the camera saw, with the widest that may stay [m] where the contract enters one."""

    camera_pass: str
    chainage: float
    clock_from: float | None
    clock_to: float | None
    kind: str
    size: float | None
    limit: float | None
    photo: str | None
    verdict: PartVerdict
    because: Message | None


@dataclass(frozen=True, slots=True)
class CameraProof:
    """The camera of one run."""

    verdict: PartVerdict
    passes: tuple[CameraPass, ...]
    findings: tuple[Finding, ...]
    notes: tuple[Message, ...]


def judge_camera(job: Job, run: Run, records: Records, host: Sequence[HostStretch]) -> CameraProof:
    """Return what the camera record of a run shows.

    Parameters
    ----------
    job : Job
        The job; its evidence says whether a camera is asked, and whether a video with water in the pipe counts. [-]
    run : Run
        The run. [-]
    records : Records
        What happened. [-]
    host : sequence of HostStretch
        The main with the crack limit at each place. [-]

    Returns
    -------
    CameraProof
        A crack wider than its limit, or a bare place, does not meet what was asked. A crack without a size or without a limit, a connection
        that is blocked, or a pass that does not count leave it incomplete.
    """
    rows = [one for one in records.observations if one.run == run.id]
    evidence = job.acceptance.evidence if job.acceptance is not None else ()
    asked, dry = "camera" in evidence or "camera_dry" in evidence, "camera_dry" in evidence
    passes = tuple(_pass(name, [one for one in rows if one.camera_pass == name]) for name in ("cleaned", "lined"))
    findings = tuple(
        _finding(one, run, host) for one in sorted(rows, key=lambda one: (one.camera_pass or "", one.chainage)) if _kind(one) not in _PLAIN
    )
    notes = []
    for one in passes:
        if one.start is None or one.end is None:
            continue
        if one.start > run.start + SHORT or one.end < run.end - SHORT:
            text = message(
                "The rows of the pass ({name}) lie between {start} and {end}: that the camera saw the rest, only its video shows.",
                name=message("cleaned bore") if one.name == "cleaned" else message("lining"),
                start=Quantity(one.start, "m", 1),
                end=Quantity(one.end, "m", 1),
            )
            notes.append(text)
        if one.water:
            notes.append(
                message("Water stood in the pipe: {name}.", name=message("cleaned bore") if one.name == "cleaned" else message("lining"))
            )
    refused = dry and any(one.water for one in passes)
    if refused:
        notes.append(message("A video with water in the pipe does not count by this contract: the pass is to be repeated."))
    if any(one.verdict == "does_not_meet" for one in findings):
        verdict: PartVerdict = "does_not_meet"
    elif (asked and any(one.rows == 0 for one in passes)) or refused or any(one.verdict == "incomplete" for one in findings):
        verdict = "incomplete"
    else:
        verdict = "meets" if asked else "not_asked"
    return CameraProof(verdict, passes, findings, tuple(notes))


def _kind(one: Observation) -> str:
    return one.kind.strip().lower().replace(" ", "_").replace("-", "_")


def _pass(name: Literal["cleaned", "lined"], rows: Sequence[Observation]) -> CameraPass:
    times = [one.time for one in rows if one.time is not None]
    chainages = [one.chainage for one in rows]
    return CameraPass(
        name=name,
        rows=len(rows),
        start=min(chainages, default=None),
        end=max(chainages, default=None),
        first=min(times, default=None),
        last=max(times, default=None),
        water=any(_kind(one) in _WATER for one in rows),
    )


def _finding(one: Observation, run: Run, host: Sequence[HostStretch]) -> Finding:
    kind = _kind(one)
    limit: float | None = None
    verdict: PartVerdict = "not_asked"
    because: Message | None = None
    # What was seen before lining is for the lining to cover; only what is there after it is judged.
    if one.camera_pass != _BEFORE:
        if kind.startswith("crack"):
            # Where two rows of the main meet, the narrower limit holds.
            limits = [part.lining.crack_limit for part in host if part.start <= one.chainage <= part.end]
            limit = min((value for value in limits if value is not None), default=None)
            if limit is None:
                verdict, because = "incomplete", message("a crack, and the contract enters no widest one")
            elif one.size is None:
                verdict, because = "incomplete", message("a crack of unknown width; {limit} may stay", limit=Quantity(limit, "mm", 2))
            elif one.size > limit:
                verdict = "does_not_meet"
                because = message("crack {size}, {limit} may stay", size=Quantity(one.size, "mm", 2), limit=Quantity(limit, "mm", 2))
            else:
                verdict = "meets"
        elif kind in _BARE:
            verdict, because = "does_not_meet", message("bare wall")
        elif kind in _BLOCKED:
            verdict, because = "incomplete", message("a blocked connection: it is to be cleared and seen again")
    return Finding(one.camera_pass or "", one.chainage, one.clock_from, one.clock_to, kind, one.size, limit, one.photo, verdict, because)
