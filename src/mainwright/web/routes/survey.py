"""The place ``survey``: the tables of a job, typed and pasted, each fault at its cell, every save a revision."""

from __future__ import annotations

import json
from functools import partial
from typing import TYPE_CHECKING, Any, Final

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response

from mainwright.errors import Conflict, MainwrightError
from mainwright.job.columns import TABLES
from mainwright.job.document import Document
from mainwright.web.forms import fields_of, sound
from mainwright.web.pages import Part, page, reader_from, use_cases
from mainwright.web.place import job_at_hand, place_page
from mainwright.web.views.ribbon import ribbon_frame
from mainwright.web.views.survey import (
    change_rows,
    connection_rows,
    fault_rows,
    history_rows,
    survey_view,
    table_cells,
    table_groups,
    to_ask,
)
from mainwright.words.message import message
from mainwright.workflow.comparing import compare_documents
from mainwright.workflow.editing import MOST_CELLS, Cells, columns_of, with_cells
from mainwright.workflow.making import Making
from mainwright.workflow.pasting import read_pasted

if TYPE_CHECKING:
    from collections.abc import Mapping

    from fastapi.responses import HTMLResponse

    from mainwright.job.job import Job

__all__ = ["router"]

router: Final = APIRouter()

_SHOWN: Final = 100
"""Rows of a table that stand in the page before its script has got them all."""


@router.get("/new-job")
def _new_page(request: Request) -> HTMLResponse:
    """Ask for the name of a new job."""
    return page(request, "new_job.html", given={"name": ""}, wrong="")


@router.post("/new-job")
async def _new(request: Request) -> Response:
    """Begin a job: it has a name and nothing else, and its page says what is missing."""
    fields = await fields_of(request)
    say = reader_from(request).say
    reference, name = fields.get("reference", "")[:80], fields.get("name", "")[:200]
    jobs = use_cases(request).jobs
    wrong = ""
    if not reference or not name or not fields.get("author"):
        wrong = say.text("A job needs a reference, a name, and who begins it.")
    elif reference in {one.job for one in jobs.shelf.latest().values()}:
        wrong = say.text("There is a job of this reference already.")
    if wrong:
        return page(request, "new_job.html", status=422, given=fields, wrong=wrong)
    first: dict[str, Any] = {
        "name": name,
        "reference": reference,
        "language": reader_from(request).language,
        "units": reader_from(request).units,
    }
    if fields.get("client"):
        first["client"] = fields["client"][:200]
    address = jobs.shelf.save(Document({"job": [first]}), author=fields["author"][:80])
    return RedirectResponse(f"/jobs/{address}/survey?table=main", status_code=303)


@router.get("/jobs/{job}")
def _job(request: Request, job: str) -> RedirectResponse:
    return RedirectResponse(f"/jobs/{job_at_hand(request, job).name}/survey", status_code=303)


@router.get("/jobs/{job}/survey")
def _survey_page(request: Request, job: str) -> HTMLResponse:
    """Show the tables."""
    at_hand, uses, reader = job_at_hand(request, job), use_cases(request), reader_from(request)
    shelf, say, known = uses.jobs.shelf, reader.say, at_hand.read.job
    document = shelf.document(at_hand.name)
    name = request.query_params.get("table", "main")
    if name not in TABLES:
        raise HTTPException(404)
    plan = None if known is None else uses.jobs.plan(known)
    return place_page(
        request,
        at_hand,
        "survey",
        "survey.html",
        answer=survey_view(at_hand, reader),
        frame=None if known is None else ribbon_frame(known, at_hand.name, say),
        groups=table_groups(document, say),
        table=name,
        cells=table_cells(document, name, say, most=_SHOWN),
        history=history_rows(shelf.history(at_hand.name), say),
        asked=None if plan is None or isinstance(plan, Making) else Part("survey_asked.html", plan, "", partial(to_ask, plan, say)),
        connections=None if known is None else _connections(request, at_hand.name, known),
    )


