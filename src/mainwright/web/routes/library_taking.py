"""The library at a job: where its values come from, and entries taken into it as a revision."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, cast

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mainwright.errors import MainwrightError
from mainwright.web.forms import fields_of
from mainwright.web.pages import page, reader_from, use_cases
from mainwright.web.place import job_at_hand, place_page
from mainwright.web.routes.library_entries import entry_or_404, library_of, revision_or_404
from mainwright.web.views.library_entries import entry_lists, origin_rows
from mainwright.web.views.survey import change_rows
from mainwright.words.message import message
from mainwright.workflow.comparing import compare_documents
from mainwright.workflow.editing import check_cells
from mainwright.workflow.library_taking import HOW, refusal, taken_into

if TYPE_CHECKING:
    from mainwright.workflow.library_taking import How

__all__ = ["router"]

router: Final = APIRouter()


@router.get("/jobs/{job}/library")
def _job_library(request: Request, job: str) -> HTMLResponse:
    """Show where values of a job come from, and what could be taken into it."""
    at_hand, say = job_at_hand(request, job), reader_from(request).say
    entries = [one for one in library_of(request).entries() if not one.withdrawn]
    lists = entry_lists(entries, say)
    for one in lists:
        for row in one["rows"]:
            row[0]["href"] = f"/jobs/{at_hand.name}/library/{row[0]['href'].rpartition('/')[2]}"
    known = at_hand.read.job
    rows = [] if known is None else origin_rows(known, say)
    changed = 0 if known is None else sum(one.stands is False for one in known.origins)
    if not rows:
        answer = [say.text("Nothing of this job was taken from the library.")]
    else:
        text = "{n} {n:value of this job comes/values of this job come} from the library; {changed} of them {changed:was/were} changed here since."
        answer = [say.word(message(text, n=len(rows), changed=changed))]
    answer.append(say.text("An entry is taken as a further revision of the job: what would change is shown first."))
    keeps = {
        "specification": say.text("Keep the specification of this job in the library"),
        "plant": say.text("Keep the plant of this job in the library"),
        "prices": say.text("Keep the prices of this job in the library"),
    }
    return place_page(request, at_hand, "survey", "library_job.html", answer=answer, origins=rows, lists=lists, keeps=keeps)


@router.get("/jobs/{job}/library/{entry}")
def _difference(request: Request, job: str, entry: str) -> HTMLResponse:
    """Show what would change before it is taken."""
    at_hand, found, say = job_at_hand(request, job), entry_or_404(request, entry), reader_from(request).say
    one = revision_or_404(found, request.query_params.get("revision"))
    how = _how(request.query_params.get("how") or HOW[found.kind])
    document = use_cases(request).jobs.shelf.document(at_hand.name)
    after = taken_into(document, found, one, how=how)
    changes = [change for change in compare_documents(document, after) if change.table != "origins"]
    refused = refusal(document, found, one)
    had = {(fault.table, fault.column, say.word(fault.message)) for fault in check_cells(document)}
    new = [
        fault
        for fault in check_cells(after)
        if fault.severity == "fault" and (fault.table, fault.column, say.word(fault.message)) not in had
    ]
    text = "{n} {n:value or row/values and rows} of the job would change if {name}, revision {revision}, is taken."
    answer = [say.word(message(text, n=len(changes), name=one.facts.name, revision=one.number))]
    answer.append(say.text("Nothing is lost: the job gets a further revision, and the one before can be taken up again."))
    return place_page(
        request,
        at_hand,
        "survey",
        "library_take.html",
        answer=answer,
        refused="" if refused is None else say.word(refused),
        entry=found,
        one=one,
        how=how,
        rows=change_rows(changes, say),
        faults=[[fault.table, str((fault.row or 0) + 1), fault.column or "–", say.word(fault.message)] for fault in new],
    )


@router.post("/jobs/{job}/library/{entry}")
async def _take(request: Request, job: str, entry: str) -> Response:
    """Take an entry into a job, with the origin of each value."""
    fields, say = await fields_of(request), reader_from(request).say
    at_hand, found = job_at_hand(request, job), entry_or_404(request, entry)
    one, how = revision_or_404(found, fields.get("revision")), _how(fields.get("how") or HOW[found.kind])
    shelf = use_cases(request).jobs.shelf
    document = shelf.document(at_hand.name, at_hand.revision.revision)
    back = f"/jobs/{at_hand.name}/library/{found.id}?revision={one.number}&how={how}"
    refused = refusal(document, found, one)
    text = "" if refused is None else say.word(refused)
    if not fields.get("author"):
        text = say.text("Say who you are: it stands in the record.")
    elif fields.get("base") != at_hand.revision.revision:
        text = say.text("Somebody saved this job meanwhile: look again at what would change.")
    if text:
        return page(request, "refused.html", status=422, text=text, back=back)
    try:
        name = shelf.save(taken_into(document, found, one, how=how), author=fields["author"][:80], base=at_hand.revision.revision)
    except MainwrightError as error:
        return page(request, "refused.html", status=422, text=str(error), back=back)
    return RedirectResponse(f"/jobs/{name}/library", status_code=303)


def _how(given: str) -> How:
    if given not in ("replace", "merge"):
        raise HTTPException(404)
    return cast("How", given)
