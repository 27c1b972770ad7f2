"""Planning the rest anew at the roadside: what is done is frozen, what was found becomes a must, ids stay with what stands."""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from mainwright.errors import InputError
from mainwright.job.job import Job
from mainwright.job.plant import Pump
from mainwright.job.records import Obstruction, Records, RunDone
from mainwright.plan.issued import Issued
from mainwright.plan.result import Direction, Opening, PlanWarning, Run, RunSetting
from mainwright.plan.run_sheet import marks
from mainwright.words.message import Message, message

__all__ = ["Frozen", "Span", "freeze", "name_runs", "place_in", "places_found", "pumps_today", "reasons_on_site"]

Span = tuple[float, float, Direction]
"""Start and end [m] of a run, and the way of its head."""

_SAME_PLACE: Final = 0.005
"""Two chainages nearer than this are one place: files give them to the centimetre. [m]"""

_AS_ISSUED: Final = 1.0
"""A complete run whose recorded ends are within this of the issued ones was lined as issued: a tape at a cut is no better. [m]"""

_SETTINGS_OF_A_TEST: Final = 2

_NUMBER: Final = re.compile(r"R0*([0-9]{1,6})")


@dataclass(frozen=True, slots=True)
class Frozen:
    """What is done, in order of chainage."""

    runs: tuple[Run, ...]
    warnings: tuple[PlanWarning, ...]


def freeze(job: Job, issued: Issued, records: Records) -> Frozen:
    """Return what records say is done, as it was issued.

    Parameters
    ----------
    job : Job
        The job, for the places that a written chainage means. [-]
    issued : Issued
        The plan that was followed. [-]
    records : Records
        What happened. [-]

    Returns
    -------
    Frozen
        Runs done.

    Raises
    ------
    InputError
        If a record names a run that the issued plan does not have, or a length outside its run.
    """
    known = {run.id: run for run in issued.runs}
    rows: dict[str, list[RunDone]] = {}
    for written in records.runs_done:
        row = replace(written, start=place_in(job, written.start), end=place_in(job, written.end))
        if row.run not in known:
            raise InputError("records/runs_done.csv: run", row.run, "", "a run of the issued plan: " + ", ".join(known))
        rows.setdefault(row.run, []).append(row)
    runs = [run for run in issued.runs if run.done and run.id not in rows]
    warnings: list[PlanWarning] = []
    for name, lined in rows.items():
        pieces = _done_pieces(known[name], lined)
        runs += pieces
        warnings += _coat_warnings(known[name], lined, pieces)
    runs.sort(key=lambda run: (run.start, run.id))
    for before, after in pairwise(runs):
        if after.start < before.end - _SAME_PLACE:
            raise InputError(
                "records/runs_done.csv: run",
                f"{after.id} from {after.start:g}",
                "m",
                f"runs that do not overlap; {before.id} goes to {before.end:g} m",
            )
    return Frozen(tuple(runs), tuple(warnings))


def _span(run: Run, row: RunDone) -> tuple[float, float] | None:
    """Return the length that a record says was lined, with the run's own ends where a tape at a cut is no better; None for nothing."""
    low, high = min(row.start, row.end), max(row.start, row.end)
    if low < run.start - _AS_ISSUED or high > run.end + _AS_ISSUED:
        raise InputError(
            f"records/runs_done.csv: from_m and to_m of run {run.id}", f"{low:g} to {high:g}", "m", f"{run.start:g} to {run.end:g}"
        )
    if high - low <= _SAME_PLACE or (high - low <= _AS_ISSUED and row.outcome != "complete"):
        return None
    return run.start if abs(low - run.start) <= _AS_ISSUED else low, run.end if abs(high - run.end) <= _AS_ISSUED else high


