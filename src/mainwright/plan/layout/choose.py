"""The layout of a job: where the road is opened, and which runs lie between."""

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from mainwright.errors import InputError
from mainwright.job.job import Job
from mainwright.plan.host import Host
from mainwright.plan.layout.again import Again, reaches_again
from mainwright.plan.layout.candidates import BY_HAND, LENGTH_SLACK, Candidate, find_candidates, known_places
from mainwright.plan.layout.limits import Breach, Line, breaches, equipment_sets, limit_text
from mainwright.plan.layout.money import Rates, rates_of, unpriced
from mainwright.plan.layout.options import Picked, alternative, fewest_openings, least_cost, limit_prices, shortest_closing
from mainwright.plan.layout.problem import LayoutProblem, build
from mainwright.plan.layout.reaches import DIRECTIONS, find_reaches
from mainwright.plan.layout.solution import LayoutRun, LayoutSolution
from mainwright.plan.layout.warnings import input_warnings, run_warnings
from mainwright.plan.lined_run import line_run
from mainwright.plan.placing import Linings
from mainwright.plan.result import Direction, LimitPrice, Opening, PlanWarning
from mainwright.standards.source import Assumed
from mainwright.words.message import Message, Quantity, message

__all__ = ["FixedRun", "choose_layout", "governing"]

_MOST_LINED = 20_000
_PLACES = frozenset({"opening", "dn_change", "lining_head"})


@dataclass(frozen=True, slots=True)
class FixedRun:
    """A run that is done: its openings are there, and it is taken as it is, whatever the limits say. Chainages in metres."""

    start: float
    end: float
    direction: Direction


