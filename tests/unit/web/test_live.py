"""The van's page without a browser: its words, its buttons, its messages."""

from __future__ import annotations

import inspect
import json
import re
from dataclasses import replace
from datetime import UTC
from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from mainwright.line.alarms import CODES
from mainwright.line.state import Alarm
from mainwright.web.app import create_app
from mainwright.web.buttons import command_in
from mainwright.web.reader import Reader
from mainwright.web.van import ALARMS, van_view
from mainwright.workflow.live_commands import (
    Acknowledge,
    Clear,
    CloseEnds,
    End,
    Lose,
    Mark,
    Note,
    Pour,
    Restart,
    SetFlow,
    SetOdometer,
    Start,
    Stop,
    TakeCharge,
)
from mainwright.workflow.live_ports import BatchOnScreen
from tests.browser.vans import Van

if TYPE_CHECKING:
    from collections.abc import Iterator

HOST = "127.0.0.1:8420"
ORIGIN = {"origin": f"http://{HOST}"}
BY_SCRIPT = {**ORIGIN, "accept": "application/json"}
BASE = "/jobs/cw-07/runs/R01/live"
NOW = 1.8e9
SECRET = "told to nobody"  # noqa: S105 - of this test only


@pytest.fixture
def van() -> Iterator[Van]:
    made = Van()
    yield made
    made.close()


@pytest.fixture
def client(van: Van) -> Iterator[TestClient]:
    app = create_app(van.uses(SECRET), hosts=[HOST])
    with TestClient(app, base_url=f"http://{HOST}", follow_redirects=False) as made:
        yield made


def _press(client: TestClient, headers: dict[str, str] | None = None, **fields: str) -> tuple[int, dict[str, object]]:
    answer = client.post(f"{BASE}/do", data={"token": SECRET, "who": "Ada", **fields}, headers=headers or BY_SCRIPT)
    return answer.status_code, answer.json()


def test_every_alarm_has_its_words() -> None:
    assert tuple(sorted(ALARMS)) == tuple(sorted(CODES))


def test_commands() -> None:
    def read(units: str = "metric", **fields: str) -> object:
        return command_in(fields, units="us" if units == "us" else "metric", now=NOW)

    assert read(what="start") == Start(None)
    assert read(what="start", pressed_s=str(NOW - 1.0)) == Start(None)
    assert read(what="stop", pressed_s=str(NOW - 60.0)) == Stop("", NOW - 60.0)
    assert read(what="restart") == Restart(None)
    assert read(what="mark", chainage_m="212,5", pressed_s=str(NOW - 1.0)) == Mark(212.5, None, NOW - 1.0)
    assert read("us", what="mark", chainage_ft="100") == Mark(pytest.approx(30.48), None, None)  # type: ignore[arg-type]
    assert read(what="batch") == Pour(None, None, None, None)
    assert read(what="batch", number="3", volume_l="240") == Pour(3, None, pytest.approx(0.24), None)  # type: ignore[arg-type]
    assert read(what="litres", kind="purge", volume_l="12") == Lose("purge", pytest.approx(0.012), None)  # type: ignore[arg-type]
    assert read(what="clear", connection="112.0", method="air") == Clear(112.0, "air", None)
    assert read(what="remark", text="wet", kind="water_in_invert") == Note("wet", "water_in_invert", None)
    assert read(what="acknowledge", code="thin") == Acknowledge("thin", None)
    assert read(what="ends") == CloseEnds(None)
    assert read(what="end", outcome="split", why="hose") == End("split", "hose", None)
    assert read(what="odometer", chainage_m="110") == SetOdometer(110.0, "set by hand", None)
    assert read(what="flow", flow_l_min="30") == SetFlow(pytest.approx(0.0005), None, None)  # type: ignore[arg-type]
    assert read(what="charge") == TakeCharge(None)


@pytest.mark.parametrize(
    ("fields", "which"),
    [
        ({"what": "dance"}, "what"),
        ({"what": "mark"}, "chainage"),
        ({"what": "mark", "chainage_m": "nan"}, "chainage"),
        ({"what": "mark", "chainage_m": "1_000"}, "chainage"),
        ({"what": "batch", "number": "²"}, "number"),
        ({"what": "litres", "kind": "drunk", "volume_l": "1"}, "kind"),
        ({"what": "clear", "connection": "x"}, "connection"),
        ({"what": "remark"}, "text"),
        ({"what": "end", "outcome": "perhaps"}, "outcome"),
        ({"what": "start", "pressed_s": "soon"}, "pressed_s"),
    ],
)
def test_what_is_no_command_is_told_by_its_field(fields: dict[str, str], which: str) -> None:
    with pytest.raises(ValueError, match=which):
        command_in(fields, units="metric", now=NOW)


