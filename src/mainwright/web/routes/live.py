"""The page in the van: a run while it is lined, and its buttons."""

from __future__ import annotations

import asyncio
import contextlib
import json
from concurrent.futures import TimeoutError as NotYet
from typing import TYPE_CHECKING, Final, cast
from urllib.parse import quote

from fastapi import APIRouter, HTTPException, Request, WebSocket, WebSocketDisconnect
from fastapi.responses import JSONResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from mainwright.errors import InputError, MainwrightError, RunError
from mainwright.web.buttons import command_in
from mainwright.web.forms import fields_of
from mainwright.web.live import Broadcasts, snapshot
from mainwright.web.pages import page, reader_from, use_cases
from mainwright.web.place import job_at_hand, plan_page
from mainwright.web.reader import COOKIE, Reader, chosen, reader_of
from mainwright.web.refusals import impossible, not_understood
from mainwright.web.van import PHASES, van_view
from mainwright.web.views.begin_run import begin_view
from mainwright.web.views.van_origins import van_told
from mainwright.web.visitor import token_of, visitor_of
from mainwright.words.message import Message, message
from mainwright.words.wording import shown_unit
from mainwright.workflow.live_commands import TakeCharge
from mainwright.workflow.live_runs import FollowingBegun
from mainwright.workflow.making import Making

if TYPE_CHECKING:
    from mainwright.workflow.live_commands import Command
    from mainwright.workflow.live_runs import FollowedRun
    from mainwright.workflow.visiting import UseCases

__all__ = ["router"]

router: Final = APIRouter()

_HERE: Final = "/jobs/{job}/runs/{run}/live"

_PATIENCE: Final = 10.0
"""So long a press waits for the disk before the page is told to ask again. [s]"""


def _run_of(request: Request, job: str, run: str) -> FollowedRun:
    found = use_cases(request).live.get(job, run)
    if found is None:
        raise HTTPException(404)
    return found


def _here(job: str, run: str) -> str:
    return f"/jobs/{job}/runs/{run}/live"


@router.get("/runs/{run}/live")
def _run_alone(request: Request, run: str) -> Response:
    """Lead from the id of a run alone to its page."""
    job = use_cases(request).live.job_of(run)
    if job is None:
        raise HTTPException(404)
    return RedirectResponse(_here(job, run), status_code=307)


@router.get(_HERE)
def _live_page(request: Request, job: str, run: str) -> Response:
    reader, uses = reader_from(request), use_cases(request)
    followed = uses.live.get(job, run)
    if followed is None:
        return plan_page(request, job, "runs", "begin_run.html", lambda visit: begin_view(visit, run))
    view = van_view(followed.screen(), followed.plan, reader, uses.zone)
    return page(
        request,
        "van.html",
        view=view,
        base=_here(job, run),
        back=f"/jobs/{job}/runs/{run}" if uses.jobs.job(job) else "/",
        name=run,
        shown=lambda unit: shown_unit(unit, reader.units),
        origins=van_told(reader.say),
        data=snapshot(view).replace("<", "\\u003c"),
    )


@router.post(_HERE)
async def _begin(request: Request, job: str, run: str) -> Response:
    """Begin to follow a run, or go on with one."""
    fields = await fields_of(request)
    return await run_in_threadpool(_begun, request, job, run, fields)


def _begun(request: Request, job: str, run: str, fields: dict[str, str]) -> Response:
    uses, reader = use_cases(request), reader_from(request)
    at_hand = job_at_hand(request, job)
    plan = None if at_hand.read.job is None else uses.jobs.plan(at_hand.read.job)
    if plan is None or isinstance(plan, Making):
        # There is a page that says so, or how far the plan is.
        return RedirectResponse(_here(job, run), status_code=303)
    if not any(one.id == run for one in plan.runs):
        raise HTTPException(404)
    who, feed = fields.get("who", "")[:80], fields.get("feed", "")
    if not who:
        return _refused(request, job, run, 422, reader.say.text("Say your name first: who follows the run is in charge of it."))
    if feed and feed not in uses.live.feeds():
        return _refused(request, job, run, 422, reader.say.text("No such feed is known here."))
    try:
        uses.live.begin(job, plan, run, FollowingBegun(who, feed or None, turned=fields.get("turned", "") == "yes"))
        followed = _run_of(request, job, run)
        followed.do(TakeCharge(), who=who).result(_PATIENCE)
    except InputError:
        return _refused(
            request,
            job,
            run,
            409,
            reader.say.text("This run cannot be followed from here: it is complete, or its record was begun otherwise."),
        )
    except MainwrightError as error:
        return _refused(request, job, run, 503, reader.say.word(message("The store refused it: {why}", why=str(error))))
    except NotYet:
        pass
    return RedirectResponse(f"{_here(job, run)}#who={quote(who)}", status_code=303)


