"""The screen in the van: the page, what it shows again and again, and what its buttons do."""

from __future__ import annotations

import asyncio
import contextlib
import json
from concurrent.futures import Future
from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, HTTPException, Request, WebSocket, WebSocketDisconnect
from fastapi.responses import JSONResponse, RedirectResponse, Response

from mainwright.errors import MainwrightError
from mainwright.units import from_si
from mainwright.web.forms import fields_of
from mainwright.web.live_form import command_in
from mainwright.web.live_view import view_of
from mainwright.web.pages import page, reader_from
from mainwright.web.reader import COOKIE, reader_of
from mainwright.words.message import message
from mainwright.words.wording import shown_unit

if TYPE_CHECKING:
    from mainwright.web.reader import Reader
    from mainwright.workflow.live_run import LiveRun
    from mainwright.workflow.visiting import UseCases

__all__ = ["router"]

router: Final = APIRouter()

_EVERY: Final = 0.2
"""The page is shown anew no more often. [s]"""

_AT_LEAST: Final = 1.0
"""And its clocks at least so often. [s]"""

_DURABLE_WITHIN: Final = 10.0
"""A button waits so long for the disk before it says that it is not yet on it. [s]"""

_NAME: Final = "mainwright_name"


class _Views:
    """What the page shows, made once for all who read the same language and units."""

    def __init__(self, live: LiveRun) -> None:
        self._live = live
        self._made: dict[tuple[str, str], tuple[float, str]] = {}

    def text(self, reader: Reader) -> str:
        """Return the view as JSON, made anew where it is older than the pace of the page."""
        now = asyncio.get_running_loop().time()
        key = (reader.language, reader.units)
        made, text = self._made.get(key, (float("-inf"), ""))
        if now - made >= _EVERY:
            text = json.dumps(view_of(self._live.screen(), self._live.plan, reader.say), ensure_ascii=False, allow_nan=False)
            self._made[key] = (now, text)
        return text


def _live(connection: Request | WebSocket, run: str) -> tuple[LiveRun, _Views]:
    cases: UseCases = connection.app.state.use_cases
    found = cases.live.get(run)
    if found is None:
        raise HTTPException(404)
    views: dict[str, _Views] = connection.app.state.__dict__.setdefault("live_views", {})
    return found, views.setdefault(run, _Views(found))


@router.get("/runs/{run}/live")
async def _show_run(request: Request, run: str) -> Response:
    """Show the run."""
    live, _ = _live(request, run)
    reader = reader_from(request)
    view = view_of(live.screen(), live.plan, reader.say)
    say = reader.say
    return page(
        request,
        "live.html",
        run=run,
        view=view,
        name=request.cookies.get(_NAME, ""),
        heading=message("Run {run} while it is lined", run=run),
        shown=lambda unit: shown_unit(unit, say.units),
        shown_number=lambda chainage: f"{from_si(chainage, shown_unit('m', say.units)):.10g}",
    )


@router.get("/runs/{run}/live.json")
async def _ask_run(request: Request, run: str) -> Response:
    """Show the run to a page that cannot be told."""
    _, views = _live(request, run)
    return Response(views.text(reader_from(request)), media_type="application/json")


@router.websocket("/runs/{run}/live")
async def _tell_run(socket: WebSocket, run: str) -> None:
    """Tell a page what the run shows, as often as it changes and not more often than an eye follows."""
    cases: UseCases = socket.app.state.use_cases
    if run not in cases.live:
        await socket.close(1008)
        return
    live, views = _live(socket, run)
    reader = reader_of(socket.cookies.get(COOKIE, ""), socket.headers.get("accept-language", ""))
    await socket.accept()
    gone = asyncio.create_task(_until_gone(socket))
    told: tuple[int, int] | None = None
    idle = 0.0
    with contextlib.suppress(WebSocketDisconnect, RuntimeError):
        while not gone.done():
            mark = (live.state.events, live.durable)
            if mark != told or idle >= _AT_LEAST:
                await socket.send_text(views.text(reader))
                told, idle = mark, 0.0
            await asyncio.sleep(_EVERY)
            idle += _EVERY
    gone.cancel()


async def _until_gone(socket: WebSocket) -> None:
    with contextlib.suppress(WebSocketDisconnect, RuntimeError):
        while True:
            await socket.receive_text()


@router.post("/runs/{run}/do")
async def _do(request: Request, run: str) -> Response:
    """Do what a button says, and answer when it is on disk."""
    live, _ = _live(request, run)
    fields = await fields_of(request)
    reader = reader_from(request)
    who = fields.get("who", "")[:80]
    try:
        if not who:
            return _answer(request, run, 422, reader.say.text("Say who you are: it stands in the record."))
        done = live.do(command_in(fields, reader.units), who=who, press=fields.get("press", "")[:80])
    except MainwrightError as error:
        return _answer(request, run, 422, str(error))
    try:
        place = await asyncio.wait_for(asyncio.wrap_future(_copy(done)), _DURABLE_WITHIN)
    except TimeoutError:
        return _answer(request, run, 503, reader.say.text("It is seen, but not on disk yet: it is tried again."))
    answer = _answer(request, run, 200, "", place)
    answer.set_cookie(_NAME, who.encode("ascii", "ignore").decode("ascii"), max_age=31_536_000, httponly=True, samesite="lax")
    return answer


def _copy(done: Future[int]) -> Future[int]:
    """Return a future of its own: giving up on it must not cancel the one of the log."""
    copy: Future[int] = Future()

    def hand_on(found: Future[int]) -> None:
        if not copy.cancelled():
            with contextlib.suppress(Exception):
                copy.set_result(found.result())

    done.add_done_callback(hand_on)
    return copy


def _answer(request: Request, run: str, status: int, text: str, place: int | None = None) -> Response:
    """Answer the page's script with JSON, and a form without a script by going back to the page."""
    if "application/json" in request.headers.get("accept", ""):
        return JSONResponse({"place": place, "text": text}, status_code=status)
    if status == 200:
        return RedirectResponse(f"/runs/{run}/live", status_code=303)
    return page(request, "refused.html", status=status, text=text, back=f"/runs/{run}/live")