def test_a_press_is_done_once_and_on_disk(van: Van, client: TestClient) -> None:
    assert _press(client, what="charge", press="a")[0] == 200
    status, said = _press(client, what="start", press="b")
    assert status == 200
    assert said["place"] == 2
    assert _press(client, what="start", press="b") == (200, said)
    assert [entry.kind for entry in van.log.kept[van.run.key]] == ["charge_taken", "started"]


def test_refusals_say_why(van: Van, client: TestClient) -> None:
    assert _press(client, what="start", who="")[0] == 422
    status, said = _press(client, what="start")
    assert status == 403
    assert "nobody" in str(said["text"])
    _press(client, what="charge")
    status, said = _press(client, what="stop", language="de")
    assert status == 409
    assert said["text"] == "Das geht jetzt nicht: Der Abschnitt ist bereit. Nichts wurde aufgezeichnet."
    _press(client, what="start")
    assert _press(client, what="mark", chainage_m="9000")[0] == 422
    assert _press(client, what="mark", chainage_m="far")[0] == 422
    assert [entry.kind for entry in van.log.kept[van.run.key]] == ["charge_taken", "started"]


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"what": "mark", "chainage_m": "9000"}, "Der Abschnitt reicht von"),
        ({"what": "batch", "volume_l": "0"}, "Ein Volumen ist mehr als nichts."),
        ({"what": "litres", "kind": "purge", "volume_l": "-5"}, "Ein Volumen ist mehr als nichts."),
        ({"what": "flow", "flow_l_min": "-1"}, "Ein Durchfluss ist null oder mehr."),
        ({"what": "clear", "connection": "x"}, "Nicht verstanden: der Anschluss."),
        ({"what": "clear", "connection": "17", "method": "x"}, "Nicht verstanden: die Art des Freimachens."),
        ({"what": "acknowledge"}, "Nicht verstanden: der Alarm."),
        ({"what": "end", "outcome": "perhaps"}, "Nicht verstanden: wie der Abschnitt endete."),
        ({"what": "dance"}, "Nicht verstanden: der Knopf."),
    ],
)
def test_every_refusal_is_in_the_readers_language(van: Van, client: TestClient, fields: dict[str, str], said: str) -> None:
    _press(client, what="charge")
    _press(client, what="start")
    status, answer = _press(client, None, **fields, language="de")
    assert status == 422
    assert str(answer["text"]).startswith(said)
    assert str(answer["text"]).endswith("Nichts wurde aufgezeichnet.")
    assert [entry.kind for entry in van.log.kept[van.run.key]] == ["charge_taken", "started"]


def test_each_field_of_a_button_has_a_name() -> None:
    from mainwright.web import buttons
    from mainwright.web.refusals import FIELDS

    source = inspect.getsource(buttons.command_in) + inspect.getsource(buttons._pressed)
    refused = set(re.findall(r'(?:ValueError|number|needed)\("(\w+)"', source))
    assert refused
    assert refused <= set(FIELDS)


def test_without_script_a_form_leads_back(client: TestClient) -> None:
    answer = client.post(f"{BASE}/do", data={"token": SECRET, "who": "Ada", "what": "charge"}, headers=ORIGIN)
    assert (answer.status_code, answer.headers["location"]) == (303, BASE)
    answer = client.post(f"{BASE}/do", data={"token": SECRET, "who": "Ada", "what": "stop"}, headers=ORIGIN)
    assert answer.status_code == 409
    assert "the run is ready" in answer.text


def test_no_token_no_press(van: Van, client: TestClient) -> None:
    assert client.post(f"{BASE}/do", data={"token": "x", "who": "Eve", "what": "charge"}, headers=BY_SCRIPT).status_code == 403
    assert client.post(f"{BASE}/do", data={"token": SECRET, "who": "Eve", "what": "charge"}).status_code == 403
    assert van.log.kept[van.run.key] == []


def test_runs_that_are_not_followed(client: TestClient) -> None:
    for path in ("/runs/R99/live", "/runs/R99/screen"):
        assert client.get(path).status_code == 404