def _joined(spans: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return lengths that touch or overlap as one."""
    found: list[tuple[float, float]] = []
    for low, high in sorted(spans):
        if found and low <= found[-1][1] + _SAME_PLACE:
            found[-1] = (found[-1][0], max(found[-1][1], high))
        else:
            found.append((low, high))
    return found


def _done_pieces(run: Run, rows: Sequence[RunDone]) -> list[Run]:
    """Return the lengths of one issued run that were lined: each coat covers the same, a split run has several."""
    if run.done:
        return [run]
    spans = _joined([span for row in rows if (span := _span(run, row)) is not None])
    ways = [row.direction for row in rows if row.direction is not None]
    way = ways[-1] if ways else run.direction
    return [
        _cut(run, start=low, end=high, direction=way, name=run.id if number == 1 else f"{run.id}-{number}")
        for number, (low, high) in enumerate(spans, start=1)
    ]


def _cut(run: Run, *, start: float, end: float, direction: Direction, name: str) -> Run:
    """Return an issued run as done; where less of it was lined, with its quantities by length and the whole hose filling."""
    if (start, end, direction) == (run.start, run.end, run.direction):
        return replace(run, done=True, id=name)
    settings = _clip(run.settings, start, end)
    length = end - start
    ring = math.fsum(one.mortar_per_length * (one.end - one.start) for one in settings)
    mortar = run.hose_filling + (run.mortar - run.hose_filling) * ring / (run.mortar_per_length * run.length)
    share = mortar / run.mortar if run.mortar > 0.0 else 1.0
    # With several coats the speed is that of all of them together.
    time = sum((one.end - one.start) / one.speed for one in settings)
    windows = tuple(one for one in run.windows if start <= one.chainage <= end)
    return replace(
        run,
        id=name,
        start=start,
        end=end,
        direction=direction,
        length=length,
        done=True,
        aim=max(one.aim for one in settings),
        mortar_per_length=ring / length,
        settings=settings,
        marks=marks(settings, direction),
        mortar=mortar,
        cement=run.cement * share,
        sand=run.sand * share,
        water=run.water * share,
        bags=round(run.bags * share),
        lining_time=time,
        speed=length / time,
        windows=windows,
        connections=len(windows),
        batch_clock=(),
        longest_stop=None,
        coat_settings=tuple(_clip(coat, start, end) for coat in run.coat_settings),
    )


def _clip(settings: Sequence[RunSetting], start: float, end: float) -> tuple[RunSetting, ...]:
    return tuple(
        replace(one, start=max(one.start, start), end=min(one.end, end)) for one in settings if one.start < end and one.end > start
    )


def _coat_warnings(run: Run, rows: Sequence[RunDone], pieces: Sequence[Run]) -> list[PlanWarning]:
    if run.done or not pieces:
        return []
    whole = [(piece.start, piece.end) for piece in pieces]
    by_coat: dict[int, list[tuple[float, float]]] = {}
    for row in rows:
        span = _span(run, row)
        if span is not None:
            by_coat.setdefault(row.coat or 1, []).append(span)
    laid = sum(_joined(spans) == whole for spans in by_coat.values())
    if laid >= run.coats:
        return []
    text = message(
        "Run {run} has {laid} of its {coats} {coats:coat/coats}: the rest is still to be laid.", run=run.id, laid=laid, coats=run.coats
    )
    return [PlanWarning("coats_missing", run.start, run.end, text, "act")]


def places_found(job: Job, obstructions: Sequence[Obstruction]) -> tuple[float, ...]:
    """Return where something was found that has to come out: there an opening must be.

    Parameters
    ----------
    job : Job
        The job. [-]
    obstructions : sequence of Obstruction
        What was found. [-]

    Returns
    -------
    tuple of float
        Chainages in order, as `place_in` gives them. [m]

    Raises
    ------
    InputError
        If one lies outside the main.
    """
    start, end = job.main[0].start, job.main[-1].end
    places = set()
    for one in obstructions:
        if not start <= one.chainage <= end:
            raise InputError("records/obstructions.csv: chainage_m", one.chainage, "m", f"{start:g} to {end:g}, on the main")
        places.add(place_in(job, one.chainage))
    return tuple(sorted(places))


def place_in(job: Job, chainage: float) -> float:
    """Return the place of the job that a written chainage means: the same within 5 mm, or itself where the job has none.

    Parameters
    ----------
    job : Job
        The job. [-]
    chainage : float
        As it was written down, or as an issued plan has it. [m]

    Returns
    -------
    float
        Of the feature, or of the end of a stretch or a ground there: so no run of a few millimetres comes about. [m]
    """
    places = [one.chainage for one in job.features]
    places += [end for row in job.main for end in (row.start, row.end)]
    places += [end for row in job.ground for end in (row.start, row.end)]
    near = min(places, key=lambda place: (abs(place - chainage), place))
    return near if abs(near - chainage) <= _SAME_PLACE else chainage


def pumps_today(job: Job, records: Records) -> Job:
    """Return the job with the pumps' last tests through the hose in place of those that it came with.

    Parameters
    ----------
    job : Job
        The job. [-]
    records : Records
        What happened. [-]

    Returns
    -------
    Job
        A pump of which the last day of tests has two settings or more is set by these; an open bucket takes the place of nothing.
    """

    def latest(pump: Pump) -> Pump:
        rows = [row for row in records.pump_test if row.pump == pump.name and row.through_hose and row.setting is not None]
        days = [row.time.date() for row in rows if row.time is not None]
        if days:
            rows = [row for row in rows if row.time is not None and row.time.date() == max(days)]
        points = tuple((row.setting, row.volume / row.duration) for row in rows if row.setting is not None)
        if len({setting for setting, _ in points}) < _SETTINGS_OF_A_TEST:
            return pump
        return replace(pump, points=points, tested_through_hose=True)

    return replace(job, plant=replace(job.plant, pumps=tuple(latest(pump) for pump in job.plant.pumps)))


def reasons_on_site(
    opening: Opening, *, frozen: Frozen, before: Sequence[Opening], obstructions: Sequence[Obstruction]
) -> tuple[Message, ...]:
    """Return why an opening is there: because of what was found, or, at the end of what is done, why it was there before.

    Parameters
    ----------
    opening : Opening
        As the layout gives it. [-]
    frozen : Frozen
        What is done. [-]
    before : sequence of Opening
        Of the issued plan. [-]
    obstructions : sequence of Obstruction
        What was found. [-]

    Returns
    -------
    tuple of Message
        Its reasons.
    """
    found = tuple(
        message("obstruction found on site: {kind}", kind=one.kind) if one.kind else message("obstruction found on site")
        for one in obstructions
        if abs(one.chainage - opening.chainage) <= _SAME_PLACE
    )
    if found:
        return found
    if any(abs(opening.chainage - edge) <= _SAME_PLACE for run in frozen.runs for edge in (run.start, run.end)):
        was = next((one for one in before if abs(one.chainage - opening.chainage) <= _SAME_PLACE), None)
        return (message("end of what is lined"),) if was is None else was.reasons
    return opening.reasons


def name_runs(spans: Sequence[Span], issued: Issued | None) -> tuple[str, ...]:
    """Return an id for each run: the one it had as long as it stands, else one that was never used.

    Parameters
    ----------
    spans : sequence of Span
        The runs that are to be named, in order of chainage. [-]
    issued : Issued or None
        The plan before, None for a first one. [-]

    Returns
    -------
    tuple of str
        One for each span. A run stands while its two openings and the way of its head stay.

    Examples
    --------
    >>> name_runs([(0.0, 80.0, "increasing"), (80.0, 150.0, "decreasing")], None)
    ('R01', 'R02')
    """
    old = () if issued is None else tuple(run for run in issued.runs if not run.done)
    used = () if issued is None else (*(run.id for run in issued.runs), *issued.retired)
    last = max((int(found[1]) for name in used if (found := _NUMBER.match(name))), default=0)
    names = []
    for start, end, direction in spans:
        same = [
            run.id
            for run in old
            if abs(run.start - start) <= _SAME_PLACE and abs(run.end - end) <= _SAME_PLACE and run.direction == direction
        ]
        if same:
            names.append(same[0])
        else:
            last += 1
            names.append(f"R{last:02d}")
    return tuple(names)
