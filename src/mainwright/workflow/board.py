"""How each job stands and what is due next, from what is known already: dates, permits, notices and records. No job is planned for it."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING, Final, Literal, Protocol

from mainwright.workflow.keeping import records_in_force
from mainwright.workflow.store_ports import NewRecord

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from mainwright.job.job import Job
    from mainwright.plan.result import Plan
    from mainwright.workflow.ports import JobRead
    from mainwright.workflow.store_ports import KeptRecord, KeptRevision

__all__ = ["Board", "Due", "DueKind", "JobCard", "Phase", "Tally"]

Phase = Literal["unread", "survey", "planning", "issued", "lining", "returned"]
"""How far a job is: not read yet; faults stand in it; it can be planned; its plan was issued; runs are on record; the water was accepted."""

DueKind = Literal[
    "faults", "first_day", "begin", "letters", "permit_begins", "permit_ends", "permit_over", "thickness", "curing", "signature", "water"
]

_ARCHIVE: Final = "archive"
_DAY: Final = 86_400.0


@dataclass(frozen=True, slots=True)
class Tally:
    """What the records of a job hold.

    Attributes
    ----------
    issued
        Whether a plan was issued.
    lined, measured, cured, signed
        Runs that were lined; those with a thickness reading, with a reading of curing, with a signature that accepts.
    water
        Whether somebody accepted the water.
    """

    issued: bool = False
    lined: frozenset[str] = frozenset()
    measured: frozenset[str] = frozenset()
    cured: frozenset[str] = frozenset()
    signed: frozenset[str] = frozenset()
    water: bool = False


@dataclass(frozen=True, slots=True)
class Due:
    """Something that waits: of which kind, by which day where there is one, how many, and its name."""

    kind: DueKind
    day: date | None = None
    count: int = 0
    what: str = ""


@dataclass(frozen=True, slots=True)
class JobCard:
    """A job as the list shows it.

    Attributes
    ----------
    name, revision
        Its name in addresses, and its latest revision.
    job
        What it says; None where it has faults or was not read yet.
    phase
        How far it is.
    runs_lined
        Runs on record.
    runs
        Runs of its plan, None where no plan was made yet.
    due
        What waits, the most urgent first.
    archived
        Whether somebody put it away.
    """

    name: str
    revision: KeptRevision
    job: Job | None
    phase: Phase
    runs_lined: int
    runs: int | None
    due: tuple[Due, ...]
    archived: bool


class _AtHand(Protocol):
    @property
    def read(self) -> JobRead: ...


class _Listed(Protocol):
    @property
    def name(self) -> str: ...
    @property
    def revision(self) -> KeptRevision: ...
    @property
    def at_hand(self) -> _AtHand | None: ...


class _Shelf(Protocol):
    def latest(self) -> Mapping[str, KeptRevision]: ...
    def record_counts(self) -> Mapping[str, int]: ...
    def records(self, name: str) -> Sequence[KeptRecord]: ...
    def library(self, name: str) -> Sequence[KeptRecord]: ...
    def add_to_library(self, name: str, new: Sequence[NewRecord], *, author: str) -> None: ...


class _Jobs(Protocol):
    """What the list asks of the jobs at hand."""

    @property
    def shelf(self) -> _Shelf: ...
    def listed(self) -> Sequence[_Listed]: ...
    def plan_at_hand(self, job: Job) -> Plan | None: ...


_NOTHING: Final = Tally()


@dataclass(frozen=True, slots=True)
class _Held:
    """A card, and what it was made of: the job as it was read, what its records hold, and the rest."""

    at_hand: _AtHand | None
    tally: Tally
    rest: tuple[KeptRevision, int | None, date, bool]
    card: JobCard


class Board:
    """The list of jobs.

    Parameters
    ----------
    jobs : JobsAtHand
        The jobs. [-]
    """

    def __init__(self, jobs: _Jobs) -> None:
        self._jobs = jobs
        self._lock = threading.Lock()
        self._tallies: dict[str, tuple[int, Tally]] = {}
        self._cards: dict[str, _Held] = {}

    def cards(self, today: date) -> Sequence[JobCard]:
        """Return every job, those that were put away too.

        Parameters
        ----------
        today : date
            By which what is due is told from what is over. [-]

        Returns
        -------
        sequence of JobCard
            In the order of the store; the same card for as long as nothing of it changed.
        """
        counts = self._jobs.shelf.record_counts()
        away = self._archived()
        with self._lock:
            before = self._cards
        cards: dict[str, _Held] = {}
        for one in self._jobs.listed():
            tally = self._tally(one.name, counts.get(one.name, 0))
            job = None if one.at_hand is None else one.at_hand.read.job
            plan = None if job is None else self._jobs.plan_at_hand(job)
            rest = (one.revision, None if plan is None else len(plan.runs), today, one.revision.job in away)
            held = before.get(one.name)
            if held is None or held.at_hand is not one.at_hand or held.tally is not tally or held.rest != rest:
                held = _Held(one.at_hand, tally, rest, _card(one, tally, *rest[1:]))
            cards[one.name] = held
        with self._lock:
            self._cards = cards
        return [held.card for held in cards.values()]

    def archive(self, names: Sequence[str], *, away: bool, author: str) -> int:
        """Put jobs away, or take them out again; nothing of them is deleted.

        Parameters
        ----------
        names : sequence of str
            Of the jobs, in addresses; others are passed over. [-]
        away : bool
            Whether they are put away. [-]
        author : str
            Who does it. [-]

        Returns
        -------
        int
            How many changed.
        """
        latest, there = self._jobs.shelf.latest(), self._archived()
        wanted = [latest[name].job for name in dict.fromkeys(names) if name in latest]
        changed = [one for one in wanted if (one in there) != away]
        self._jobs.shelf.add_to_library(_ARCHIVE, [NewRecord("job", {"job": one, "away": away}) for one in changed], author=author)
        return len(changed)

    def _archived(self) -> set[str]:
        found: dict[str, bool] = {}
        for one in self._jobs.shelf.library(_ARCHIVE):
            if one.row is not None:
                found[str(one.row["job"])] = bool(one.row["away"])
        return {job for job, away in found.items() if away}

    def _tally(self, name: str, count: int) -> Tally:
        if not count:
            return _NOTHING
        with self._lock:
            kept = self._tallies.get(name)
        if kept is not None and kept[0] == count:
            return kept[1]
        made = _tally_of(records_in_force(self._jobs.shelf.records(name)))
        with self._lock:
            self._tallies[name] = (count, made)
        return made


def _card(listed: _Listed, tally: Tally, runs: int | None, today: date, away: bool) -> JobCard:
    job = None if listed.at_hand is None else listed.at_hand.read.job
    faults = 0 if listed.at_hand is None or job is not None else len(listed.at_hand.read.faults)
    phase = _phase(listed, tally)
    due = [Due("faults", count=faults)] if faults else []
    due += sorted(_days(job, phase, today) if job is not None else [], key=lambda one: (one.day is None, one.day))
    due += _proof(tally)
    return JobCard(listed.name, listed.revision, job, phase, len(tally.lined), runs, tuple(due), away)


def _tally_of(records: Sequence[KeptRecord]) -> Tally:
    runs: dict[str, set[str]] = {"runs_done": set(), "thickness": set(), "curing": set()}
    decided: dict[str, bool] = {}
    issued = False
    for one in records:
        row: Mapping[str, object] = one.row or {}
        run = row.get("run")
        if one.kind in runs and run is not None:
            runs[one.kind].add(str(run))
        elif one.kind == "signatures":
            decided["" if row.get("what") == "water" else str(run)] = row.get("decision") == "accepts"
        elif one.kind == "plan":
            issued = True
    signed = frozenset(run for run, accepted in decided.items() if run and accepted)
    return Tally(
        issued,
        frozenset(runs["runs_done"]),
        frozenset(runs["thickness"]),
        frozenset(runs["curing"]),
        signed,
        decided.get("", False),
    )


def _phase(listed: _Listed, tally: Tally) -> Phase:
    if tally.water:
        return "returned"
    if tally.lined:
        return "lining"
    if listed.at_hand is None:
        return "unread"
    if listed.at_hand.read.job is None:
        return "survey"
    return "issued" if tally.issued else "planning"


def _days(job: Job, phase: Phase, today: date) -> list[Due]:
    """Return what the dates of a job ask, until its water is accepted."""
    if phase == "returned":
        return []
    found = []
    begun, first = phase == "lining", job.info.first_day
    if first is None:
        found.append(Due("first_day"))
    elif not begun:
        found.append(Due("begin", first))
        notice = None if job.giving_back is None else job.giving_back.notice
        if notice is not None and job.services:
            found.append(Due("letters", first - timedelta(days=round(notice / _DAY))))
    for one in job.permits:
        if one.last_day is not None and one.last_day < today:
            found.append(Due("permit_over", one.last_day, what=one.ref))
        elif one.first_day is not None and one.first_day > today:
            found.append(Due("permit_begins", one.first_day, what=one.ref))
        elif one.last_day is not None:
            found.append(Due("permit_ends", one.last_day, what=one.ref))
    return found


def _proof(tally: Tally) -> list[Due]:
    """Return what is missing of the proof of the runs that were lined."""
    wanted: tuple[tuple[DueKind, frozenset[str]], ...] = (
        ("thickness", tally.measured),
        ("curing", tally.cured),
        ("signature", tally.signed),
    )
    found = [Due(kind, count=len(tally.lined - there)) for kind, there in wanted if tally.lined - there]
    if tally.lined and not found and not tally.water:
        found.append(Due("water"))
    return found
