"""The place ``layout``: where the road is opened, what is lined between, and what a hand may change of it."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from mainwright.plan.sentences import how
from mainwright.web.pages import Part
from mainwright.web.views.origins import told
from mainwright.web.views.ribbon import ribbon_frame

if TYPE_CHECKING:
    from mainwright.job.job import Job
    from mainwright.plan.layout.solution import LayoutSolution
    from mainwright.plan.layout.tried import Tried
    from mainwright.plan.result import Plan
    from mainwright.web.place import Visit
    from mainwright.words.wording import Wording

__all__ = ["layout_view", "searched_view", "tried_view"]


def layout_view(visit: Visit) -> dict[str, object]:
    """Return what the page shows: where the road is opened, and what is lined between."""
    say, plan, job = visit.reader.say, visit.plan, visit.job
    return {
        "answer": told("runs", how(plan), say, visit.job),
        "frame": ribbon_frame(job, visit.at_hand.name, say),
        "alternatives": [
            {
                "name": one.name,
                "openings": len(one.openings),
                "runs": len(one.runs),
                "cost": _money(one.total_cost, job, say),
                "closing": say.quantity(one.longest_closing, "hours", 1),
            }
            for one in plan.layout.alternatives
        ],
        "choose": job.runs.choose or "least_cost",
        "state": {
            "choose": job.runs.choose or "least_cost",
            "alternatives": {one.name: list(one.openings) for one in plan.layout.alternatives},
            "costs": {one.name: _money(one.total_cost, job, say) for one in plan.layout.alternatives},
            "openings": [one.chainage for one in plan.openings],
            "locked": [one.chainage for one in job.openings if one.choice == "locked"],
            "forbidden": [one.chainage for one in job.openings if one.choice == "forbidden"],
            "planned": plan.layout.total_cost,
        },
        "reasons": Part("layout_reasons.html", plan, "", partial(_why, plan, say)),
    }


def _why(plan: Plan, say: Wording) -> dict[str, object]:
    job = plan.job
    return {
        "reasons": _reasons(plan, say),
        "limits": [
            [
                one.id,
                f"{say.measure(one.start, 'm', 1)}–{say.quantity(one.end, 'm', 1)}",
                say.quantity(one.length, "m", 1),
                say.code(one.direction),
                say.word(one.limit_text),
            ]
            for one in plan.runs
        ],
        "prices": [
            [say.code(one.limit), say.quantity(one.step, one.unit, 2), _money(one.saves, job, say)] for one in plan.layout.limit_prices
        ],
    }


def _reasons(plan: Plan, say: Wording) -> list[list[object]]:
    return [
        [
            str(number),
            say.quantity(one.chainage, "m", 1),
            "; ".join(say.word(reason) for reason in one.reasons),
            say.code(one.surface) if one.surface else say.text("surface not known"),
            "–" if one.cost is None else _money(one.cost, plan.job, say),
        ]
        for number, one in enumerate(plan.openings, start=1)
    ]


def _money(value: float | None, job: Job, say: Wording) -> str:
    if not value and not job.prices:
        return say.text("not priced")  # nothing costs nothing where no price is known
    return "–" if value is None else f"{say.number(value, 0)}\u00a0{job.info.currency}".strip()


def tried_view(tried: Tried, job: Job, say: Wording, planned: float | None) -> dict[str, object]:
    """Return a layout made by hand in words: its price against the plan's, each opening, each run and what it breaks."""
    return {
        "cost": tried.cost,
        "costs": _money(tried.cost, job, say),
        "more": None if planned is None or not job.prices else _money(tried.cost - planned, job, say),
        "keeps": tried.keeps,
        "openings": [
            {
                "at": one.chainage,
                "costs": _money(one.price, job, say),
                "barred": one.barred,
                "surface": say.code(one.surface) if one.surface else say.text("surface not known"),
            }
            for one in tried.openings
        ],
        "runs": [
            {
                "start": one.start,
                "end": one.end,
                "way": one.direction,
                "length": say.quantity(one.end - one.start, "m", 1),
                "costs": _money(one.cost, job, say),
                "broken": [say.word(text) for text in one.broken],
            }
            for one in tried.runs
        ],
    }


def searched_view(found: LayoutSolution, job: Job, say: Wording, planned: float | None) -> dict[str, object]:
    """Return the layout that keeps what was fixed in words."""
    stops = [say.word(one.text) for one in found.warnings if one.severity == "stop"]
    return {
        "cost": found.total_cost,
        "costs": _money(found.total_cost, job, say),
        "more": None if planned is None or found.total_cost is None or not job.prices else _money(found.total_cost - planned, job, say),
        "openings": [one.chainage for one in found.openings],
        "limits": [[say.quantity(one.length, "m", 1), say.word(one.limit_text)] for one in found.runs],
        "stops": stops,
    }
