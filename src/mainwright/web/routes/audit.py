"""Who did what, latest first, as a page and as a table for other programs."""

from __future__ import annotations

import csv
import io
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import Response

from mainwright.job.table import harmless_text
from mainwright.web.pages import page, reader_from, use_cases
from mainwright.web.roles import DEEDS
from mainwright.web.views.audit import audit_view, csv_rows
from mainwright.workflow.deeds import A_PAGE, Wanted

if TYPE_CHECKING:
    from fastapi.responses import HTMLResponse

    from mainwright.workflow.deeds import DeedKeeper

__all__ = ["router"]

router: Final = APIRouter()

_MOST_ROWS: Final = 100_000


@router.get("/audit")
def _audit_page(request: Request) -> HTMLResponse:
    """Show who did what."""
    uses, reader = use_cases(request), reader_from(request)
    found = _deeds(request).find(_wanted(request), most=A_PAGE + 1)
    jobs = [one.job for one in uses.jobs.shelf.latest().values()]
    given = {name: request.query_params.get(name, "")[:80] for name in ("job", "what", "text", "since", "until")}
    return page(request, "audit.html", **audit_view(found, reader.say, uses.zone, jobs=jobs, given=given))


@router.get("/audit.csv")
def _audit_table(request: Request) -> Response:
    """Give out what the page shows, all of it; no text in it begins a formula."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    for row in csv_rows(_deeds(request).find(_wanted(request), most=_MOST_ROWS)):
        writer.writerow([harmless_text(cell) for cell in row])
    headers = {"content-disposition": 'attachment; filename="who-did-what.csv"'}
    return Response(out.getvalue().encode("utf-8"), media_type="text/csv; charset=utf-8", headers=headers)


def _deeds(request: Request) -> DeedKeeper:
    found = use_cases(request).deeds
    if found is None:
        raise HTTPException(404)
    return found


def _wanted(request: Request) -> Wanted:
    asked, zone = request.query_params, use_cases(request).zone

    def day(name: str, later: int) -> datetime | None:
        text = asked.get(name, "")
        try:
            return datetime.combine(date.fromisoformat(text) + timedelta(days=later), time(), tzinfo=zone) if text else None
        except (ValueError, OverflowError):
            raise HTTPException(400) from None

    below = asked.get("below", "")
    if below and not (below.isascii() and below.isdigit() and len(below) < 16):
        raise HTTPException(400)
    what = asked.get("what", "")
    if what and what not in DEEDS:
        raise HTTPException(400)
    try:
        return Wanted(
            job=asked.get("job") or None,
            what=frozenset({what}) if what else None,
            text=asked.get("text", "")[:80],
            since=day("since", 0),
            until=day("until", 1),
            below=int(below) if below else None,
        )
    except OverflowError:
        raise HTTPException(400) from None
