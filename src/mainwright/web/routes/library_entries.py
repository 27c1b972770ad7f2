"""The place ``library``: entries that are kept across jobs: added, revised, compared, withdrawn, handed out and taken in."""

from __future__ import annotations

import base64
import binascii
import json
from datetime import date
from textwrap import shorten
from typing import TYPE_CHECKING, Any, Final, cast

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from mainwright.errors import Conflict
from mainwright.web.forms import fields_of, sound
from mainwright.web.pages import page, reader_from, use_cases
from mainwright.web.views.library_entries import (
    KIND_NAMES,
    entry_facts,
    entry_history,
    entry_tables,
    fault_lines,
    files_of,
    revision_changes,
    status_choices,
)
from mainwright.words.message import Message, message
from mainwright.workflow.library import Library
from mainwright.workflow.library_entry import Facts, wrong_facts
from mainwright.workflow.library_file import library_text, read_library
from mainwright.workflow.library_parts import KINDS, LibraryFiles, part_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mainwright.workflow.library_entry import Entry, EntryRevision
    from mainwright.workflow.library_parts import Kind, ReadEntry

__all__ = ["entry_or_404", "library_of", "revision_or_404", "router"]

router: Final = APIRouter()

_WHO: Final = message("Say who you are: it stands in the record.")
_FIELDS: Final = ("name", "day", "status", "origin", "currency", "note", "author")


def library_of(request: Request) -> Library:
    """Return the library of the store that is open."""
    return Library(use_cases(request).jobs.shelf)


def entry_or_404(request: Request, entry: str) -> Entry:
    """Return an entry by its id."""
    found = library_of(request).entry(entry)
    if found is None:
        raise HTTPException(404)
    return found


def revision_or_404(found: Entry, number: str | None) -> EntryRevision:
    """Return a revision of an entry by its number as text, the latest without one."""
    if number and not (number.isascii() and number.isdigit() and len(number) < 7):
        raise HTTPException(404)
    revision = found.revision(int(number) if number else None)
    if revision is None:
        raise HTTPException(404)
    return revision


@router.get("/library/new")
def _new_page(request: Request) -> HTMLResponse:
    """Ask for a new entry: out of files, or out of a job."""
    kind = _kind(request.query_params.get("kind", "prices"))
    job = request.query_params.get("job", "")
    given: dict[str, str] = {"status": "", "day": use_cases(request).clock().date().isoformat()}
    texts: Mapping[str, str] = {}
    told: list[str] = []
    if job:
        at_hand = use_cases(request).jobs.job(job)
        if at_hand is None:
            raise HTTPException(404)
        say = reader_from(request).say
        document = use_cases(request).jobs.shelf.document(at_hand.name)
        tables, aside = part_of(kind, document.tables)
        texts = _texts(_files(request), kind, tables)
        info = document.rows("job")[0] if document.rows("job") else {}
        currency = str(info.get("currency") or "") if kind != "specification" else ""
        origin = say.word(message("Job {job}, revision {n}", job=at_hand.revision.job, n=at_hand.revision.number))
        given |= {"origin": origin, "currency": currency}
        if aside:
            told.append(
                say.word(
                    message(
                        "Left aside, for it is of one job or not known: {names}.", names=shorten(", ".join(aside), 400, placeholder=" …")
                    )
                )
            )
    return _form(request, kind, given=given, texts=texts, told=told)


@router.post("/library/new")
async def _new(request: Request) -> Response:
    """Keep a new entry; where something is wrong all of it is told, and nothing that was typed is lost."""
    fields = await fields_of(request)
    return _kept(request, fields, _kind(fields.get("kind", "")), None)


@router.get("/library/export")
def _export(request: Request) -> Response:
    """Hand the whole library out as one file."""
    headers = {"content-disposition": 'attachment; filename="mainwright-library.json"'}
    return Response(library_text(library_of(request).entries()), media_type="application/json", headers=headers)


@router.post("/library/import")
async def _import(request: Request) -> Response:
    """Take the entries of another library in, each with its history."""
    fields, say = await fields_of(request), reader_from(request).say
    if not fields.get("author"):
        return page(request, "refused.html", status=422, text=say.word(_WHO), back="/library")
    files = _brought(fields)
    if len(files) != 1:
        return page(
            request, "refused.html", status=422, text=say.text("Choose one file: the one that a library handed out."), back="/library"
        )
    entries, faults = read_library(next(iter(files.values())))
    if faults:
        rows = [[place or "–", say.word(text)] for place, text in faults]
        return page(request, "library_faults.html", status=422, rows=rows)
    library = library_of(request)
    added = [library.take_in(one, author=fields["author"][:80]) for one in entries]
    return RedirectResponse(f"/library?entries={len(entries)}&revisions={sum(added)}#entries", status_code=303)


