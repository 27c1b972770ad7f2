"""The screen in the van, in a real browser, with readings that really come."""

from __future__ import annotations

import asyncio
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from mainwright.bootstrap.serving import page_use_cases
from mainwright.workflow.live_commands import Start
from mainwright.workflow.live_ports import Arrival, FeedReading, RunKey
from mainwright.workflow.live_run import LiveRun
from tests.browser.conftest import SIZES
from tests.browser.serving import MARROWBY, served
from tests.unit.line.plans import plan as one_bore
from tests.unit.workflow.memory_log import MemoryInbox, MemoryLog

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from playwright.sync_api import Page

    from mainwright.web.server import Server

pytestmark = pytest.mark.browser
KEY = RunKey("TL-03", "R01")


class Rig:
    """A run whose readings a test sends."""

    def __init__(self, log: MemoryLog | None = None) -> None:
        self.log = log or MemoryLog()
        self.inbox = MemoryInbox()
        self.live = LiveRun(self.log, KEY, clock=now, plan=one_bore(), inbox=self.inbox)
        self.live.start()
        self.begun = now()
        self.number = 0

    def read(self, way: float, *, flow: float | None = None, after: float | None = None) -> None:
        """Send a reading, a second after the one before."""
        self.number += 1
        values = {"odometer": way, "flow": one_bore().flow if flow is None else flow}
        time_ = self.begun + timedelta(seconds=self.number if after is None else after)
        self.inbox.put(Arrival(FeedReading(time_, self.number, values, "rig"), lambda: None))  # type: ignore[arg-type]


@contextmanager
def following(rig: Rig, *, port: int = 0) -> Iterator[Server]:
    with served(page_use_cases([MARROWBY], live=[rig.live]), port=port) as server:
        yield server


@pytest.fixture
def rig() -> Iterator[Rig]:
    made = Rig()
    yield made
    made.live.stop()


def until(page: Page, expression: str, *, seconds: float = 10.0) -> None:
    """Wait for something on the page; its own policy forbids the browser's tool to wait for it there."""
    last = time.monotonic() + seconds
    while not page.evaluate(expression):
        assert time.monotonic() < last, expression
        page.wait_for_timeout(50)


def now() -> datetime:
    return datetime.now(UTC)  # noqa: TID251 - a real page of a real run has the real time of day


def page_of(server: Server) -> str:
    return f"{server.address}runs/R01/live"


def shown(page: Page, name: str) -> str:
    return page.locator(f"[data-text={name}]").first.inner_text()


def test_readings_move_the_page_and_what_is_told_is_on_disk(rig: Rig, opened: Callable[..., Page]) -> None:
    rig.live.do(Start(), who="test")
    with following(rig) as server:
        page = opened(page_of(server))
        speed = one_bore().lengths[0].speed
        for second in range(40):
            rig.read(second * speed)
        until(page, "document.querySelector('[data-text=disk]').textContent.startsWith('4')")
        until(page, "!document.querySelector('[data-text=thickness]').textContent.includes('–')")
        assert "mm" in shown(page, "thickness")
        assert "good" in shown(page, "change_why")
        assert page.locator("[data-state=disk]").get_attribute("class") == "state good"


@pytest.mark.parametrize("light", ["light", "dark"])
@pytest.mark.parametrize("size", list(SIZES))
def test_nobody_is_shut_out_and_nothing_scrolls(
    rig: Rig, opened: Callable[..., Page], accessible: Callable[[Page], None], size: str, light: str
) -> None:
    rig.live.do(Start(), who="test")
    for second in range(30):
        rig.read(second * 0.5 * one_bore().lengths[0].speed)
    with following(rig) as server:
        page = opened(page_of(server), size=size, light=light)
        until(page, "!document.querySelector('[data-text=thickness]').textContent.includes('–')")
        accessible(page)
        wide, high = page.evaluate("[document.documentElement.scrollWidth, document.documentElement.scrollHeight]")
        assert (wide, high) <= (SIZES[size][0], SIZES[size][1])


def test_buttons_are_in_the_record_and_the_moment_is_that_of_the_press(rig: Rig, opened: Callable[..., Page]) -> None:
    with following(rig) as server:
        page = opened(page_of(server))
        page.get_by_text("Start", exact=True).first.click()
        page.locator("details[open] input[name=who]").fill("Ada")
        page.locator("details[open] button").click()
        until(page, "document.getElementById('van').dataset.phase === 'running'")
        page.get_by_text("Mark", exact=True).first.click()
        page.locator("details[open] input[name=chainage_m]").fill("112,5")
        before = now().timestamp()
        page.wait_for_timeout(1500)
        page.locator("details[open] button").click()
        until(page, "document.querySelector('[data-text=chainage]').textContent.startsWith('112.5')")
        marks = [entry for entry in rig.log.entries(KEY) if entry.kind == "hand_mark"]
        assert len(marks) == 1
        assert abs(marks[0].time - before) < 1.0


