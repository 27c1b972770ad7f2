"""What the pages for a browser show of a plan: the blocks of the papers in sections, in the language and units of who looks."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from types import MappingProxyType
from typing import Final

from mainwright.paper import design_pages, end_pages, work_pages
from mainwright.paper.blocks import Block
from mainwright.paper.cost_pages import cost_pages, life_pages
from mainwright.paper.giving_back_pages import block_name, giving_back_pages
from mainwright.paper.handover_pdf import evidence_pages, handover_pages
from mainwright.paper.origin_pages import origin_note, origin_pages
from mainwright.paper.pen import Pen
from mainwright.paper.programme_pages import Bars, activities, bars, chainage, permits
from mainwright.paper.run_pages import run_sheet
from mainwright.paper.supply_pages import supply_pages
from mainwright.plan.result import LinedStretch, Plan
from mainwright.prove.proof import Proof
from mainwright.words.wording import Wording
from mainwright.workflow.desk import Pictures
from mainwright.workflow.sheets import Section

__all__ = ["place_sections", "proof_sections", "read_by", "run_proof_sections", "run_section", "sections"]


def read_by(plan: Plan, say: Wording) -> Plan:
    """Return a plan that is worded for another reader than the job's own; nothing that it decides changes.

    Parameters
    ----------
    plan : Plan
        The plan. [-]
    say : Wording
        Of the reader. [-]

    Returns
    -------
    Plan
        The same plan of a job in that language and those units.
    """
    return replace(plan, job=replace(plan.job, info=replace(plan.job.info, language=say.language, units=say.units)))


def sections(blocks: Sequence[Block], *, folded: Sequence[str] = ()) -> list[Section]:
    """Return blocks cut at their headings.

    Parameters
    ----------
    blocks : sequence of Block
        In order. [-]
    folded : sequence of str
        Headings of what is closed until somebody asks. [-]

    Returns
    -------
    list of Section
        What stands before the first heading has an empty one.
    """
    found: list[tuple[str, list[Block]]] = []
    for block in blocks:
        text = block["text"] if block["kind"] == "heading" else block["title"] if block["kind"] == "landscape" else None
        if text is not None:
            found.append((str(text), []))
        elif not found:
            found.append(("", []))
        if block["kind"] != "heading":
            found[-1][1].append(block)
    return [Section(head, tuple(inner), head in folded) for head, inner in found]


def _lining(plan: Plan, pen: Pen) -> list[Section]:
    rules = pen.say.text("Rule by rule: what is allowed, and what was found")
    blocks = [
        *design_pages.lining_pages(plan, pen),
        *design_pages.suitability_pages(plan, pen),
        *design_pages.hydraulic_pages(plan, pen),
        *work_pages.other_ways(plan, pen),
    ]
    # What is folded comes last, so that the answers stand together.
    return sorted(sections(blocks, folded=(rules,)), key=lambda one: one.folded)


def _runs(plan: Plan, pen: Pen) -> list[Section]:
    return sections([*work_pages.run_pages(plan, pen), *work_pages.cleaning_pages(plan, pen)])


def _water(plan: Plan, pen: Pen) -> list[Section]:
    back = plan.return_to_service
    alike = [] if back is None else [block_name(one, pen.say) for one in back.blocks[1:]]
    return sections([*supply_pages(plan, pen), *giving_back_pages(plan, pen)], folded=alike)


def _programme(plan: Plan, pen: Pen, *, by: Bars = "crew") -> list[Section]:
    programme = plan.programme
    if programme is None:
        return sections(end_pages.change_pages(plan, pen))
    return [
        *sections([*bars(programme, pen, by=by), *origin_note(plan, pen, ("crews", "outputs"))]),
        *sections(end_pages.change_pages(plan, pen)),
        *sections([*permits(programme, pen), chainage(plan, programme, pen), *activities(programme, pen)]),
    ]


def _money(plan: Plan, pen: Pen) -> list[Section]:
    return sections(
        [
            *work_pages.bill_pages(plan, pen),
            *cost_pages(plan, pen),
            *work_pages.other_ways(plan, pen),
            *life_pages(plan, pen),
            *work_pages.layout_pages(plan, pen),
            *end_pages.ask_pages(plan, pen),
        ]
    )


_PLACES: Final[Mapping[str, Callable[[Plan, Pen], list[Section]]]] = MappingProxyType(
    {
        "lining": _lining,
        "runs": _runs,
        "water": _water,
        "programme": _programme,
        "programme_by_place": partial(_programme, by="place"),
        "money": _money,
    }
)


def place_sections(place: str, plan: Plan, say: Wording) -> tuple[Section, ...]:
    """Return what a place of a plan shows, its sources at the end.

    Parameters
    ----------
    place : str
        Name of the place in addresses. [-]
    plan : Plan
        The plan. [-]
    say : Wording
        Of the reader. [-]

    Returns
    -------
    tuple of Section
        Empty for a place that shows nothing of a plan.
    """
    make = _PLACES.get(place)
    if make is None:
        return ()
    pen = Pen(say, plan.job.info.currency)
    shown = read_by(plan, say)
    found = make(shown, pen)
    last = sections([*end_pages.assumed_pages(shown, pen), *origin_pages(shown, pen), *end_pages.source_pages(pen)])
    return (*found, *(replace(one, folded=True) for one in last))


def run_section(plan: Plan, run: str, say: Wording) -> Block:
    """Return the sheet of one run.

    Parameters
    ----------
    plan : Plan
        The plan. [-]
    run : str
        Id of the run. [-]
    say : Wording
        Of the reader. [-]

    Returns
    -------
    dict
        As on paper.

    Raises
    ------
    KeyError
        If there is none.
    """
    shown = read_by(plan, say)
    found = {one.id: one for one in shown.runs}[run]
    return run_sheet(shown, found, Pen(say, plan.job.info.currency))


def proof_sections(proof: Proof, stretches: Sequence[LinedStretch], say: Wording, pictures: Pictures) -> tuple[Section, ...]:
    """Return what the records of a job prove, without the evidence of each run.

    Parameters
    ----------
    proof : Proof
        The proof. [-]
    stretches : sequence of LinedStretch
        What the contract asks along the main. [-]
    say : Wording
        Of the reader. [-]
    pictures : Pictures
        What is shown beside it. [-]

    Returns
    -------
    tuple of Section
        Verdicts first; what was assumed is folded.
    """
    pages = handover_pages(_proof_read_by(proof, say), stretches, photos=pictures.photos, walls=pictures.walls)
    kept: list[Block] = [*_blocks_of(pages, "summary")]
    evidence = False
    for block in _blocks_of(pages, "blocks"):
        if block["kind"] == "heading" and block["level"] == 1:
            evidence = bool(block.get("fresh"))
        if not evidence:
            kept.append(block)
    signed, assumed = say.text("Signatures"), say.text("Assumed")
    return tuple(one for one in sections(kept, folded=(assumed,)) if one.head != signed)


def run_proof_sections(proof: Proof, run: str, stretches: Sequence[LinedStretch], say: Wording, pictures: Pictures) -> tuple[Section, ...]:
    """Return the evidence of one run.

    Parameters
    ----------
    proof : Proof
        The proof. [-]
    run : str
        Id of the run. [-]
    stretches : sequence of LinedStretch
        What the contract asks along the main. [-]
    say : Wording
        Of the reader. [-]
    pictures : Pictures
        What is shown beside it. [-]

    Returns
    -------
    tuple of Section
        As on the sheet for the day's signatures.
    """
    pages = evidence_pages(_proof_read_by(proof, say), run, stretches, photos=pictures.photos, walls=pictures.walls)
    blocks = [*_blocks_of(pages, "summary"), *_blocks_of(pages, "blocks")]
    return tuple(sections(blocks, folded=(say.text("Events"), say.text("Mass balance"))))


def _proof_read_by(proof: Proof, say: Wording) -> Proof:
    return replace(proof, job=replace(proof.job, info=replace(proof.job.info, language=say.language, units=say.units)))


def _blocks_of(pages: Mapping[str, object], name: str) -> list[Block]:
    found = pages[name]
    return found if isinstance(found, list) else []
