"""A real browser against a real server: Debian's Chromium, and nothing but our own pages."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.browser.serving import served

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from playwright.sync_api import Browser, BrowserContext, Page

    from mainwright.web.server import Server

FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    "--disable-quic",
)
AXE = Path(__file__).parent / "vendor" / "axe.min.js"
SIZES = {"laptop": (1366, 768), "phone": (360, 740), "wide": (1920, 1080)}


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Return Chromium, or skip."""
    path = shutil.which("chromium")
    if path is None:
        pytest.skip("Chromium is not here (Debian package chromium)")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        started = play.chromium.launch(executable_path=path, args=list(FLAGS))
        yield started
        started.close()


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """Return a server of the demo job."""
    with served() as running:
        yield running


@pytest.fixture
def fresh_server() -> Iterator[Server]:
    """Return a server of the demo job with a store of its own, for a test that saves."""
    with served() as running:
        yield running


@pytest.fixture
def opened(browser: Browser) -> Iterator[Callable[..., Page]]:
    """Return what opens a page of its own reader; the test fails on any request to another machine, any fault in a script, any broken policy."""
    contexts: list[BrowserContext] = []
    foreign: list[str] = []
    faults: list[str] = []

    def open_page(
        address: str,
        *,
        size: str = "laptop",
        light: str = "light",
        language: str = "en-GB",
        script: bool = True,
        expect_faults: bool = False,
    ) -> Page:
        own = address.split("/", 3)[2]
        width, height = SIZES[size]
        context = browser.new_context(
            viewport={"width": width, "height": height},
            color_scheme="dark" if light == "dark" else "light",
            locale=language,
            java_script_enabled=script,
            reduced_motion="reduce",
        )
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(30_000)
        page.on("request", lambda request: None if _ours(request.url, own) else foreign.append(request.url))
        page.on("websocket", lambda socket: None if _ours(socket.url, own) else foreign.append(socket.url))
        if not expect_faults:
            page.on("pageerror", lambda error: faults.append(str(error)))
            page.on("console", lambda said: faults.append(said.text) if said.type == "error" and not _gone(said.text) else None)
        page.goto(address)
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert foreign == []
    assert faults == []


def _gone(text: str) -> bool:
    """Return whether a page only says that its server has ended."""
    return "net::ERR_CONNECTION" in text


def _ours(address: str, own: str) -> bool:
    return address.startswith(("data:", "blob:")) or address.split("/", 3)[2] == own


@pytest.fixture
def accessible() -> Callable[[Page], None]:
    """Return what holds a page against the rules of axe-core."""

    def check(page: Page) -> None:
        page.evaluate(AXE.read_text(encoding="utf-8"))
        found = page.evaluate("async () => (await axe.run(document, {resultTypes: ['violations']})).violations")
        told = [{"rule": one["id"], "help": one["help"], "at": [node["target"] for node in one["nodes"]][:4]} for one in found]
        assert told == [], json.dumps(told, indent=1)

    return check