def test_an_alarm_sounds_until_somebody_has_seen_it(rig: Rig, opened: Callable[..., Page]) -> None:
    rig.live.do(Start(), who="test")
    fast = 3.0 * one_bore().lengths[0].speed
    for second in range(30):
        rig.read(second * fast)
    with following(rig) as server:
        page = opened(page_of(server))
        until(page, "document.getElementById('van').dataset.sounding === 'true'")
        page.evaluate("localStorage.setItem('mainwright-name', JSON.stringify('Ada'))")
        while page.locator(".alarm button").count():
            page.locator(".alarm button").first.click()
            page.wait_for_timeout(600)
        until(page, "document.getElementById('van').dataset.sounding === 'false'")
        assert any(entry.kind == "alarm_acknowledged" and entry.values["who"] == "Ada" for entry in rig.log.entries(KEY))


def test_a_server_that_starts_again_finds_the_page_and_what_was_pressed_meanwhile(opened: Callable[..., Page]) -> None:
    first = Rig()
    first.live.do(Start(), who="test")
    with following(first) as server:
        port = int(server.address.rstrip("/").rpartition(":")[2])
        page = opened(page_of(server), expect_faults=True)
        until(page, "document.getElementById('van').dataset.phase === 'running'")
        page.evaluate("localStorage.setItem('mainwright-name', JSON.stringify('Ada'))")
    first.live.stop()
    page.get_by_text("Remark", exact=True).first.click()
    page.locator("details[open] textarea").fill("water came in")
    page.locator("details[open] button").click()
    until(page, "!document.getElementById('waiting').hidden")
    second = Rig(first.log)
    try:
        with following(second, port=port):
            until(page, "document.getElementById('waiting').hidden", seconds=20.0)
            until(page, "document.getElementById('offline').hidden")
        assert [entry.values["text"] for entry in first.log.entries(KEY) if entry.kind == "remark"] == ["water came in"]
    finally:
        second.live.stop()


def test_one_is_in_charge_and_the_others_are_told(rig: Rig, opened: Callable[..., Page]) -> None:
    with following(rig) as server:
        one, other = opened(page_of(server)), opened(page_of(server), size="phone", expect_faults=True)
        one.get_by_text("Take charge", exact=True).first.click()
        one.locator("details[open] input[name=who]").fill("Ada")
        one.locator("details[open] button").click()
        until(other, "document.querySelector('[data-text=charge]').textContent.includes('Ada')")
        other.get_by_text("Start", exact=True).first.click()
        other.locator("details[open] input[name=who]").fill("Bert")
        other.locator("details[open] button").click()
        until(other, "document.getElementById('waiting').textContent.includes('in charge')")
        assert rig.live.state.phase == "ready"


def test_without_a_script_the_buttons_still_work(rig: Rig, opened: Callable[..., Page]) -> None:
    with following(rig) as server:
        page = opened(page_of(server), script=False)
        page.locator("summary", has_text="Start").click()
        page.locator("details[open] input[name=who]").fill("Ada")
        page.locator("details[open] button").click()
        page.wait_for_url("**/live")
        assert rig.live.state.phase == "running"


def test_a_thousand_readings_a_second_and_eight_viewers(rig: Rig, opened: Callable[..., Page]) -> None:
    rig.live.do(Start(), who="test")
    stop = threading.Event()

    def send() -> None:
        speed = one_bore().lengths[0].speed
        begun = time.monotonic()
        sent = 0
        while not stop.is_set():
            while sent < 1000 * (time.monotonic() - begun):
                sent += 1
                rig.read(sent * speed / 1000.0, after=sent / 1000.0)
            stop.wait(0.01)

    sender = threading.Thread(target=send)
    with following(rig) as server:
        pages = [opened(page_of(server)) for _ in range(2)]
        sender.start()
        try:
            told = _heard(page_of(server).replace("http", "ws"), server.address.rstrip("/"), viewers=6, seconds=4.0)
            counts = [int(page.locator("[data-text=disk]").inner_text().split()[0].replace(",", "")) for page in pages]
        finally:
            stop.set()
            sender.join()
        # Each is told several times a second, and not a thousand times; what they show is of now.
        assert all(8 <= count <= 40 for count in told), told
        assert all(count > 1500 for count in counts), counts


def _heard(address: str, origin: str, *, viewers: int, seconds: float) -> list[int]:
    # The browser's tool has a loop of its own in this thread.
    with ThreadPoolExecutor(1) as other:
        return other.submit(lambda: asyncio.run(_listen(address, origin, viewers=viewers, seconds=seconds))).result()


async def _listen(address: str, origin: str, *, viewers: int, seconds: float) -> list[int]:
    from websockets.asyncio.client import connect

    async def one() -> int:
        count = 0
        async with connect(address, origin=origin) as socket:  # type: ignore[arg-type]
            until = asyncio.get_running_loop().time() + seconds
            while (left := until - asyncio.get_running_loop().time()) > 0:
                try:
                    await asyncio.wait_for(socket.recv(), left)
                except TimeoutError:
                    break
                count += 1
        return count

    return list(await asyncio.gather(*(one() for _ in range(viewers))))


def test_a_run_that_is_not_followed_is_not_there(rig: Rig, opened: Callable[..., Page]) -> None:
    with following(rig) as server:
        page = opened(f"{server.address}runs/R99/live", expect_faults=True)
        assert "404" in page.content() or "not" in page.inner_text("main").lower()