def _connections(request: Request, name: str, job: Job) -> Part | None:
    """Return the connections as they were seen; None where nothing at all is on record."""
    shelf, say = use_cases(request).jobs.shelf, reader_from(request).say
    count = shelf.record_count(name)
    if not count:
        return None
    return Part("survey_connections.html", job, count, lambda: connection_rows(job, shelf.records(name), say))


@router.get("/jobs/{job}/survey/cells")
def _cells(request: Request, job: str) -> JSONResponse:
    """Give a table to the page's script, with every fault of the job."""
    at_hand = job_at_hand(request, job)
    name = request.query_params.get("table", "main")
    if name not in TABLES:
        raise HTTPException(404)
    say = reader_from(request).say
    document = use_cases(request).jobs.shelf.document(at_hand.name)
    return JSONResponse({"revision": at_hand.revision.revision, **table_cells(document, name, say), "faults": fault_rows(document, say)})


@router.post("/jobs/{job}/survey/check")
async def _check(request: Request, job: str) -> JSONResponse:
    """Say what is wrong with what is typed, before it is saved."""
    at_hand, fields = job_at_hand(request, job), await fields_of(request)
    document = with_cells(use_cases(request).jobs.shelf.document(at_hand.name), _drafts(fields))
    return JSONResponse({"faults": fault_rows(document, reader_from(request).say)})


@router.post("/jobs/{job}/survey/save")
async def _save(request: Request, job: str) -> JSONResponse:
    """Keep what is typed as a revision, faults and all."""
    fields, at_hand = await fields_of(request), job_at_hand(request, job)
    say, shelf = reader_from(request).say, use_cases(request).jobs.shelf
    if not fields.get("author"):
        return JSONResponse({"text": say.text("Say who you are: it stands in the record.")}, status_code=422)
    meanwhile = say.text("Somebody saved this job meanwhile. What you typed is kept here: open the job anew to see both.")
    base = at_hand.revision.revision
    if fields.get("base") != base:
        return JSONResponse({"text": meanwhile}, status_code=409)
    try:
        name = shelf.save(with_cells(shelf.document(at_hand.name, base), _drafts(fields)), author=fields["author"][:80], base=base)
    except Conflict:
        return JSONResponse({"text": meanwhile}, status_code=409)
    except MainwrightError as error:
        return JSONResponse({"text": str(error)}, status_code=422)
    return JSONResponse({"name": name, "number": shelf.history(name)[-1].number})


@router.post("/jobs/{job}/survey/parse")
async def _parse(request: Request, job: str) -> JSONResponse:
    """Give back the cells of a pasted text, and the column that each of its heads seems to mean."""
    job_at_hand(request, job)
    fields = await fields_of(request)
    name = fields.get("table", "")
    if name not in TABLES:
        raise HTTPException(400)
    try:
        # As JSON, so that an empty cell at the beginning is not taken for a blank.
        text = sound(json.loads(fields["pasted"])) if "pasted" in fields else fields.get("text", "")
    except (ValueError, RecursionError):
        raise HTTPException(400) from None
    found = read_pasted(text, columns_of(TABLES[name]), mark="\t" if fields.get("mark") == "tab" else "")
    return JSONResponse({"header": found.header, "rows": found.rows, "meant": found.meant})


@router.post("/jobs/{job}/survey/bring")
async def _bring(request: Request, job: str) -> JSONResponse:
    """Take the files of a job folder, or a line on the map, into the job as a revision."""
    import base64
    import binascii

    fields, at_hand = await fields_of(request), job_at_hand(request, job)
    uses, say = use_cases(request), reader_from(request).say
    if not fields.get("author"):
        return JSONResponse({"text": say.text("Say who you are: it stands in the record.")}, status_code=422)
    try:
        given: dict[str, str] = json.loads(fields.get("files", "{}"))
        files = {sound(name).rpartition("/")[2]: base64.b64decode(content, validate=True) for name, content in given.items()}
    except (ValueError, TypeError, AttributeError, binascii.Error):
        raise HTTPException(400) from None
    if uses.bring is None:
        raise HTTPException(404)
    base = at_hand.revision.revision
    document, taken, told = uses.bring(uses.jobs.shelf.document(at_hand.name, base), files)
    if not taken:
        return JSONResponse(
            {"text": say.text("None of these files belongs to a job folder."), "told": [say.word(one) for one in told]}, status_code=422
        )
    try:
        name = uses.jobs.shelf.save(document, author=fields["author"][:80], base=base)
    except MainwrightError as error:
        return JSONResponse({"text": str(error)}, status_code=422)
    return JSONResponse({"name": name, "taken": taken, "told": [say.word(one) for one in told]})


