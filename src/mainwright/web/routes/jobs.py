"""The jobs: which there are, and how each stands."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, Request

from mainwright.web.pages import page, use_cases
from mainwright.words.message import Quantity, message

if TYPE_CHECKING:
    from collections.abc import Sequence

    from fastapi.responses import HTMLResponse

    from mainwright.workflow.visiting import JobAtHand

__all__ = ["router"]

router: Final = APIRouter()


@router.get("/")
def _list_jobs(request: Request) -> HTMLResponse:
    """Show the jobs at hand."""
    found: Sequence[JobAtHand] = use_cases(request).jobs.all()
    open_ = [one for one in found if one.read.job is not None]
    length = sum(one.read.job.main[-1].end - one.read.job.main[0].start for one in open_ if one.read.job is not None)
    size = Quantity(length, "m", 0)
    answer = (
        message("One job is open, {length} of main.", length=size)
        if len(found) == 1
        else message("{n} jobs are open, {length} of main.", n=len(found), length=size)
    )
    faults = {
        one.name: message("1 fault") if len(one.read.faults) == 1 else message("{n} faults", n=len(one.read.faults))
        for one in found
        if one.read.job is None
    }
    return page(request, "jobs.html", jobs=found, answer=answer, faults=faults)
