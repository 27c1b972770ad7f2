"""The place ``documents``: everything on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from mainwright.words.message import message

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mainwright.web.place import Visit
    from mainwright.words.message import Message
    from mainwright.workflow.desk import Order, Paper

__all__ = ["documents_view"]

_GROUPS: Final[Mapping[str, Message]] = {
    "plan": message("Made from the plan"),
    "proof": message("Made from the records"),
    "job": message("The job itself"),
}

_TEXTS: Final[Mapping[str, Message]] = {
    "plan.pdf": message("The plan with its run sheets"),
    "plan.json": message("The plan as data"),
    "bill.xlsx": message("Bill of quantities, a workbook"),
    "programme.pdf": message("The programme"),
    "programme.ics": message("The programme as a calendar"),
    "office.ics": message("Notices, acceptances and laboratory results as a calendar for the office"),
    "openings.geojson": message("Openings and runs on the map"),
    "supply.pdf": message("The temporary supply"),
    "giveback.pdf": message("Giving the main back"),
    "notices.pdf": message("Letters to the customers"),
    "job.zip": message("The whole job folder with its records"),
    "handover.pdf": message("The file for the client: what the records prove"),
    "proof.json": message("The proof as data"),
    "valuation.pdf": message("What is owed: the valuation"),
    "valuation.xlsx": message("The valuation, a workbook"),
    "valuation.json": message("The valuation as data"),
    "as_built.csv": message("The main as it was built, a table"),
    "as_built.gpkg": message("The main as it was built, on the map"),
}


def documents_view(visit: Visit) -> dict[str, object]:
    """Return what the page shows: every paper with where it stands.

    Parameters
    ----------
    visit : Visit
        Who looks. [-]

    Returns
    -------
    dict
        Answer, papers in groups, and whether any is being made.
    """
    say = visit.reader.say
    papers = visit.uses.papers.papers(visit.at_hand.name, visit.plan, visit.current or visit.plan)
    groups = [
        {"head": say.word(head), "papers": [_paper(visit, one, order) for one, order in papers if one.group == group]}
        for group, head in _GROUPS.items()
    ]
    answer = message(
        "{n} {n:paper/papers} can be made of revision {number} of {day}.",
        n=len(papers), number=visit.at_hand.revision.number, day=visit.at_hand.revision.time.date(),
    )  # fmt: skip
    said = [say.word(answer), say.word(message("Each carries the revision {revision} at its foot.", revision=visit.plan.job.revision[:16]))]
    if not visit.uses.papers.recorded(visit.at_hand.name):
        said.append(say.text("The papers of the proof come with the first record."))
    return {
        "answer": said,
        "groups": [one for one in groups if one["papers"]],
        "going_on": any(order is not None and order.going_on for _, order in papers),
    }


def _paper(visit: Visit, paper: Paper, order: Order | None) -> dict[str, object]:
    say = visit.reader.say
    if paper.run is None:
        text = _TEXTS[paper.name]
    elif paper.group == "plan":
        text = message("The calendar of {crew}", crew=paper.run)
    elif paper.name.startswith("report_"):
        text = message("Daily report of run {run}, as it was followed", run=paper.run)
    else:
        text = message("Evidence of run {run}, for the day's signatures", run=paper.run)
    size = ""
    if order is not None and order.content is not None:
        size = f"{say.number(max(1.0, len(order.content) / 1000.0), 0)}\u00a0kB"
    return {"name": paper.name, "text": say.word(text), "order": order, "size": size}
