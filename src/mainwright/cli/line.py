"""``mainwright line``."""

from __future__ import annotations

import queue
import sys
import threading
import time
from pathlib import Path
from typing import TYPE_CHECKING

import click

from mainwright.cli.statuses import DONE, FAULTY_INPUT, INTERRUPTED, OUTSIDE_FAILED
from mainwright.cli.terminal import counted, fault_lines, paragraph, say

if TYPE_CHECKING:
    from collections.abc import Callable

    from mainwright.bootstrap.running import Following
    from mainwright.web.server import Server
    from mainwright.workflow.live_ports import Screen

__all__ = ["line", "watch_run"]

_EVERY = 0.1
"""The run is looked at so often. [s]"""

_LINE_EVERY = 0.5
"""The line of status is written so often. [s]"""


@click.command()
@click.argument("folder", type=click.Path(exists=True, file_okay=False, path_type=Path))
@click.argument("run")
@click.option("--feed", help="replay:FILE[@SPEED], csv:FILE, the file of a mapping, or rig for a simulated one. Without it: marks by hand.")
@click.option("--coat", type=int, help="Which coat, where the run has several.")
@click.option("--turned", is_flag=True, help="What is left of a run that was broken off is lined from the other end.")
@click.option("--by-hand", is_flag=True, help="The run starts and ends when somebody says so, not with the readings.")
@click.option("--speed", type=click.FloatRange(min=0.0, min_open=True), default=1.0, help="How many times as fast the simulated rig is.")
@click.option("--bin-m", type=click.FloatRange(0.01, 5.0), help="Length of the bins of the map, in metres; 0.1 where not given.")
@click.option("--lag-s", type=click.FloatRange(0.0, 300.0), default=0.0, help="Time constant of the hose, in seconds.")
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), help="Folder of the daily report; FOLDER/papers where not given.")
@click.option("--who", default="", help="Your name, for the record.")
@click.option("--page/--no-page", default=True, help="Show the run in a browser on this machine.", show_default=True)
@click.option(
    "--port", default=8420, show_default=True, type=click.IntRange(0, 65535), help="Port of the page; another one where it is taken."
)
def line(
    *,
    folder: Path,
    run: str,
    feed: str | None,
    coat: int | None,
    turned: bool,
    by_hand: bool,
    speed: float,
    bin_m: float | None,
    lag_s: float,
    out: Path | None,
    who: str,
    page: bool,
    port: int,
) -> int:
    """Follow RUN of the job in FOLDER while it is lined: thickness, the speed to change to, alarms.

    Every reading is on disk in the store before it is acknowledged. Ctrl-C ends the program, not the run: start it again and it goes on. At the
    end FOLDER/records is written, beside what stands there, and the daily report report_RUN.pdf.
    """
    from mainwright import bootstrap

    by_hand = by_hand or feed is None
    read, following = bootstrap.follow(
        folder,
        run,
        feed=feed,
        coat=coat,
        turned=turned,
        speed=speed,
        bin_length=bin_m,
        lag=lag_s,
        begin=not by_hand,
        author=who or bootstrap.user_name(),
        out=out,
    )
    if following is None:
        for one in fault_lines(read.faults):
            say(one)
        return FAULTY_INPUT
    return watch_run(following, folder=folder, who=who or bootstrap.user_name(), port=port if page else None)


def watch_run(following: Following, *, folder: Path, who: str, port: int | None = None) -> int:
    """Follow a run in the terminal, and on a page where a port is given, until it has ended or somebody interrupts; write the records."""
    typed = _typed_lines()
    status = DONE
    key = following.live.key
    part = "" if key.part == 1 else f", part {key.part}"
    say(f"{'Going on with' if following.resumed else 'Following'} {key.run}{part}. Ctrl-C ends the program, not the run.")
    pages = None if port is None else _pages(following, port)
    told = _Told(following)
    following.start()
    try:
        _look_on(following, told, typed, who)
    except KeyboardInterrupt:
        status = INTERRUPTED
    finally:
        _end_line()
        if pages is not None:
            pages.stop()
        on_disk = following.live.durable
        trouble = following.live.trouble
        files = following.close()
        on_disk = max(on_disk, following.live.durable)
    for name in files:
        say(f"Written: {name}")
    say(
        f"{counted(on_disk, 'entry', 'entries')} of {key.run} {'is' if on_disk == 1 else 'are'} kept; the run is {following.live.state.phase}."
    )
    if trouble is not None and following.live.durable < following.live.state.events:
        return OUTSIDE_FAILED
    return status


def _pages(following: Following, port: int) -> Server:
    """Serve the page of the run beside following it."""
    from mainwright import bootstrap
    from mainwright.errors import InputError
    from mainwright.web.app import create_app
    from mainwright.web.server import LOCAL, Server, hosts_of, listen

    try:
        sock = listen(LOCAL, port)
    except InputError:
        sock = listen(LOCAL, 0)
    uses = bootstrap.page_use_cases(following.store, live=[following.live])
    server = Server(create_app(uses, hosts=hosts_of(*sock.getsockname()[:2])), sock)
    server.start()
    run = following.live.key.run
    say(f"The run is shown at {server.address}jobs/{uses.live.job_of(run)}/runs/{run}/live")
    return server


def _look_on(following: Following, told: _Told, typed: Callable[[], str | None], who: str) -> None:
    from mainwright.cli.line_words import command_of
    from mainwright.errors import MainwrightError

    written = 0.0
    while following.tick(who):
        while (text := typed()) is not None:
            if not text.strip():
                continue
            try:
                following.live.do(command_of(text), who=who)
                following.note("run marked", text.strip(), who=who)
            except MainwrightError as error:
                _end_line()
                say(paragraph(str(error), first="  ", rest="  "))
        told.tell()
        if time.monotonic() - written >= _LINE_EVERY:
            written = time.monotonic()
            _status_line(following.live.screen())
        time.sleep(_EVERY)
    told.tell()
    _status_line(following.live.screen())


class _Told:
    """Tells each event that is no reading once, as it happens."""

    def __init__(self, following: Following) -> None:
        self._following = following
        self._count = len(following.live.state.happened)
        self._trouble: object = None

    def tell(self) -> None:
        """Tell what is new."""
        from mainwright.cli.line_text import event_line
        from mainwright.words.wording import Wording

        live = self._following.live
        with live.lock:
            fresh = live.state.happened[self._count :]
            self._count += len(fresh)
        for one in fresh:
            text = event_line(one, live.plan)
            if text:
                _end_line()
                say(text)
        if live.trouble != self._trouble:
            self._trouble = live.trouble
            _end_line()
            say("The record is written again." if live.trouble is None else Wording("en", "metric").word(live.trouble))


def _status_line(screen: Screen) -> None:
    from mainwright.cli.line_text import status_line

    if sys.stderr.isatty():
        click.echo("\r\x1b[K" + status_line(screen), nl=False, err=True)


def _end_line() -> None:
    if sys.stderr.isatty():
        click.echo("\r\x1b[K", nl=False, err=True)


def _typed_lines() -> Callable[[], str | None]:
    """Return what gives the next line that was typed, None where there is none; reading it holds up nothing."""
    if not sys.stdin.isatty():
        return lambda: None
    lines: queue.SimpleQueue[str] = queue.SimpleQueue()

    def read() -> None:
        for text in sys.stdin:
            lines.put(text)

    threading.Thread(target=read, name="typed lines", daemon=True).start()

    def next_line() -> str | None:
        try:
            return lines.get_nowait()
        except queue.Empty:
            return None

    return next_line