@router.get("/jobs/{job}/folder.zip")
def _folder(request: Request, job: str) -> Response:
    """Hand out the job folder of a revision, the latest where none is named: also of a job that cannot be planned yet."""
    at_hand, uses = job_at_hand(request, job), use_cases(request)
    wanted = request.query_params.get("number") or str(at_hand.revision.number)
    found = next((one for one in uses.jobs.shelf.history(at_hand.name) if str(one.number) == wanted), None)
    if found is None:
        raise HTTPException(404)
    content = uses.papers.folder(uses.jobs.shelf.document(at_hand.name, found.revision))
    headers = {"content-disposition": f'attachment; filename="{at_hand.name}-{found.number}.zip"'}
    return Response(content, media_type="application/zip", headers=headers)


@router.get("/jobs/{job}/survey/compare")
def _compare(request: Request, job: str) -> HTMLResponse:
    """Show two revisions beside each other, cell by cell."""
    at_hand, say = job_at_hand(request, job), reader_from(request).say
    shelf = use_cases(request).jobs.shelf
    history = {str(one.number): one for one in shelf.history(at_hand.name)}
    before, after = (history.get(request.query_params.get(one, "")) for one in ("before", "after"))
    if before is None or after is None:
        raise HTTPException(404)
    changes = compare_documents(shelf.document(at_hand.name, before.revision), shelf.document(at_hand.name, after.revision))
    heading = message(
        "{n} {n:cell or row differs/cells and rows differ} between revision {before} and revision {after}.",
        n=len(changes),
        before=before.number,
        after=after.number,
    )
    return place_page(request, at_hand, "survey", "compare.html", heading=heading, rows=change_rows(changes, say))


@router.post("/jobs/{job}/survey/restore")
async def _restore(request: Request, job: str) -> Response:
    """Make an older revision the latest: as a further one, so that nothing is lost."""
    fields, at_hand = await fields_of(request), job_at_hand(request, job)
    shelf = use_cases(request).jobs.shelf
    wanted = next((one for one in shelf.history(at_hand.name) if str(one.number) == fields.get("number")), None)
    if wanted is None:
        raise HTTPException(404)
    if not fields.get("author"):
        text = reader_from(request).say.text("Say who you are: it stands in the record.")
        return page(request, "refused.html", status=422, text=text, back=f"/jobs/{at_hand.name}/survey")
    try:
        # A page that does not say what it saw takes the latest for that.
        base = fields.get("base") or at_hand.revision.revision
        name = shelf.save(shelf.document(at_hand.name, wanted.revision), author=fields["author"][:80], base=base)
    except Conflict:
        text = reader_from(request).say.text("Somebody saved this job meanwhile: open it anew.")
        return page(request, "refused.html", status=409, text=text, back=f"/jobs/{at_hand.name}/survey")
    return RedirectResponse(f"/jobs/{name}/survey", status_code=303)


def _drafts(fields: Mapping[str, str]) -> dict[str, Cells]:
    """Return the tables that were typed."""
    try:
        given = json.loads(fields.get("cells", "{}"))
        found = {
            name: Cells(tuple(sound(one) for one in table["header"]), tuple(tuple(sound(cell) for cell in row) for row in table["rows"]))
            for name, table in given.items()
            if name in TABLES
        }
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise HTTPException(400) from None
    if any(len(cells.rows) * len(cells.header) > MOST_CELLS for cells in found.values()):
        raise HTTPException(413)
    return found
