"""Phones on the van's network in a real browser: let in by a code, the crew marks a run, a viewer looks, and whom the lead removes is out."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from mainwright.bootstrap import import_job, open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.web.app import create_app
from mainwright.web.server import LOCAL, Server, address_of_socket, hosts_of, listen
from tests.browser.serving import MARROWBY
from tests.browser.test_places import until_planned
from tests.browser.test_van import until

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from playwright.sync_api import Page

VAN = "127.0.0.2"

SAVE = """async ([path, token]) => {
  const body = new URLSearchParams({ token, author: "Ben", base: "x", cells: "{}" });
  const answer = await fetch(path, { method: "POST", body, headers: { accept: "application/json" } });
  return [answer.status, (await answer.json()).text];
}"""


@pytest.fixture
def van(tmp_path: Path) -> Iterator[tuple[str, str]]:
    """Return the addresses for the lead and for phones of a server of the demo job."""
    name = str(tmp_path / "store.sqlite")
    import_job(MARROWBY, store=name, author="test")
    sock = listen(LOCAL, 0)
    port = sock.getsockname()[1]
    phones = listen(VAN, port)
    with open_store(name) as store:
        uses = page_use_cases(store, van=address_of_socket(phones, "http"), devices=tmp_path / "devices.json")
        server = Server(create_app(uses, hosts=[*hosts_of(LOCAL, port), *hosts_of(VAN, port)]), sock, van=phones)
        server.start()
        try:
            yield server.address, address_of_socket(phones, "http")
        finally:
            server.stop()
            uses.live.close()


def _let_in(lead: Page, phone: Page, role: str, name: str) -> None:
    lead.check(f"input[value={role}]")
    lead.click("text=Make a code")
    assert "/pair" in phone.url
    phone.fill("[name=code]", lead.inner_text(".code-text").lower())
    phone.fill("[name=name]", name)
    phone.click("main form .first")
    phone.wait_for_url(re.compile(r"^(?!.*/pair)"))


def test_crew_marks_and_viewer_looks(van: tuple[str, str], opened: Callable[..., Page], accessible: Callable[[Page], None]) -> None:
    local, phones = van
    lead = opened(local + "devices")
    accessible(lead)
    crew = opened(phones, size="phone", expect_faults=True)
    accessible(crew)
    _let_in(lead, crew, "crew", "Ben")
    assert lead.query_selector(".qr svg") is not None
    accessible(lead)
    crew.click(".jobs h2 a")
    until_planned(crew)
    job = crew.url.rsplit("/", 1)[0]
    crew.goto(f"{job}/runs/R01/live")
    until_planned(crew)
    crew.fill("input[name=who]", "somebody else")
    crew.click("main form .first")
    crew.wait_for_selector("#van")
    until(crew, "document.querySelector('[data-s=phase]').dataset.state === 'ready'")
    assert crew.inner_text("[data-v='charge']") == "Ben"
    crew.click("[data-open=remark]")
    crew.fill("#remark [name=text]", "pit is dry")
    crew.click("#remark .first")
    until(crew, "document.querySelector('#outbox').children.length === 0")
    token = crew.get_attribute("#van", "data-token")
    path = re.sub(r"^https?://[^/]+", "", f"{job}/survey/save")
    status, text = crew.evaluate(SAVE, [path, token])
    assert status == 403
    assert "Only the lead may do that" in text

    viewer = opened(f"{phones}{job.split('/', 3)[3]}/runs/R01/live", size="phone", expect_faults=True)
    _let_in(lead, viewer, "viewer", "Cara")
    viewer.wait_for_selector("#van")
    until(viewer, "document.querySelector('#link').dataset.state === 'good'")
    assert viewer.inner_text("[data-v='charge']") == "Ben"
    viewer.click("[data-open=remark]")
    viewer.fill("#remark [name=text]", "I was here")
    viewer.click("#remark .first")
    viewer.wait_for_selector("#charge[open]")
    viewer.click("#charge .first")
    viewer.wait_for_selector("#outbox .refused")
    assert "Only lead and crew may do that" in viewer.inner_text("#outbox")
    assert crew.inner_text("[data-v='charge']") == "Ben"

    lead.goto(local + "devices")
    lead.click(".devices li:has-text('Cara') button")
    viewer.goto(phones)
    assert "/pair" in viewer.url
    lead.goto(local + "audit")
    accessible(lead)
    text = lead.inner_text(".audit")
    assert "Refused: role too small" in text
    assert "Device removed" in text
    assert "Mark or button of a run" in text
