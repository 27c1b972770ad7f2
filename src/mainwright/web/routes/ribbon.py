"""The ribbon of a job: any length of it as a drawing, all of it in words, and as a table."""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING, Final, get_args

from fastapi import APIRouter, HTTPException, Request

from mainwright.figures.ribbon import LANES, Lane, ribbon, ribbon_rows
from mainwright.web.pages import Part, drawings, reader_from, use_cases
from mainwright.web.place import job_at_hand, place_page
from mainwright.web.views.ribbon import data_of, ribbon_lanes
from mainwright.workflow.making import Making

if TYPE_CHECKING:
    from fastapi.responses import HTMLResponse, Response

    from mainwright.figures.palette import Theme
    from mainwright.figures.ribbon import RibbonData
    from mainwright.workflow.jobs_at_hand import JobAtHand

__all__ = ["router"]

router: Final = APIRouter()

_WIDTHS: Final = (120.0, 12_000.0)
_A_PAGE: Final = 500
"""Rows of the table on one page."""


def _data(request: Request, name: str) -> tuple[JobAtHand, RibbonData]:
    at_hand = job_at_hand(request, name)
    if at_hand.read.job is None:
        raise HTTPException(404)
    plan = use_cases(request).jobs.plan(at_hand.read.job)
    return at_hand, data_of(at_hand.read.job, None if isinstance(plan, Making) else plan)


def _state(data: RibbonData) -> tuple[str, bool]:
    """Return what the ribbon shows, as far as it can change: a plan is the same for as long as its job is."""
    return data.job.revision, data.planned


@router.get("/jobs/{job}/ribbon.svg")
def _draw(request: Request, job: str) -> Response:
    """Draw a length of it."""
    _, data = _data(request, job)
    asked = request.query_params
    low, high = data.job.main[0].start, data.job.main[-1].end
    start, end = max(low, _number(asked.get("from"), low)), min(high, _number(asked.get("to"), high))
    width = _number(asked.get("width"), 1000.0)
    if not end > start or not _WIDTHS[0] <= width <= _WIDTHS[1]:
        raise HTTPException(400)
    wanted = [one for one in asked.get("lanes", "").split(",") if one in get_args(Lane)]
    lanes: list[Lane] = [one for one in LANES if one in wanted] or list(LANES)
    reader = reader_from(request)
    theme: Theme = "dark" if asked.get("light") == "dark" else "light"

    def draw() -> str:
        return ribbon(
            data, start=start, end=end, width=width, theme=theme, language=reader.language, units=reader.units, lanes=lanes, window=True
        )  # fmt: skip

    key = ("ribbon", *_state(data), start, end, width, theme, reader.language, reader.units, *lanes)
    return drawings(request).answer(request, key, draw, kind="image/svg+xml")


@router.get("/jobs/{job}/ribbon.json")
def _read(request: Request, job: str) -> Response:
    """Say all of it in words."""
    at_hand, data = _data(request, job)
    reader = reader_from(request)

    def words() -> str:
        return json.dumps({"planned": data.planned, "lanes": ribbon_lanes(data, at_hand.name, reader.say)}, ensure_ascii=False)

    key = ("words", *_state(data), at_hand.name, reader.language, reader.units)
    return drawings(request).answer(request, key, words, kind="application/json")


@router.get("/jobs/{job}/ribbon")
def _list(request: Request, job: str) -> HTMLResponse:
    """Show it as a table."""
    at_hand, data = _data(request, job)
    reader = reader_from(request)
    asked = int(_number(request.query_params.get("page"), 1.0))

    def table() -> dict[str, object]:
        rows = ribbon_rows(data, language=reader.language, units=reader.units)
        pages = max(1, math.ceil(len(rows) / _A_PAGE))
        number = min(max(1, asked), pages)
        return {"rows": rows[(number - 1) * _A_PAGE : number * _A_PAGE], "number": number, "pages": pages}

    return place_page(request, at_hand, "survey", "ribbon.html", table=Part("ribbon_rows.html", data.job, (data.planned, asked), table))


def _number(text: str | None, otherwise: float) -> float:
    try:
        value = float(text) if text else otherwise
    except ValueError:
        raise HTTPException(400) from None
    if not math.isfinite(value):
        raise HTTPException(400)
    return value