@router.get("/library/entries/{entry}")
def _entry_page(request: Request, entry: str) -> HTMLResponse:
    """Show an entry: what it says of itself, its values, its history."""
    found, say = entry_or_404(request, entry), reader_from(request).say
    one = revision_or_404(found, request.query_params.get("revision"))
    files = _files(request).write(found.kind, one.tables)
    latest = use_cases(request).jobs.shelf.latest()
    text = message("{name}: revision {n}, of {day}.", name=one.facts.name, n=one.number, day=one.facts.day or "–")
    answer = [say.word(text)]
    if found.withdrawn:
        answer.append(say.text("It was withdrawn: it stays with its history, and is not taken into a job any more."))
    if one.number != found.latest.number:
        answer.append(say.text("This is an older revision."))
    return page(
        request,
        "library_entry.html",
        answer=answer,
        entry=found,
        one=one,
        kind_name=say.word(KIND_NAMES[found.kind]),
        facts=entry_facts(one, say),
        tables=entry_tables(one.tables, say),
        files=list(files),
        history=entry_history(found, say),
        jobs=[(name, revision.name or revision.job) for name, revision in latest.items()],
    )


@router.get("/library/entries/{entry}/files/{file}")
def _file(request: Request, entry: str, file: str) -> Response:
    """Hand one file of a revision out."""
    found = entry_or_404(request, entry)
    one = revision_or_404(found, request.query_params.get("revision"))
    content = _files(request).write(found.kind, one.tables).get(file)
    if content is None:
        raise HTTPException(404)
    kind = "text/csv; charset=utf-8" if file.endswith(".csv") else "application/toml; charset=utf-8"
    headers = {"content-disposition": f'attachment; filename="{found.id}-r{one.number}-{file}"'}
    return Response(content, media_type=kind, headers=headers)


@router.get("/library/entries/{entry}/compare")
def _compare(request: Request, entry: str) -> HTMLResponse:
    """Show in what two revisions differ."""
    found, say = entry_or_404(request, entry), reader_from(request).say
    before, after = (revision_or_404(found, request.query_params.get(one) or "0") for one in ("before", "after"))
    rows = revision_changes(before, after, say)
    text = "{n} {n:value or row differs/values and rows differ} between revision {before} and revision {after}."
    heading = say.word(message(text, n=len(rows), before=before.number, after=after.number))
    return page(request, "library_compare.html", heading=heading, entry=found, rows=rows)


@router.get("/library/entries/{entry}/edit")
def _edit_page(request: Request, entry: str) -> HTMLResponse:
    """Show the files of an entry to be changed."""
    found = entry_or_404(request, entry)
    facts = found.latest.facts
    given = {name: str(getattr(facts, name) or "") for name in _FIELDS if name != "author"}
    texts = _texts(_files(request), found.kind, found.latest.tables)
    return _form(request, found.kind, entry=found, given=given, texts=texts, base=str(found.history[-1].number))


@router.post("/library/entries/{entry}/edit")
async def _edit(request: Request, entry: str) -> Response:
    """Keep what was changed as a further revision."""
    fields = await fields_of(request)
    found = entry_or_404(request, entry)
    return _kept(request, fields, found.kind, found)


@router.post("/library/entries/{entry}/withdraw")
async def _withdraw(request: Request, entry: str) -> Response:
    """Say that nobody should take it any more."""
    fields, found = await fields_of(request), entry_or_404(request, entry)
    if not fields.get("author"):
        return _refused(request, found, _WHO)
    library_of(request).withdraw(found.id, author=fields["author"][:80])
    return RedirectResponse(f"/library/entries/{found.id}", status_code=303)


@router.post("/library/entries/{entry}/restore")
async def _restore(request: Request, entry: str) -> Response:
    """Take an older revision up again: as a further one."""
    fields, found = await fields_of(request), entry_or_404(request, entry)
    one = revision_or_404(found, fields.get("number") or "0")
    if not fields.get("author"):
        return _refused(request, found, _WHO)
    library_of(request).keep(found.kind, one.facts, one.tables, author=fields["author"][:80], entry=found.id)
    return RedirectResponse(f"/library/entries/{found.id}", status_code=303)


def _refused(request: Request, found: Entry, text: Message) -> HTMLResponse:
    return page(request, "refused.html", status=422, text=reader_from(request).say.word(text), back=f"/library/entries/{found.id}")


def _files(request: Request) -> LibraryFiles:
    files = use_cases(request).entry_files
    if files is None:
        raise HTTPException(404)
    return files


