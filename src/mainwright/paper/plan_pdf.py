"""The plan on paper: ``plan.pdf``."""

from collections.abc import Callable
from dataclasses import replace

from mainwright import __version__
from mainwright.paper import design_pages, end_pages, work_pages
from mainwright.paper.blocks import Block, paragraph
from mainwright.paper.cost_pages import cost_pages, life_pages
from mainwright.paper.giving_back_pages import giving_back_pages
from mainwright.paper.origin_pages import origin_pages
from mainwright.paper.pen import Pen, pen_for
from mainwright.paper.programme_pages import answer, programme_pages
from mainwright.paper.run_pages import run_sheet
from mainwright.paper.summary import caution_pages, cover, summary
from mainwright.paper.supply_pages import supply_pages
from mainwright.paper.typeset import typeset
from mainwright.plan.result import Plan
from mainwright.words.message import message

__all__ = ["plan_pages", "render_plan_pdf", "render_programme_pdf", "render_supply_pdf"]


def _blocks(plan: Plan, pen: Pen) -> list[Block]:
    return [
        *caution_pages(plan, pen),
        *end_pages.change_pages(plan, pen),
        *design_pages.suitability_pages(plan, pen),
        *design_pages.ribbon_pages(plan, pen),
        *design_pages.lining_pages(plan, pen),
        *design_pages.hydraulic_pages(plan, pen),
        *work_pages.opening_pages(plan, pen),
        *work_pages.run_pages(plan, pen),
        *work_pages.cleaning_pages(plan, pen),
        *programme_pages(plan, pen),
        *supply_pages(plan, pen),
        *giving_back_pages(plan, pen),
        *work_pages.bill_pages(plan, pen),
        *cost_pages(plan, pen),
        *work_pages.other_ways(plan, pen),
        *life_pages(plan, pen),
        *work_pages.layout_pages(plan, pen),
        *end_pages.ask_pages(plan, pen),
        *end_pages.contract_pages(plan, pen),
        *end_pages.warning_pages(plan, pen),
        *end_pages.assumed_pages(plan, pen),
        *origin_pages(plan, pen),
        *end_pages.source_pages(pen),
    ]


def plan_pages(plan: Plan) -> dict[str, object]:
    """Return everything that the paper prints, as the template takes it.

    Parameters
    ----------
    plan : Plan
        The plan. [-]

    Returns
    -------
    dict
        Texts, tables and figures in their order.
    """
    pen, info = pen_for(plan), plan.job.info
    say = pen.say
    blocks = _blocks(plan, pen)
    return _frame(plan, pen, say.text("plan")) | {
        "cover": cover(plan, pen) | {"title": info.name},
        "summary": summary(plan, pen),
        "blocks": blocks,
        "runs": [run_sheet(plan, run, pen) | {"first": "" if number else say.text("Run sheets")} for number, run in enumerate(plan.runs)],
    }


def _frame(plan: Plan, pen: Pen, name: str) -> dict[str, object]:
    """Return what stands around the pages of every paper of a plan."""
    say, info = pen.say, plan.job.info
    revision = say.word(message("Revision {revision}", revision=plan.job.revision[:16]))
    when = say.day(info.first_day) if info.first_day else say.text("first day not set")
    return {
        "language": info.language if info.language in ("en", "de") else "en",
        "title": f"{info.name}: {name}",
        "author": info.client,
        "keywords": [info.reference, plan.job.revision],
        "footer": {
            "left": pen.joined((info.reference, info.name)),
            "middle": f"{revision} · {when} · Mainwright {__version__}",
            "page": say.text("Page"),
        },
        "contents": say.text("Contents"),
    }


def render_programme_pdf(plan: Plan) -> bytes:
    """Return the sheets of the programme as a PDF, the same bytes for the same plan.

    Parameters
    ----------
    plan : Plan
        The plan; it has a programme. [-]

    Returns
    -------
    bytes
        The document, tagged for screen readers.
    """
    pen = pen_for(plan)
    pages = _frame(plan, pen, pen.say.text("Programme")) | {
        "cover": cover(plan, pen) | {"title": plan.job.info.name, "over": pen.say.text("Programme")},
        "summary": [paragraph(answer(plan.programme, pen))] if plan.programme is not None else [],
        "blocks": [*end_pages.change_pages(plan, pen), *programme_pages(plan, pen, alone=True), *end_pages.assumed_pages(plan, pen)],
        "runs": [],
    }
    return typeset("plan.typ", pages, day=plan.job.info.first_day)


def render_supply_pdf(plan: Plan) -> bytes:
    """Return the sheets of the temporary supply as a PDF, the same bytes for the same plan.

    Parameters
    ----------
    plan : Plan
        The plan. [-]

    Returns
    -------
    bytes
        The document, tagged for screen readers.
    """
    pen = pen_for(plan)
    found, say = plan.supply, pen.say
    told = [] if found is None else [paragraph(say.word(text)) for code, _, text in found.warnings if code == "no_temporary_supply"]
    # What the rest of the plan takes for granted, and from where, is not asked here.
    pen.sources.clear()
    for source in () if found is None else found.sources:
        pen.source(source)
    taken = replace(plan, assumed=() if found is None else found.assumed)
    pages = _frame(plan, pen, say.text("Temporary supply")) | {
        "cover": cover(plan, pen) | {"title": plan.job.info.name, "over": say.text("Temporary supply")},
        "summary": told,
        "blocks": [*supply_pages(plan, pen), *end_pages.assumed_pages(taken, pen), *end_pages.source_pages(pen)],
        "runs": [],
    }
    return typeset("plan.typ", pages, day=plan.job.info.first_day)


def render_plan_pdf(plan: Plan, *, progress: Callable[[int, int], None] | None = None) -> bytes:
    """Return the plan as a PDF, the same bytes for the same plan.

    Parameters
    ----------
    plan : Plan
        The plan. [-]
    progress : callable, optional
        Called with what is done and of how much. [-]

    Returns
    -------
    bytes
        The document, tagged for screen readers.
    """
    tell = progress or (lambda done, of: None)
    tell(0, 2)
    pages = plan_pages(plan)
    tell(1, 2)
    pdf = typeset("plan.typ", pages, day=plan.job.info.first_day)
    tell(2, 2)
    return pdf
