"""The page in the van: a run while it is lined, and its buttons."""

from __future__ import annotations

import asyncio
import contextlib
import json
from concurrent.futures import TimeoutError as NotYet
from typing import TYPE_CHECKING, Final, cast

from fastapi import APIRouter, HTTPException, Request, WebSocket, WebSocketDisconnect
from fastapi.responses import JSONResponse, RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from mainwright.errors import InputError, RunError
from mainwright.web.buttons import command_in
from mainwright.web.forms import fields_of
from mainwright.web.live import Broadcasts, snapshot
from mainwright.web.pages import page, reader_from, use_cases
from mainwright.web.reader import COOKIE, Reader, chosen, reader_of
from mainwright.web.refusals import impossible, not_understood
from mainwright.web.van import PHASES, van_view
from mainwright.words.message import Message, message
from mainwright.words.wording import shown_unit
from mainwright.workflow.live_commands import TakeCharge

if TYPE_CHECKING:
    from mainwright.workflow.live_commands import Command
    from mainwright.workflow.visiting import FollowedRun, UseCases

__all__ = ["router"]

router: Final = APIRouter(prefix="/runs/{name}")

_PATIENCE: Final = 10.0
"""So long a press waits for the disk before the page is told to ask again. [s]"""


def _run_of(request: Request, name: str) -> FollowedRun:
    run = use_cases(request).live.get(name)
    if run is None:
        raise HTTPException(404)
    return run


@router.get("/live")
def _live_page(request: Request, name: str) -> Response:
    run, reader, uses = _run_of(request, name), reader_from(request), use_cases(request)
    view = van_view(run.screen(), run.plan, reader, uses.zone)
    return page(
        request,
        "van.html",
        view=view,
        name=name,
        shown=lambda unit: shown_unit(unit, reader.units),
        data=snapshot(view).replace("<", "\\u003c"),
    )


@router.get("/buttons")
def _buttons_page(request: Request, name: str) -> Response:
    """Show the buttons as plain forms, for browsers without script."""
    run, reader, uses = _run_of(request, name), reader_from(request), use_cases(request)
    view = van_view(run.screen(), run.plan, reader, uses.zone)
    return page(request, "van_buttons.html", view=view, name=name, shown=lambda unit: shown_unit(unit, reader.units))


@router.get("/screen")
def _screen(request: Request, name: str) -> Response:
    """Answer pages that have no live connection."""
    run, uses = _run_of(request, name), use_cases(request)
    reader = _as_shown(reader_from(request), dict(request.query_params))
    screen = run.screen()
    text = snapshot(van_view(screen, run.plan, reader, uses.zone))
    return Response(f'{{"token":{json.dumps(uses.token)},"now":{screen.now:.3f},{text[1:]}', media_type="application/json")


@router.websocket("/feed")
async def _feed(socket: WebSocket, name: str) -> None:
    uses = cast("UseCases", socket.app.state.use_cases)
    broadcast = cast("Broadcasts", socket.app.state.broadcasts).of(name)
    if broadcast is None:
        await socket.close(code=1008)
        return
    reader = reader_of(socket.cookies.get(COOKIE, ""), socket.headers.get("accept-language", ""))
    reader = _as_shown(reader, dict(socket.query_params))
    await socket.accept()
    await socket.send_text(json.dumps({"token": uses.token, "now": uses.clock().timestamp()}))

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


@router.post("/do")
async def _do(request: Request, name: str) -> Response:
    """Do what a button says; the answer comes when it is on disk."""
    fields = await fields_of(request)
    run, reader = _run_of(request, name), _as_shown(reader_from(request), fields)
    by_script = "application/json" in request.headers.get("accept", "")
    status, text, place = await run_in_threadpool(_done, run, fields, reader, use_cases(request).clock().timestamp())
    if by_script:
        return JSONResponse({"text": text, "place": place}, status_code=status)
    if status != 200:
        return page(request, "refused.html", status=status, text=text, name=name, reader=reader)
    return RedirectResponse(f"/runs/{name}/live", status_code=303)


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