def _kind(given: str) -> Kind:
    if given not in KINDS:
        raise HTTPException(404)
    return cast("Kind", given)


def _texts(files: LibraryFiles, kind: Kind, tables: Any) -> dict[str, str]:  # noqa: ANN401 - tables of an entry
    return {name: content.decode("utf-8") for name, content in files.write(kind, tables).items()}


def _brought(fields: Mapping[str, str]) -> dict[str, bytes]:
    """Return the files that a form brings, by name."""
    try:
        given = json.loads(fields.get("files") or "{}")
        return {
            sound(name).replace("\\", "/").rpartition("/")[2]: base64.b64decode(content, validate=True) for name, content in given.items()
        }
    except (ValueError, TypeError, AttributeError, RecursionError, binascii.Error):
        raise HTTPException(400) from None


def _read(request: Request, kind: Kind, fields: Mapping[str, str]) -> tuple[ReadEntry, dict[str, str]]:
    """Return what a form says of the values, and the texts that it shows again."""
    texts = {name: fields.get(f"text_{at}", "") for at, name in enumerate(files_of(kind))}
    content = {name: text.encode("utf-8", "replace") for name, text in texts.items() if text}
    brought = _brought(fields)
    read = _files(request).read(kind, brought or content)
    if not brought:
        return read, texts
    if not read.faults:
        return read, _texts(_files(request), kind, read.tables)
    shown = dict.fromkeys(files_of(kind), "")
    for name, data in brought.items():
        at = (
            name
            if name in shown
            else next((one for one in shown if one.rpartition(".")[2] == name.rpartition(".")[2] and not shown[one]), None)
        )
        if at is not None:
            shown[at] = data[:1_000_000].decode("utf-8-sig", "replace").replace("\0", "\N{REPLACEMENT CHARACTER}")
    return read, shown


def _kept(request: Request, fields: Mapping[str, str], kind: Kind, entry: Entry | None) -> Response:
    """Keep what a form says, or show it again with everything that is wrong."""
    read, texts = _read(request, kind, fields)
    facts = Facts(
        fields.get("name", ""), _day(fields.get("day", "")), fields.get("status", ""), fields.get("origin", ""),
        fields.get("currency", "").upper(), fields.get("note", ""),
    )  # fmt: skip
    wrong = wrong_facts(kind, facts, read.tables)
    if not fields.get("author"):
        wrong["author"] = _WHO
    given = {name: fields.get(name, "") for name in _FIELDS}
    base = fields.get("base", "")
    if wrong or read.faults:
        return _form(request, kind, entry=entry, given=given, texts=texts, base=base, wrong=wrong, read=read, status=422)
    try:
        number = int(base) if entry is not None and base.isascii() and base.isdigit() and len(base) < 7 else 0
        kept = library_of(request).keep(
            kind, facts, read.tables, author=fields["author"][:80], entry=None if entry is None else entry.id, base=None if entry is None else number
        )  # fmt: skip
    except Conflict:
        text = message("Somebody kept a revision meanwhile: what you typed stands below, and a look at the entry shows theirs.")
        return _form(request, kind, entry=entry, given=given, texts=texts, base=base, wrong={"base": text}, status=409)
    return RedirectResponse(f"/library/entries/{kept}", status_code=303)


def _form(
    request: Request,
    kind: Kind,
    *,
    given: Mapping[str, str],
    texts: Mapping[str, str],
    entry: Entry | None = None,
    base: str = "",
    wrong: Mapping[str, Message] | None = None,
    read: ReadEntry | None = None,
    told: list[str] | None = None,
    status: int = 200,
) -> HTMLResponse:
    say = reader_from(request).say
    faults = [] if read is None else fault_lines(read.faults, say)
    head = (
        say.text("A new entry of the library")
        if entry is None
        else say.word(message("A further revision of {name}", name=entry.latest.facts.name))
    )
    return page(
        request,
        "library_form.html",
        status=status,
        heading=head,
        kind=kind,
        kinds=[(name, say.word(text)) for name, text in KIND_NAMES.items()],
        entry=entry,
        base=base,
        given=dict.fromkeys(_FIELDS, "") | dict(given),
        texts=[(at, name, texts.get(name, "")) for at, name in enumerate(files_of(kind))],
        statuses=status_choices(say),
        wrong=dict.fromkeys((*_FIELDS, "base"), "") | {name: say.word(text) for name, text in (wrong or {}).items()},
        faults=faults,
        told=[*(told or []), *([] if read is None else [say.word(one) for one in read.told])],
    )


def _day(given: str) -> date | None:
    try:
        found = date.fromisoformat(given) if len(given) == len("2026-04-13") else None
    except ValueError:
        return None
    return found if found is None or found.year >= 1900 else None
