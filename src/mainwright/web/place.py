"""The places of a job: each is one page that answers one question, under ``/jobs/{job}/{place}``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from fastapi import HTTPException

from mainwright.web.pages import page, reader_from, use_cases
from mainwright.words.message import Message, message
from mainwright.workflow.editing import check_cells
from mainwright.workflow.making import Making

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from fastapi import Request
    from fastapi.responses import HTMLResponse

    from mainwright.job.job import Job
    from mainwright.plan.result import Plan
    from mainwright.web.reader import Reader
    from mainwright.workflow.jobs_at_hand import JobAtHand
    from mainwright.workflow.visiting import UseCases

__all__ = ["PLACES", "Visit", "job_at_hand", "place_page", "plan_page"]

PLACES: Final[Mapping[str, Message]] = {
    "survey": message("Survey"),
    "lining": message("Suitability and lining"),
    "layout": message("Openings and runs"),
    "runs": message("Run sheets"),
    "proof": message("Proof"),
    "water": message("Water and customers"),
    "programme": message("Programme"),
    "money": message("Money"),
    "documents": message("Documents"),
}
"""Each place by its name in addresses, in the order of the work."""


@dataclass(frozen=True, slots=True)
class Visit:
    """Somebody who looks at a place of a job.

    Attributes
    ----------
    reader
        Who looks.
    uses
        What can be asked.
    at_hand
        The job as it was read.
    plan
        Its plan.
    current
        The plan that goes on from the issued one, at the places that ask for it; else None.
    """

    reader: Reader
    uses: UseCases
    at_hand: JobAtHand
    plan: Plan
    current: Plan | None = None

    @property
    def job(self) -> Job:
        """The job."""
        return self.plan.job


def job_at_hand(request: Request, name: str) -> JobAtHand:
    """Return a job.

    Parameters
    ----------
    request : Request
        What was asked. [-]
    name : str
        Of the job, in addresses. [-]

    Returns
    -------
    JobAtHand
        As it is now.

    Raises
    ------
    HTTPException
        If there is none.
    """
    found = use_cases(request).jobs.job(name)
    if found is None:
        raise HTTPException(404)
    return found


def place_page(request: Request, at_hand: JobAtHand, place: str, template: str, *, status: int = 200, **values: Any) -> HTMLResponse:  # noqa: ANN401 - what a template shows
    """Return a page at a place of a job, with the job's head and the way to its other places.

    Parameters
    ----------
    request : Request
        What was asked. [-]
    at_hand : JobAtHand
        The job. [-]
    place : str
        One of `PLACES`. [-]
    template : str
        Name of its file. [-]
    status : int
        Of the answer. [-]
    **values : Any
        What it shows. [-]

    Returns
    -------
    HTMLResponse
        The page.
    """
    shared: dict[str, Any] = {"at_hand": at_hand, "job": at_hand.read.job, "place": place, "places": PLACES}
    return page(request, template, status=status, **shared, **values)


def plan_page(
    request: Request, name: str, place: str, template: str, view: Callable[[Visit], Mapping[str, Any]], *, going_on: bool = False
) -> HTMLResponse:
    """Return a page at a place that needs the plan: while it is made the page says how far it is and comes again by itself.

    Parameters
    ----------
    request : Request
        What was asked. [-]
    name : str
        Of the job. [-]
    place : str
        One of `PLACES`. [-]
    template : str
        Name of its file. [-]
    view : callable
        Returns what the template shows. [-]
    going_on : bool
        Whether the place also needs the plan that goes on from the issued one. [-]

    Returns
    -------
    HTMLResponse
        The page; that of the faults where the job has any; one section of it, all of that, where ``part`` names it.
    """
    at_hand, uses = job_at_hand(request, name), use_cases(request)
    job = at_hand.read.job
    if job is None:
        faults = [one for one in check_cells(uses.jobs.shelf.document(at_hand.name)) if one.severity == "fault"]
        return place_page(request, at_hand, place, "faulty.html", faults=faults)
    plan = uses.jobs.plan(job)
    if isinstance(plan, Making):
        return place_page(request, at_hand, place, "making.html", making=plan)
    current = uses.jobs.current(at_hand) if going_on else None
    if isinstance(current, Making):
        return place_page(request, at_hand, place, "making.html", making=current)
    values = view(Visit(reader_from(request), uses, at_hand, plan, current))
    part = request.query_params.get("part")
    alone: Callable[[str], object] | None = getattr(values.get("sections"), "alone", None)
    if part is None or alone is None:
        return place_page(request, at_hand, place, template, **values)
    one = alone(part)
    if one is None:
        raise HTTPException(404)
    return place_page(request, at_hand, place, "part.html", sections=one)
