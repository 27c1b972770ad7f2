"""What the reader of a plan must know besides its numbers: what was assumed, what is in doubt, and whose numbers were used."""

from collections.abc import Iterable, Sequence
from typing import Final

from mainwright.job.columns import find_key
from mainwright.job.job import Job
from mainwright.plan.result import Cost, PlanWarning, Run, Severity, Suitability
from mainwright.plan.result_giving_back import ReturnToService
from mainwright.plan.result_supply import TemporarySupply
from mainwright.standards.source import Assumed, Source, Verdict
from mainwright.words.message import Quantity, message

__all__ = [
    "SHORT_RUN",
    "assumed_defaults",
    "assumed_prices",
    "distinct_assumed",
    "distinct_sources",
    "giving_back_warnings",
    "in_order",
    "run_warnings",
    "suitability_warnings",
    "supply_warnings",
]

SHORT_RUN: Final = 5.0
"""Runs shorter than this are hardly worth a set-up: a judgement, no limit. [m]"""

_VERDICT_TEXTS: Final[dict[Verdict, tuple[str, Severity, str]]] = {
    "unsuitable": ("unsuitable", "stop", "This stretch is not suitable for lining. {rule}: {found}"),
    "unknown": (
        "suitability_unknown",
        "act",
        "Whether this stretch can be lined is not known. Rules without an answer: {n}. The first, {rule}: {found}",
    ),
    "with_measures": (
        "needs_measures",
        "note",
        "This stretch can be lined with measures. Rules that ask for one: {n}. The first, {rule}: {found}",
    ),
}
_SEVERITY: Final = {"stop": 0, "act": 1, "note": 2}
_MINUTES: Final = ("mortar.usable_minutes", "mortar.set_minutes", "mortar.clearing_from_minutes")


def assumed_defaults(job: Job) -> tuple[Assumed, ...]:
    """Return every value that nobody gave and that holds the documented default, with the default's origin.

    Parameters
    ----------
    job : Job
        The job. [-]

    Returns
    -------
    tuple of Assumed
        In the units of the files.
    """
    found = []
    for key in job.defaulted:
        column = find_key(key)
        because = message("Not given; the documented default was taken.")
        if column is not None and column.origin:
            because = message("Not given; the documented default was taken. {origin}", origin=column.origin)
        found.append(Assumed(key, None if column is None else column.default, "" if column is None else column.unit, because))
    return tuple(found)


def assumed_prices(cost: Cost) -> tuple[Assumed, ...]:
    """Return the items of the bill that have no price.

    Parameters
    ----------
    cost : Cost
        With the names of what is not priced. [-]

    Returns
    -------
    tuple of Assumed
        One for each item.
    """
    because = message("The item has no rate in the price list: it counts as nothing.")
    return tuple(Assumed(f"prices.{item}", None, "", because) for item in cost.unpriced)


def distinct_assumed(found: Iterable[Assumed]) -> tuple[Assumed, ...]:
    """Return the assumptions, each value once, the first said of it.

    Parameters
    ----------
    found : iterable of Assumed
        In the order of the work. [-]

    Returns
    -------
    tuple of Assumed
        In that order.
    """
    first: dict[str, Assumed] = {}
    for one in found:
        first.setdefault(one.what, one)
    return tuple(first.values())


def distinct_sources(found: Iterable[Source]) -> tuple[Source, ...]:
    """Return the sources, each once.

    Parameters
    ----------
    found : iterable of Source
        In the order of use. [-]

    Returns
    -------
    tuple of Source
        In order of title, edition and clause.
    """
    return tuple(sorted(set(found), key=lambda one: (one.title, one.edition, one.clause, one.status)))


def in_order(found: Iterable[PlanWarning]) -> tuple[PlanWarning, ...]:
    """Return the warnings in order of chainage, each once; those without a place stand last.

    Parameters
    ----------
    found : iterable of PlanWarning
        In any order. [-]

    Returns
    -------
    tuple of PlanWarning
        At one place the gravest first.
    """

    def key(one: PlanWarning) -> tuple[bool, float, int, float, str]:
        return (one.start is None, one.start or 0.0, _SEVERITY[one.severity], one.end or 0.0, one.code)

    return tuple(sorted(dict.fromkeys(found), key=key))


def giving_back_warnings(found: ReturnToService | None) -> tuple[PlanWarning, ...]:
    """Return what must be known of giving the main back.

    Parameters
    ----------
    found : ReturnToService or None
        What was worked out; None where nothing is lined. [-]

    Returns
    -------
    tuple of PlanWarning
        Each asks to act or tells.
    """
    if found is None:
        return ()
    return tuple(PlanWarning(one.code, one.start, one.end, one.text, "act" if one.act else "note") for one in found.told)


def supply_warnings(found: TemporarySupply) -> tuple[PlanWarning, ...]:
    """Return what must be known of the temporary supply.

    Parameters
    ----------
    found : TemporarySupply
        What was worked out. [-]

    Returns
    -------
    tuple of PlanWarning
        Each asks to act or tells.
    """
    return tuple(PlanWarning(code, None, None, text, "act" if act else "note") for code, act, text in found.warnings)


def suitability_warnings(found: Sequence[Suitability]) -> tuple[PlanWarning, ...]:
    """Return a warning for each stretch that is not plainly suitable.

    Parameters
    ----------
    found : sequence of Suitability
        One for each stretch. [-]

    Returns
    -------
    tuple of PlanWarning
        An unsuitable stretch stops; one that needs measures, or of which something is not known, asks to act.
    """
    warnings = []
    for one in found:
        decisive = [reason for reason in one.reasons if reason.verdict == one.verdict]
        if one.verdict == "suitable" or not decisive:
            continue
        code, severity, text = _VERDICT_TEXTS[one.verdict]
        first = decisive[0]
        told = message(text, rule=first.rule, found=first.found, n=len(decisive))
        warnings.append(PlanWarning(code, one.start, one.end, told, severity))
    return tuple(warnings)


def run_warnings(job: Job, runs: Sequence[Run]) -> tuple[PlanWarning, ...]:
    """Return what the sheets lack.

    Parameters
    ----------
    job : Job
        The job. [-]
    runs : sequence of Run
        Its runs. [-]

    Returns
    -------
    tuple of PlanWarning
        Minutes that nobody tested, mixers that are not named, runs that are hardly worth a set-up.
    """
    warnings = []
    missing = [key for key in _MINUTES if key in job.defaulted]
    if missing and runs:
        text = message(
            "The minutes of this mortar were not tested ({keys}): no countdown is printed for batches or connections. Test the mortar and enter them.",
            keys=", ".join(missing),
        )
        warnings.append(PlanWarning("minutes_not_tested", None, None, text, "act"))
    for run in runs:
        if run.mixer is None:
            text = message("No mixer is known for run {run}: its batches are not reckoned.", run=run.id)
            warnings.append(PlanWarning("no_mixer", run.start, run.end, text, "act"))
        if run.length < SHORT_RUN and not run.done:
            text = message(
                "Run {run} is only {length} long and still fills the whole hose: renew this piece or line it by hand from its openings.",
                run=run.id,
                length=Quantity(run.length, "m", 1),
            )
            warnings.append(PlanWarning("short_run", run.start, run.end, text, "note"))
        if run.coats > 1:
            text = message(
                "Run {run} is laid in {coats} {coats:coat/coats}, each with its own waiting time: batches are not timed.",
                run=run.id,
                coats=run.coats,
            )
            warnings.append(PlanWarning("several_coats", run.start, run.end, text, "note"))
    return tuple(warnings)