def test_feed_and_asking_tell_the_same(van: Van, client: TestClient) -> None:
    with client.websocket_connect(f"{BASE}/feed?language=de&units=us", headers={**ORIGIN, "host": HOST}) as socket:
        hello = json.loads(socket.receive_text())
        assert hello["token"] == SECRET
        first = json.loads(socket.receive_text())
    asked = client.get(f"{BASE}/screen?language=de&units=us").json()
    assert asked["frame"] == first["frame"]
    assert asked["texts"]["phase"] == first["texts"]["phase"] == "bereit"
    assert set(first) == set(asked) - {"token", "now"}


def test_the_feed_is_only_for_our_pages(client: TestClient) -> None:
    for origin in ({}, {"origin": "http://evil.example"}):
        with pytest.raises(WebSocketDisconnect), client.websocket_connect(f"{BASE}/feed", headers={**origin, "host": HOST}) as socket:
            socket.receive_text()


def test_a_name_in_the_record_cannot_be_markup(van: Van, client: TestClient) -> None:
    _press(client, what="charge", who="</script><b>x")
    text = client.get(BASE).text
    assert "<b>x" not in text
    assert "&lt;/script&gt;" in text


def test_words_and_units(van: Van) -> None:
    van.run.do(TakeCharge(), who="Ada").result(5)
    van.run.do(Start(), who="Ada").result(5)
    van.tell(100)
    for _ in range(100):
        if van.run.screen().advice is not None and van.run.screen().feeds[0].readings == 100 and van.run.screen().strip.chainages:
            break
        van._stop.wait(0.05)
    uses, screen = van.uses(), van.run.screen()
    metric = van_view(screen, van.run.plan, Reader(), uses.zone)
    us = van_view(screen, van.run.plan, Reader("de", "us"), uses.zone)
    assert metric.texts["thickness"].replace(".", ",") != us.texts["thickness"]
    assert metric.texts["chainage"] == "113.0\u00a0m"
    assert us.frame["start"] == pytest.approx(100.0 / 0.3048, abs=1e-3)
    assert len(metric.strip["at"]) == len(metric.strip["thick"]) == len(metric.strip["sure"]) > 50  # type: ignore[arg-type]
    assert metric.states["do"] in ("good", "watch")
    assert metric.states["cover"] == "good"


def test_alarms_that_are_up_and_not_seen_come_first(van: Van) -> None:
    screen = replace(
        van.run.screen(),
        alarms=(
            Alarm("thin", NOW, 110.0, 0.004, acknowledged="Ada"),
            Alarm("thick", NOW, 111.0, 0.012, active=False),
            Alarm("stall", NOW, 112.0, 0.0),
        ),
    )
    told = van_view(screen, van.run.plan, Reader("en", "metric"), UTC).alarms
    assert [one["code"] for one in told] == ["stall", "thick", "thin"]


@pytest.mark.parametrize(
    ("litres", "codes", "state", "said"),
    [
        (0.1, (), "", "runs out at"),
        (0.1, ("mixer_behind",), "bad", "runs out at"),
        (0.1, ("mortar_short",), "bad", "runs out at"),
        (-0.02, (), "bad", "a batch is not on record"),
    ],
)
def test_the_stock_is_bad_only_where_no_batch_comes_in_time(van: Van, litres: float, codes: tuple[str, ...], state: str, said: str) -> None:
    alarms = tuple(Alarm(code, NOW, 110.0, 0.0) for code in codes)
    view = van_view(replace(van.run.screen(), in_stock=litres, dry_at=130.0, alarms=alarms), van.run.plan, Reader("en", "metric"), UTC)
    assert view.states["stock"] == state
    assert view.texts["dry"].startswith(said)


def test_a_batch_that_is_late_is_said_to_be_due(van: Van) -> None:
    batch = BatchOnScreen(2, 0.24, NOW - 60.0, None)
    screen = replace(van.run.screen(), now=NOW, phase="running", batches=(batch,))
    due = van_view(screen, van.run.plan, Reader("en", "metric"), UTC).texts["batch-due"]
    assert due == "due since 07:59"
    early = van_view(replace(screen, batches=(replace(batch, due=NOW + 60.0),)), van.run.plan, Reader("en", "metric"), UTC)
    assert early.texts["batch-due"] == "08:01"