def choose_layout(
    job: Job,
    host: Host,
    *,
    fixed_runs: Sequence[FixedRun] = (),
    locked: Sequence[float] = (),
    forbidden: Sequence[float] = (),
    prices_of_limits: bool = True,
    linings: Linings | None = None,
    again: Again | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> LayoutSolution:
    """Return the layout that the job asks for, of those that keep every limit the cheapest, with its alternatives and what each limit costs.

    Parameters
    ----------
    job : Job
        A checked job. [-]
    host : Host
        Its main, resolved. [-]
    fixed_runs : sequence of FixedRun
        Runs that are done; they may not overlap. [-]
    locked, forbidden : sequence of float
        Chainages that must and that may not be opened, besides those of the job. [m]
    prices_of_limits : bool
        Whether to look for alternatives and for the price of each limit too; without, the answer comes at once. [-]
    linings : Linings, optional
        How runs of this very job are lined, from an earlier call, so that nothing is computed twice. [-]
    again : Again, optional
        What the last question about this very job left, with the same linings; is filled for the next. [-]
    progress : callable, optional
        Is told how much of how much is done; what it raises ends the work. [-]

    Returns
    -------
    LayoutSolution
        With ``total_cost`` None and a ``stop`` warning where no layout keeps the limits.

    Raises
    ------
    InputError
        If fixed runs overlap or something lies off the main.
    """
    rates = rates_of(job)
    linings = linings or Linings(job, host)
    done = _in_order(fixed_runs, host)
    fixed_by_job = [one.chainage for one in job.openings if one.choice == "locked"]
    barred_by_job = [one.chainage for one in job.openings if one.choice == "forbidden"]
    again = again or Again()
    known = again.known = again.known or known_places(job, host, rates)
    everywhere = [*locked, *fixed_by_job, *_ends(done)]
    candidates = _with_fixed(
        find_candidates(job, host, rates, locked=everywhere, forbidden=[*forbidden, *barred_by_job], known=known), done
    )
    line = Line(job, linings, candidates, linings.same(equipment_sets(job, [one.dn for one in host.lengths])))
    warnings = list(input_warnings(line, rates))
    assumed = [*linings.day.assumed, *_assumed(line, rates)]
    number = sum(not one.closed for one in candidates)
    places = [one.chainage for one in candidates]
    fixed = [(places.index(_place(places, one.start)), DIRECTIONS.index(one.direction)) for one in done]
    before, again.problem = again.problem, None
    reaches = find_reaches(line, fixed) if fixed else reaches_again(line, before)
    layout = again.problem = build(line, rates, fixed, reaches, before)
    picked = least_cost(layout)
    if picked is None:
        warnings += _impossible(layout)
        return LayoutSolution(None, (), (), number, (), (), tuple(warnings), tuple(assumed))
    if progress is not None:
        progress(1, 10)
    wanted, chosen = _wanted(layout, picked, job.runs.choose)
    runs = _runs(wanted, chosen, again)
    warnings += [warning for run in runs for warning in run_warnings(line, run)]
    alternatives = [alternative("least_cost", layout, picked)]
    of_limits: tuple[LimitPrice, ...] = ()
    if prices_of_limits:
        fewest = fewest_openings(layout)
        alternatives.append(alternative("fewest_openings", layout, fewest or picked))
        alternatives.append(alternative("shortest_closing", *shortest_closing(layout, picked)))
        if progress is not None:
            progress(3, 10)
        of_limits = limit_prices(layout, picked, progress=None if progress is None else _later(progress))
    return LayoutSolution(
        total_cost=chosen.cost,
        openings=_openings(wanted, chosen, runs),
        runs=runs,
        candidates=number,
        alternatives=tuple(alternatives),
        limit_prices=of_limits,
        warnings=tuple(sorted(warnings, key=lambda one: -math.inf if one.start is None else one.start)),
        assumed=tuple(assumed),
    )


def _wanted(layout: LayoutProblem, picked: Picked, choose: str | None) -> tuple[LayoutProblem, Picked]:
    """Return the layout that the job asks for, and the problem that it solves."""
    if choose == "fewest_openings":
        return layout, fewest_openings(layout) or picked
    if choose == "shortest_closing":
        return shortest_closing(layout, picked)
    return layout, picked


def _later(progress: Callable[[int, int], None]) -> Callable[[int, int], None]:
    return lambda done, of: progress(3 * of + 7 * done, 10 * of)


def _in_order(fixed_runs: Sequence[FixedRun], host: Host) -> list[FixedRun]:
    done = sorted(fixed_runs, key=lambda one: one.start)
    for one in done:
        if not host.start - LENGTH_SLACK <= one.start < one.end <= host.end + LENGTH_SLACK:
            raise InputError("fixed run", f"{one.start:g} to {one.end:g}", "m", f"a length within {host.start:g} to {host.end:g} m")
    for before, after in itertools.pairwise(done):
        if after.start < before.end - LENGTH_SLACK:
            raise InputError("fixed runs", f"{after.start:g}", "m", f"{before.end:g} m or more: runs that are done do not overlap")
    return done


def _ends(done: Sequence[FixedRun]) -> list[float]:
    return [chainage for one in done for chainage in (one.start, one.end)]


def _place(places: Sequence[float], chainage: float) -> float:
    return next(place for place in places if abs(place - chainage) <= 2.0 * LENGTH_SLACK)


def _with_fixed(candidates: Sequence[Candidate], done: Sequence[FixedRun]) -> tuple[Candidate, ...]:
    """Return the candidates without those inside of what is done; the openings of what is done are there and no longer forbidden."""
    kept = []
    ends = _ends(done)
    for one in candidates:
        if any(run.start + LENGTH_SLACK < one.chainage < run.end - LENGTH_SLACK for run in done):
            continue
        if any(abs(one.chainage - end) <= LENGTH_SLACK for end in ends):
            reasons = [message("end of a run that is done") if reason == BY_HAND else reason for reason in one.reasons]
            kept.append(replace(one, no_dig=None, reasons=tuple(dict.fromkeys(reasons))))
        else:
            kept.append(one)
    return tuple(kept)


def _assumed(line: Line, rates: Rates) -> tuple[Assumed, ...]:
    items = [f"opening_{one.ground.surface}" for one in line.candidates if one.ground is not None and one.ground.surface is not None]
    if any(one.ground is not None and (one.ground.cover or 0.0) > 1.5 for one in line.candidates):
        items.append("opening_extra_depth")
    items += ["set_up_run", "set_up_pump"]
    if any(one.branches for one in line.candidates):
        items.append("branch_treatment")
    items += ["cement", "sand", "traffic_day"]
    found = list(unpriced(items, rates))
    silent = sum(one.ground is None or one.ground.surface is None for one in line.candidates)
    if silent:
        because = message(
            "At {n} candidate {n:opening/openings} the surface is not known: digging is taken as allowed and as costing nothing.", n=silent
        )
        found.append(Assumed("ground.surface", None, "", because))
    because = message("No file gives the gaps of the joints: the mortar that they take is counted as nothing.")
    found.append(Assumed("main.joint_gap_l", 0.0, "l", because))
    return tuple(found)


def _impossible(layout: LayoutProblem) -> list[PlanWarning]:
    """Return where no layout can go on, and which limits would have to give way there."""
    line = layout.line
    found = []
    open_ones = [index for index, one in enumerate(line.candidates) if not one.closed]
    for start, end in itertools.pairwise(open_ones):
        before, after = line.candidates[start], line.candidates[end]
        if any(layout.set_of(start, end, way) is not None for way in (0, 1)):
            continue
        tried = [breaches(line, start, end, equipment, direction) for equipment in line.sets for direction in DIRECTIONS]
        for breach in min(tried, key=len):
            text = message(
                "Nothing can be opened between {start} and {end}, and no run spans them: {why}. Relax this limit, or find a place to open in between.",
                why=limit_text(breach),
                start=Quantity(before.chainage, "m"),
                end=Quantity(after.chainage, "m"),
            )
            found.append(PlanWarning(f"no_layout_{breach.limit}", before.chainage, after.chainage, text, "stop"))
    if not found:
        text = message("No layout keeps the limits in a direction in which its runs can follow each other.")
        found.append(PlanWarning("no_layout", None, None, text, "stop"))
    return found


def _runs(layout: LayoutProblem, picked: Picked, again: Again) -> tuple[LayoutRun, ...]:
    line = layout.line
    fixed = {start for start, _ in layout.fixed}
    runs = []
    pump_at = None
    if len(again.lined) > _MOST_LINED:
        again.lined.clear()
    for start, end, way in zip(picked.openings, picked.openings[1:], picked.ways, strict=False):
        number = layout.set_of(start, end, way)
        equipment = line.sets[number or 0]
        low, high = line.candidates[start].chainage, line.candidates[end].chainage
        inner = line.candidates[start + 1 : end]
        bends = [bend for one in inner for bend in one.bends]
        limit, text = governing(layout, start, end)
        place = end if way == 0 else start
        asked = (low, high, number or 0, way)
        lining = again.lined.get(asked)
        if lining is None:
            lining = again.lined[asked] = line_run(line.linings, low, high, equipment=equipment, direction=DIRECTIONS[way])
        runs.append(
            LayoutRun(
                start=low,
                end=high,
                direction=DIRECTIONS[way],
                dn=line.linings.host.lengths[line.linings.pieces(low, high)[0][0]].dn,
                bends_total=math.fsum(bends),
                bends=len(bends),
                branches=sum(one.branches for one in inner),
                equipment=equipment,
                lining=lining,
                limit=limit,
                limit_text=text,
                cost=layout.price_of(start, end, way) + (0.0 if place == pump_at else layout.pump),
                done=start in fixed,
            )
        )
        pump_at = place
    return tuple(runs)


def _extended(layout: LayoutProblem, start: int, end: int) -> Breach | None:
    """Return what forbids a run, None where some equipment can do it in some direction."""
    if any(layout.set_of(start, end, way) is not None for way in (0, 1)):
        return None
    tried = [breaches(layout.line, start, end, equipment, direction) for equipment in layout.line.sets for direction in DIRECTIONS]
    # The set that fails least is the one that the run would be done with; of equals the last, which has the longest hose.
    return min(reversed(tried), key=len)[0]


def governing(layout: LayoutProblem, start: int, end: int) -> tuple[str, Message]:
    """Return which limit governs a run: what would break first if it went on to the next candidate.

    Parameters
    ----------
    layout : LayoutProblem
        The problem. [-]
    start, end : int
        Candidates at the ends of the run. [-]

    Returns
    -------
    tuple
        Name and text: a limit, ``end_of_main``, or ``cost`` where the run could go on and that would not be cheaper. Where it ends at a
        place at which every run ends, a limit that keeps it from beginning a candidate earlier counts before that place.
    """
    if start in {one for one, _ in layout.fixed}:
        return "done", message("lined already")
    candidates = layout.line.candidates
    following = next((index for index in range(end + 1, len(candidates)) if not candidates[index].closed), None)
    earlier = next((index for index in range(start - 1, -1, -1) if not candidates[index].closed), None)
    ahead = None if following is None else _extended(layout, start, following)
    if ahead is not None and ahead.limit not in _PLACES:
        return ahead.limit, message(
            "to go on to {next}: {why}", why=limit_text(ahead), next=Quantity(candidates[following or 0].chainage, "m")
        )
    if ahead is None and following is not None:
        return "cost", message("no limit: the run could go on and would not be cheaper")
    behind = None if earlier is None else _extended(layout, earlier, end)
    if behind is not None and behind.limit not in _PLACES:
        return behind.limit, message(
            "to begin at {next}: {why}", why=limit_text(behind), next=Quantity(candidates[earlier or 0].chainage, "m")
        )
    if ahead is None:
        return "end_of_main", message("the main ends here")
    return ahead.limit, message("at {next}: {why}", why=limit_text(ahead), next=Quantity(candidates[end].chainage, "m"))


def _openings(layout: LayoutProblem, picked: Picked, runs: Sequence[LayoutRun]) -> tuple[Opening, ...]:
    line = layout.line
    pumps = {run.end if run.direction == "increasing" else run.start for run in runs}
    found = []
    for number, index in enumerate(picked.openings):
        one = line.candidates[index]
        must = index in (0, len(line.candidates) - 1) or _must(line, one)
        reasons = list(one.reasons)
        if not must and number:
            run = runs[number - 1]
            reasons.append(run.limit_text)
        found.append(
            Opening(
                chainage=one.chainage,
                reasons=tuple(reasons),
                surface=None if one.ground is None else one.ground.surface,
                cover=None if one.ground is None else one.ground.cover,
                pump_here=one.chainage in pumps,
                cost=one.price,
                must=must,
            )
        )
    return tuple(found)


def _must(line: Line, one: Candidate) -> bool:
    most = max(line.bend_limit(equipment.head) for equipment in line.sets)
    step = line.job.runs.bore_step_max + LENGTH_SLACK
    return one.must or one.dn_change or one.bore_step > step or max(one.bends, default=0.0) > most + 1e-9