def _refused(request: Request, job: str, run: str, status: int, text: str) -> Response:
    return page(request, "refused.html", status=status, text=text, base=_here(job, run), reader=reader_from(request))


@router.get(f"{_HERE}/buttons")
def _buttons_page(request: Request, job: str, run: str) -> Response:
    """Show the buttons as plain forms, for browsers without script."""
    followed, reader, uses = _run_of(request, job, run), reader_from(request), use_cases(request)
    view = van_view(followed.screen(), followed.plan, reader, uses.zone)
    return page(request, "van_buttons.html", view=view, base=_here(job, run), name=run, shown=lambda unit: shown_unit(unit, reader.units))


@router.get(f"{_HERE}/screen")
def _screen(request: Request, job: str, run: str) -> Response:
    """Answer pages that have no live connection."""
    followed, uses = _run_of(request, job, run), use_cases(request)
    reader = _as_shown(reader_from(request), dict(request.query_params))
    screen = followed.screen()
    text = snapshot(van_view(screen, followed.plan, reader, uses.zone))
    return Response(
        f'{{"token":{json.dumps(token_of(visitor_of(request), uses.token))},"now":{screen.now:.3f},{text[1:]}',
        media_type="application/json",
    )


@router.websocket(f"{_HERE}/feed")
async def _feed(socket: WebSocket, job: str, run: str) -> None:
    uses = cast("UseCases", socket.app.state.use_cases)
    broadcast = cast("Broadcasts", socket.app.state.broadcasts).of(job, run)
    if broadcast is None:
        await socket.close(code=1008)
        return
    reader = reader_of(socket.cookies.get(COOKIE, ""), socket.headers.get("accept-language", ""))
    reader = _as_shown(reader, dict(socket.query_params))
    await socket.accept()
    await socket.send_text(json.dumps({"token": token_of(visitor_of(socket), uses.token), "now": uses.clock().timestamp()}))

    async def give() -> None:
        async for told in broadcast.messages(reader):
            await socket.send_text(told)

    async def take() -> None:
        # A page says nothing here but that it is there: it asks for the time, and is told.
        while True:
            await socket.receive_text()
            await socket.send_text(json.dumps({"now": uses.clock().timestamp()}))

    tasks = [asyncio.create_task(give()), asyncio.create_task(take())]
    try:
        await asyncio.wait(tasks, return_when=asyncio.FIRST_COMPLETED)
    finally:
        for task in tasks:
            task.cancel()
        for task in tasks:
            with contextlib.suppress(asyncio.CancelledError, WebSocketDisconnect, RuntimeError, OSError):
                await task


def _as_shown(reader: Reader, asked: dict[str, str]) -> Reader:
    """Return the reader for whom the page was made, whatever was chosen on another since."""
    for choice in ("language", "units"):
        reader = chosen(reader, choice, asked.get(choice, ""))
    return reader


@router.post(f"{_HERE}/do")
async def _do(request: Request, job: str, run: str) -> Response:
    """Do what a button says; the answer comes when it is on disk."""
    fields = await fields_of(request)
    followed, reader = _run_of(request, job, run), _as_shown(reader_from(request), fields)
    by_script = "application/json" in request.headers.get("accept", "")
    status, text, place = await run_in_threadpool(_done, followed, fields, reader, use_cases(request).clock().timestamp())
    if by_script:
        return JSONResponse({"text": text, "place": place}, status_code=status)
    if status != 200:
        return _refused(request, job, run, status, text)
    return RedirectResponse(_here(job, run), status_code=303)


def _done(run: FollowedRun, fields: dict[str, str], reader: Reader, now: float) -> tuple[int, str, int | None]:
    say = reader.say
    try:
        command = command_in(fields, units=reader.units, now=now)
    except ValueError as error:
        return 422, say.word(not_understood(str(error))), None
    who = fields.get("who", "")[:80]
    screen = run.screen()
    if not who:
        return 422, say.text("Say your name first: take charge."), None
    if not isinstance(command, TakeCharge) and screen.in_charge != who:
        who_is = screen.in_charge or say.text("nobody")
        return 403, say.word(message("Only who is in charge may do that; in charge: {who}.", who=who_is)), None
    return _recorded(run, command, who, fields.get("press", "")[:80], reader)


def _recorded(run: FollowedRun, command: Command, who: str, press: str, reader: Reader) -> tuple[int, str, int | None]:
    say = reader.say
    try:
        place = run.do(command, who=who, press=press).result(_PATIENCE)
    except RunError as error:
        phase = PHASES.get(error.phase, Message(error.phase))
        return 409, say.word(message("That cannot be done now: the run is {phase}. Nothing was put on record.", phase=phase)), None
    except InputError as error:
        return 422, say.word(impossible(error, run.plan)), None
    except NotYet:
        return 202, say.text("Not on disk yet."), None
    return 200, say.text("On disk."), place
