"""The whole plan, and the one function of a job that makes it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from mainwright.job.job import Job
from mainwright.job.records import Obstruction, Records
from mainwright.plan.ask_first import ask_first, chances_assumed
from mainwright.plan.batch_clock import batch_warnings
from mainwright.plan.bill import bill_cost, bill_of_plan, price_unit_warnings
from mainwright.plan.cautions import for_opening, for_plan, for_run
from mainwright.plan.changes import plan_changes
from mainwright.plan.cleaning import cleaning_assumed, cleaning_warnings, plan_cleaning
from mainwright.plan.contract import contract_gaps
from mainwright.plan.cost.spread import cost_assumed, cost_spread
from mainwright.plan.cost.whole_life import break_even, life_assumed, whole_life
from mainwright.plan.gathering import (
    assumed_defaults,
    assumed_prices,
    distinct_assumed,
    distinct_sources,
    giving_back_warnings,
    in_order,
    run_warnings,
    suitability_warnings,
    supply_warnings,
)
from mainwright.plan.hold_points import clearing_pressure
from mainwright.plan.host import Host, resolve_host
from mainwright.plan.hydraulics import hydraulics
from mainwright.plan.issued import Issued, read_issued
from mainwright.plan.layout.choose import FixedRun, choose_layout
from mainwright.plan.layout.solution import LayoutSolution
from mainwright.plan.options import compare_new_pipes
from mainwright.plan.practice_check import compare_with_practice
from mainwright.plan.programme.programme import Programmed, Search, make_programme
from mainwright.plan.programme.progress import how_far, moved
from mainwright.plan.pump_setting import pump_setting, pump_warnings
from mainwright.plan.replan import Frozen, freeze, name_runs, place_in, places_found, pumps_today, reasons_on_site
from mainwright.plan.result import Cleaning, Layout, Opening, Plan, PlanWarning, Run, Suitability
from mainwright.plan.return_to_service.giving_back import giving_back, giving_back_assumed
from mainwright.plan.run_sheet import job_mix, make_run
from mainwright.plan.stretches import lined_stretches
from mainwright.plan.suitability import assess
from mainwright.plan.supply.solution import temporary_supply
from mainwright.plan.taken import taken_sources
from mainwright.standards.source import Source
from mainwright.words.message import message

__all__ = ["Progress", "make_plan"]

Progress = Callable[[int, int], None]
"""Is told how many of how many steps are done; to stop the work, raise from it."""

_STEPS: Final = 22
_LAYOUT_FROM: Final = 2
_LAYOUT_TO: Final = 17


@dataclass(frozen=True, slots=True)
class _Site:
    """The job as it is today, what is done, and what was found."""

    job: Job
    host: Host
    issued: Issued | None
    frozen: Frozen
    obstructions: tuple[Obstruction, ...]
    records: Records


def make_plan(
    job: Job,
    *,
    records: Records | None = None,
    issued: object | None = None,
    search: Search | None = None,
    progress: Progress | None = None,
) -> Plan:
    """Return the plan of a job: the same job, the same plan.

    Parameters
    ----------
    job : Job
        A checked job. [-]
    records : Records or None
        What happened; it counts only together with an issued plan. [-]
    issued : object or None
        The document of the plan that was issued, as a JSON reader gives it; None for a first plan. [-]
    search : Search or None
        How long to look for a programme; the usual where not given. [-]
    progress : callable or None
        Is told how many of how many steps are done. [-]

    Returns
    -------
    Plan
        Also where no layout keeps the limits: then it says where and which limit.

    Raises
    ------
    InputError
        If the issued plan is not one, or the records do not fit it.
    """
    tell: Progress = progress or (lambda _done, _of: None)
    tell(0, _STEPS)
    site = _site(job, records or Records(), None if issued is None else read_issued(issued))
    tell(1, _STEPS)
    suitability = assess(site.job, site.host)
    tell(_LAYOUT_FROM, _STEPS)
    solution = choose_layout(
        site.job,
        site.host,
        fixed_runs=[FixedRun(place_in(job, run.start), place_in(job, run.end), run.direction) for run in site.frozen.runs],
        locked=places_found(job, site.obstructions),
        progress=lambda done, of: tell(_LAYOUT_FROM + (_LAYOUT_TO - _LAYOUT_FROM) * done // of, _STEPS),
    )
    tell(_LAYOUT_TO, _STEPS)
    runs, pump_notes = _runs(site, solution)
    openings = _openings(site, solution)
    stretches = lined_stretches(site.host, runs)
    gains = hydraulics(site.job, host=site.host, stretches=stretches)
    cleaning = _cleaning(site, runs)
    tell(_LAYOUT_TO + 1, _STEPS)
    opened = [opening.chainage for opening in openings]
    # Whoever looks on may stop it while the programme is looked for, too.
    looking = search or Search(progress=lambda _weight, _bound: tell(_LAYOUT_TO + 1, _STEPS))
    programme, granted, timed = _programme(site, runs, looking)
    tell(_LAYOUT_TO + 2, _STEPS)
    back = giving_back(site.job, site.host, runs=runs, stretches=stretches, programme=programme)
    supply = temporary_supply(site.job, back=back, programme=programme)
    tell(_LAYOUT_TO + 3, _STEPS)
    bill = bill_of_plan(
        site.job,
        openings=openings,
        runs=runs,
        cleaning=cleaning,
        supply=supply,
        shifts=0.0 if programme is None else programme.shifts,
    )
    cost = bill_cost(bill)
    compared = compare_new_pipes(site.job, stretches=stretches, gains=gains.results, cost=cost)
    blocks = 0 if back is None else len(back.blocks)
    spread = cost_spread(site.job, bill=bill, openings=openings, runs=runs, programme=programme, blocks=blocks)
    life = whole_life(site.job, stretches=stretches, gains=gains.results, comparisons=compared.ways, bill=bill)
    tell(_LAYOUT_TO + 4, _STEPS)
    assumed = distinct_assumed(
        [
            *assumed_defaults(job),
            *site.host.assumed,
            *solution.assumed,
            *gains.assumed,
            *cleaning_assumed(site.host, cleaning),
            *assumed_prices(cost),
            *compared.assumed,
            *chances_assumed(site.job, site.host, openings=opened),
            *granted,
            *giving_back_assumed(site.job, back),
            *supply.assumed,
            *cost_assumed(spread),
            *life_assumed(site.job, life),
        ]
    )
    warnings = in_order(
        [
            *site.host.warnings,
            *compare_with_practice(site.job, site.host),
            *suitability_warnings(suitability),
            *solution.warnings,
            *site.frozen.warnings,
            *pump_notes,
            *run_warnings(job, runs),
            *gains.warnings,
            *compared.warnings,
            *cleaning_warnings(site.job, site.host, [(one, run.start, run.end) for one, run in zip(cleaning, runs, strict=True)]),
            *_standing(site),
            *timed,
            *giving_back_warnings(back),
            *supply_warnings(supply),
            *price_unit_warnings(site.job, bill),
        ]
    )
    plan = Plan(
        job=job,
        issued=None if site.issued is None else site.issued.revision,
        assumed=assumed,
        warnings=warnings,
        suitability=suitability,
        stretches=stretches,
        hydraulics=gains.results,
        openings=openings,
        runs=runs,
        layout=_layout(solution),
        cleaning=cleaning,
        bill=bill,
        comparisons=compared.ways,
        ask_first=ask_first(site.job, site.host, openings=opened),
        contract_gaps=contract_gaps(job),
        changes=()
        if site.issued is None
        else (
            *plan_changes(site.issued, openings=openings, runs=runs, services=job.services, cost=cost, currency=job.info.currency),
            *(() if programme is None else moved(programme, site.issued.begins)),
        ),
        cautions=for_plan(site.job, site.host),
        sources=_sources(site, suitability, cleaning, runs, [*gains.sources, *(() if back is None else back.sources), *supply.sources]),
        cost=cost,
        retired=_retired(site.issued, runs),
        programme=programme,
        return_to_service=back,
        supply=supply,
        spread=spread,
        life=life,
        break_even=break_even(site.job, bill=bill, stretches=stretches),
    )
    tell(_STEPS, _STEPS)
    return plan


def _site(job: Job, records: Records, issued: Issued | None) -> _Site:
    """Return the job with what records say; without an issued plan records count for nothing."""
    if issued is None:
        return _Site(job, resolve_host(job), None, Frozen((), ()), (), Records())
    today = pumps_today(job, records)
    return _Site(today, resolve_host(today), issued, freeze(job, issued, records), records.obstructions, records)


def _runs(site: _Site, solution: LayoutSolution) -> tuple[tuple[Run, ...], tuple[PlanWarning, ...]]:
    """Return the sheets of all runs in order of chainage, those that are done as they were issued, and what is in doubt about them."""
    ahead = [run for run in solution.runs if not run.done]
    names = name_runs([(run.start, run.end, run.direction) for run in ahead], site.issued)
    contents = job_mix(site.job)
    runs = list(site.frozen.runs)
    notes: list[PlanWarning] = []
    for run, name in zip(ahead, names, strict=True):
        pump = run.equipment.pump
        setting = None if pump is None else pump_setting(pump, flow=run.lining.flow)
        if pump is not None:
            notes += pump_warnings(pump, setting, name=name, start=run.start, end=run.end)
        cautions = for_run(site.job, site.host, start=run.start, end=run.end, rope=run.equipment.rope)
        sheet = make_run(site.job, run, name=name, contents=contents, setting=setting, cautions=cautions)
        notes += batch_warnings(sheet, usable=run.lining.usable)
        runs.append(sheet)
    return tuple(sorted(runs, key=lambda run: run.start)), tuple(notes)


def _programme(site: _Site, runs: Sequence[Run], search: Search | None) -> Programmed:
    """Return the programme; after an issued plan what is done stands still, and the rest sets out from the old order."""
    if site.issued is None:
        return make_programme(site.job, runs=runs, search=search)
    begins = site.issued.begins
    far = how_far(site.job, runs, site.records, begins)
    return make_programme(site.job, runs=runs, search=search, progressed=far, issued=begins)


def _openings(site: _Site, solution: LayoutSolution) -> tuple[Opening, ...]:
    """Return the openings, each with its dangers; where no layout keeps the limits, those of what is done."""
    before = () if site.issued is None else site.issued.openings
    found = solution.openings
    if solution.total_cost is None:
        ends = {chainage for run in site.frozen.runs for chainage in (run.start, run.end)}
        found = tuple(opening for opening in before if opening.chainage in ends)
    return tuple(
        replace(
            opening,
            reasons=reasons_on_site(opening, frozen=site.frozen, before=before, obstructions=site.obstructions),
            cautions=for_opening(site.job, site.host, chainage=opening.chainage, surface=opening.surface, cover=opening.cover),
        )
        for opening in found
    )


def _cleaning(site: _Site, runs: Sequence[Run]) -> tuple[Cleaning, ...]:
    """Return how each run is cleaned, or was: the tool goes the way of the head."""
    ropes = {rope.name: rope for rope in site.job.plant.ropes}
    return tuple(
        plan_cleaning(
            site.job,
            site.host,
            run_id=run.id,
            start=run.start,
            end=run.end,
            direction=run.direction,
            rope=None if run.rope is None else ropes.get(run.rope),
        )
        for run in runs
    )


def _layout(solution: LayoutSolution) -> Layout:
    return Layout(
        total_cost=solution.total_cost,
        openings=len(solution.openings),
        runs=len(solution.runs),
        candidates=solution.candidates,
        alternatives=solution.alternatives,
        limit_prices=solution.limit_prices,
    )


def _standing(site: _Site) -> tuple[PlanWarning, ...]:
    """Return what this plan depends on besides the job."""
    if site.issued is None:
        return ()
    text = message(
        "This plan follows the issued plan of revision {revision} and the records on site. Runs done and frozen: {n}.",
        revision=site.issued.revision[:12],
        n=len(site.frozen.runs),
    )
    found = [PlanWarning("follows_issued", None, None, text, "note")]
    if site.issued.job != site.job.info.name:
        text = message(
            "The issued plan is of a job named {old}, this one is named {new}: make sure that it is the same main.",
            old=site.issued.job,
            new=site.job.info.name,
        )
        found.append(PlanWarning("other_job", None, None, text, "act"))
    return tuple(found)


def _retired(issued: Issued | None, runs: Sequence[Run]) -> tuple[str, ...]:
    if issued is None:
        return ()
    standing = {run.id for run in runs}
    return tuple(dict.fromkeys([*issued.retired, *(run.id for run in issued.runs if run.id not in standing)]))


def _sources(
    site: _Site, suitability: Sequence[Suitability], cleaning: Sequence[Cleaning], runs: Sequence[Run], more: Sequence[Source]
) -> tuple[Source, ...]:
    found = [*site.host.sources, *more, *taken_sources(site.job)]
    found += [reason.source for one in suitability for reason in one.reasons]
    found += [one.source for one in cleaning]
    if any(point.code == "clearing_gauge" for run in runs for point in run.hold_points):
        found.append(clearing_pressure().source)
    return distinct_sources(found)
