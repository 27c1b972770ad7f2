"""Phones on the van's network: let in by a code, each as far as its role goes; what else is tried is refused and put on record."""

from __future__ import annotations

import asyncio
import csv
import io
import re
import stat
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import quote

import pytest
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

import mainwright
from mainwright.bootstrap import import_job, open_store
from mainwright.bootstrap.devices import DeviceFile
from mainwright.bootstrap.serving import page_use_cases
from mainwright.errors import InputError
from mainwright.web.app import create_app
from mainwright.web.door import Door
from mainwright.web.noting import Notes
from mainwright.web.roles import NEEDS, may
from mainwright.web.visitor import COOKIE_PLAIN
from mainwright.workflow.deeds import Wanted

if TYPE_CHECKING:
    from collections.abc import Iterator, MutableMapping

    from fastapi import FastAPI
    from httpx2 import Response

    from mainwright.store.store import DatabaseStore
    from mainwright.web.guard import Receive, Scope, Send
    from mainwright.workflow.pairing import Role
    from mainwright.workflow.visiting import UseCases

MARROWBY: Final = Path(mainwright.__file__).parent / "demo" / "marrowby"
LOCAL: Final = "127.0.0.1:8420"
VAN: Final = "127.0.0.2:8420"
JOB: Final = "mb-2026-017"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[DatabaseStore]:
    place = str(tmp_path / "store.sqlite")
    import_job(MARROWBY, store=place, author="test")
    with open_store(place) as opened:
        yield opened


@pytest.fixture
def uses(store: DatabaseStore, tmp_path: Path) -> UseCases:
    return page_use_cases(store, van=f"http://{VAN}/", devices=tmp_path / "data" / "devices.json")


@pytest.fixture
def app(uses: UseCases) -> FastAPI:
    return create_app(uses, hosts=[LOCAL, VAN])


def phone(app: FastAPI, *, address: str = "127.0.0.9", scheme: str = "http") -> TestClient:
    return TestClient(
        app, base_url=f"{scheme}://{VAN}", follow_redirects=False, client=(address, 50000), headers={"origin": f"{scheme}://{VAN}"}
    )


def laptop(app: FastAPI) -> TestClient:
    return TestClient(app, base_url=f"http://{LOCAL}", follow_redirects=False, headers={"origin": f"http://{LOCAL}"})


def token_on(answer: Response) -> str:
    found = re.search(r'name="token" value="([^"]+)"', answer.text)
    assert found is not None
    return found[1]


def let_in(app: FastAPI, uses: UseCases, role: Role, *, name: str = "Ben", address: str = "127.0.0.9") -> TestClient:
    assert uses.pairing is not None
    client = phone(app, address=address)
    fields = {"token": token_on(client.get("/pair")), "code": uses.pairing.offer(role).text, "name": name}
    answer = client.post("/pair", data=fields)
    assert answer.status_code == 303
    return client


def job_of(uses: UseCases) -> str:
    return uses.jobs.names()[0]


def deeds(store: DatabaseStore, *what: str) -> list[tuple[str, str, str]]:
    return [(one.deed.what, one.deed.who, one.deed.role) for one in store.deeds.find(Wanted(what=frozenset(what) if what else None))]


def test_a_stranger_sees_nothing_but_the_way_in(app: FastAPI, uses: UseCases) -> None:
    client, job = phone(app), job_of(uses)
    for method, path in NEEDS:
        where = path.replace("{job}", job).replace("{run}", "R01")
        if method != "GET" or NEEDS[method, path].role is None:
            continue
        answer = client.get(where)
        assert (answer.status_code, answer.headers["location"]) == (303, f"/pair?next={quote(where, safe='')}"), path
    page = client.get("/pair").text
    assert "Tallow" not in page
    assert 'href="/devices"' not in page
    assert client.get("/", headers={"accept": "application/json"}).status_code == 401
    assert uses.token not in page


def test_a_stranger_writes_nothing(app: FastAPI, uses: UseCases, store: DatabaseStore) -> None:
    client, job = phone(app), job_of(uses)
    before = uses.jobs.shelf.history(job)
    for method, path in NEEDS:
        if method == "POST" and NEEDS[method, path].role is not None:
            where = path.replace("{job}", job).replace("{run}", "R01")
            assert client.post(where, data={"token": uses.token, "author": "x"}).status_code == 401, path
    assert uses.jobs.shelf.history(job) == before
    assert ("stranger refused", "", "nobody") in deeds(store)


def test_every_role_is_held_to_its_table(app: FastAPI, uses: UseCases) -> None:
    job = job_of(uses)
    for role in ("viewer", "crew"):
        client = let_in(app, uses, role)
        token = token_on(client.get("/pair"))
        for (method, path), need in NEEDS.items():
            where = path.replace("{job}", job).replace("{run}", "R01").replace("{name:path}", "x")
            if method == "WS" or path == "/pair" or "{" in where:
                continue
            answer = client.get(where) if method == "GET" else client.post(where, data={"token": token})
            if may(role, need.role):
                assert answer.status_code not in (401, 403, 500), (role, path)
            else:
                assert answer.status_code == 403, (role, path)
                assert "Only" in answer.text, (role, path)
        assert client.get("/no/such/page").status_code == 403
        assert client.delete("/").status_code == 403


def test_whoever_is_let_in_leads_where_the_code_says_so(app: FastAPI, uses: UseCases) -> None:
    client = let_in(app, uses, "lead", name="Ada")
    answer = client.get("/devices")
    assert answer.status_code == 200
    assert "Ada" in answer.text


def test_a_form_of_one_device_does_not_serve_another(app: FastAPI, uses: UseCases) -> None:
    one, other = let_in(app, uses, "lead"), let_in(app, uses, "lead", address="127.0.0.8")
    tokens = {token_on(client.get("/pair")) for client in (one, other, phone(app), laptop(app))}
    assert len(tokens) == 4
    fields = {"token": token_on(one.get("/pair")), "role": "crew"}
    assert other.post("/devices/code", data=fields).status_code == 403
    assert other.post("/devices/code", data={**fields, "token": uses.token}).status_code == 403
    assert one.post("/devices/code", data=fields).status_code == 303


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "", f"https://{VAN}", f"http://{LOCAL}", f"http://{VAN}.evil.example"])
def test_a_foreign_page_does_nothing_in_a_devices_name(app: FastAPI, uses: UseCases, store: DatabaseStore, origin: str) -> None:
    client = let_in(app, uses, "lead")
    fields = {"token": token_on(client.get("/pair")), "role": "lead"}
    assert client.post("/devices/code", data=fields, headers={"origin": origin}).status_code == 403
    assert uses.pairing is not None
    assert uses.pairing.offered() is None
    assert ("foreign refused", "", "nobody") in deeds(store)


def test_the_machines_own_name_does_not_open_the_vans_door(app: FastAPI) -> None:
    """What counts is the address at which a request came in, not what it says of itself."""
    client = phone(app)
    answer = client.get("/devices", headers={"host": LOCAL, "x-forwarded-for": "127.0.0.1", "forwarded": "for=127.0.0.1"})
    assert answer.status_code == 303
    assert client.get("/", headers={"host": "evil.example"}).status_code == 421


def test_only_the_lead_makes_codes_and_sees_them(app: FastAPI, uses: UseCases) -> None:
    client = laptop(app)
    assert client.post("/devices/code", data={"token": uses.token, "role": "crew"}).status_code == 303
    assert uses.pairing is not None
    code = uses.pairing.offered()
    assert code is not None
    text = client.get("/devices").text
    assert code.text in text
    assert "<svg" in text
    assert not re.search(r"<style|style=|<script(?![^>]*src=)|\son\w+=", text)
    assert client.post("/devices/code", data={"token": uses.token, "role": "owner"}).status_code == 400
    for role in ("crew", "viewer"):
        assert code.text not in let_in(app, uses, role).get("/devices").text


def test_codes_cannot_be_guessed(app: FastAPI, uses: UseCases, store: DatabaseStore) -> None:
    assert uses.pairing is not None
    code = uses.pairing.offer("lead")
    client = phone(app)
    token = token_on(client.get("/pair"))
    answers = [client.post("/pair", data={"token": token, "code": f"AAAA-{n:04}", "name": "Eve"}) for n in range(7)]
    assert [one.status_code for one in answers] == [403] * 5 + [429] * 2
    assert answers[-1].headers["retry-after"] == "600"
    late = client.post("/pair", data={"token": token, "code": code.text, "name": "Eve"}, headers={"x-forwarded-for": "127.0.0.77"})
    assert late.status_code == 429
    assert "set-cookie" not in late.headers
    assert len(deeds(store, "device refused")) == 8


def test_refusals_do_not_fill_the_disk(app: FastAPI, store: DatabaseStore) -> None:
    client = phone(app)
    for _ in range(80):
        client.post("/new-job")
    assert len(deeds(store, "stranger refused")) == 60


def test_a_session_cannot_be_fixed_or_made_up(app: FastAPI, uses: UseCases) -> None:
    assert uses.pairing is not None
    client = phone(app)
    planted = "ab" * 32
    client.cookies.set(COOKIE_PLAIN, planted)
    assert client.get("/").status_code == 303
    fields = {"token": token_on(client.get("/pair")), "code": uses.pairing.offer("crew").text, "name": "Ben"}
    answer = client.post("/pair", data=fields)
    given = answer.headers["set-cookie"]
    assert planted not in given
    assert "HttpOnly" in given
    assert "SameSite=lax" in given
    assert "Secure" not in given
    stranger = phone(app)
    stranger.cookies.set(COOKIE_PLAIN, planted)
    assert stranger.get("/").status_code == 303
    twice = phone(app)
    value = given.split(";")[0].split("=")[1]
    assert twice.get("/", headers={"cookie": f"{COOKIE_PLAIN}={value}"}).status_code == 200
    assert twice.get("/", headers={"cookie": f"{COOKIE_PLAIN}=x; {COOKIE_PLAIN}={value}"}).status_code == 303


def test_encrypted_pages_keep_their_cookie_to_themselves(app: FastAPI, uses: UseCases) -> None:
    assert uses.pairing is not None
    client = phone(app, scheme="https")
    fields = {"token": token_on(client.get("/pair")), "code": uses.pairing.offer("crew").text, "name": "Ben"}
    given = client.post("/pair", data=fields).headers["set-cookie"]
    assert given.startswith("__Host-")
    assert "Secure" in given
    assert client.get("/").status_code == 200


def test_a_session_outlives_the_program_and_ends_with_removal(uses: UseCases, app: FastAPI, store: DatabaseStore, tmp_path: Path) -> None:
    client = let_in(app, uses, "crew")
    cookies = client.cookies
    again = page_use_cases(store, van=f"http://{VAN}/", devices=tmp_path / "data" / "devices.json")
    later = phone(create_app(again, hosts=[LOCAL, VAN]))
    later.cookies = cookies
    assert later.get("/").status_code == 200
    assert again.pairing is not None
    (device,) = again.pairing.devices()
    lead = TestClient(later.app, base_url=f"http://{LOCAL}", follow_redirects=False, headers={"origin": f"http://{LOCAL}"})
    assert lead.post("/devices/remove", data={"token": again.token, "device": device.id}).status_code == 303
    assert lead.post("/devices/remove", data={"token": again.token, "device": device.id}).status_code == 404
    assert later.get("/").status_code == 303
    assert deeds(store)[0] == ("device removed", "", "lead")


def test_devices_are_kept_for_the_user_alone(app: FastAPI, uses: UseCases, tmp_path: Path) -> None:
    client = let_in(app, uses, "crew")
    place = tmp_path / "data" / "devices.json"
    assert stat.S_IMODE(place.stat().st_mode) == 0o600
    assert str(client.cookies[COOKIE_PLAIN]) not in place.read_text(encoding="utf-8")
    for broken in (
        "",
        "{}",
        '[{"id": 1}]',
        "\x00",
        '[{"id":"a","name":"b","role":"owner","digest":"c","paired":"2026-01-01","seen":"2026-01-01","where":""}]',
    ):
        place.write_text(broken, encoding="utf-8")
        if broken != "{}":
            with pytest.raises(InputError, match="remove it to let all in anew"):
                DeviceFile(place).load()


@pytest.mark.parametrize(
    "back", ["https://evil.example", "//evil.example", "/\\evil.example", "/a\r\nset-cookie: x=1", "javascript:alert(1)"]
)
def test_the_way_in_leads_nowhere_else(app: FastAPI, uses: UseCases, back: str) -> None:
    assert uses.pairing is not None
    client = phone(app)
    fields = {
        "token": token_on(client.get("/pair", params={"next": back})),
        "code": uses.pairing.offer("crew").text,
        "name": "Ben",
        "next": back,
    }
    assert client.post("/pair", data=fields).headers["location"] == "/"


def test_to_open_a_link_lets_nobody_in(app: FastAPI, uses: UseCases) -> None:
    assert uses.pairing is not None
    code = uses.pairing.offer("crew")
    client = phone(app)
    assert code.text in client.get("/pair", params={"code": code.text}).text
    assert uses.pairing.devices() == []
    assert client.get("/").status_code == 303


def test_live_connections_ask_for_session_and_origin(app: FastAPI, uses: UseCases) -> None:
    feed = f"/jobs/{job_of(uses)}/runs/R01/live/feed"
    client = let_in(app, uses, "viewer")
    for one, headers in (
        (phone(app), {"origin": f"http://{VAN}", "host": VAN}),
        (client, {"origin": "http://evil.example", "host": VAN}),
        (client, {"origin": f"https://{VAN}", "host": VAN}),
        (client, {"host": VAN, "origin": ""}),
    ):
        with pytest.raises(WebSocketDisconnect) as refused, one.websocket_connect(feed, headers=headers):
            pass
        assert refused.value.code == 1008
    with (
        pytest.raises(WebSocketDisconnect) as unknown,
        client.websocket_connect("/anything", headers={"origin": f"http://{VAN}", "host": VAN}),
    ):
        pass
    assert unknown.value.code == 1008


@pytest.mark.parametrize(("role", "said"), [("crew", "crew: may record a run and make papers"), ("viewer", "viewer: may look")])
def test_a_page_says_as_what_somebody_is_here(app: FastAPI, uses: UseCases, role: Role, said: str) -> None:
    text = let_in(app, uses, role).get("/").text
    assert f'<body data-role="{role}">' in text
    assert said in text
    assert '<body data-role="lead">' in laptop(app).get("/").text


def test_what_is_done_is_on_record(app: FastAPI, uses: UseCases, store: DatabaseStore) -> None:
    job, client = job_of(uses), laptop(app)
    older = uses.jobs.shelf.history(job)[-1]
    document = uses.jobs.shelf.document(job)
    tables = {**document.tables, "job": [{**document.rows("job")[0], "client": "Marrowby Water, north"}]}
    uses.jobs.shelf.save(type(document)(tables, document.alignment, document.extra, document.headers), author="Ada")
    answer = client.post(f"/jobs/{job}/survey/restore", data={"token": uses.token, "author": "=Ada", "number": str(older.number)})
    assert answer.status_code == 303
    (kept,) = store.deeds.find(Wanted(what=frozenset({"revision restored"})))
    assert (kept.deed.who, kept.deed.role, kept.deed.device, kept.deed.job) == ("=Ada", "lead", "local", older.job)
    assert kept.deed.after == older.revision
    assert kept.deed.before not in (None, older.revision)
    text = client.get("/audit", params={"job": older.job, "text": "ada"}).text
    assert older.revision[:8] in text
    assert "Nobody has changed" in client.get("/audit", params={"text": "nobody at all"}).text
    assert store.verify().sound
    rows = list(csv.DictReader(io.StringIO(client.get("/audit.csv").text)))
    assert [(row["who"], row["role"]) for row in rows] == [("'=Ada", "lead"), ("test", "terminal")]
    assert client.get("/audit", headers={"accept-language": "de"}).text.count("Ältere Revision wieder aufgenommen") == 2


@pytest.mark.parametrize("query", ["since=x", "until=9999-12-31", "since=0001-01-01", "below=-1", "below=9999999999999999999", "what=none"])
def test_what_is_no_filter_is_refused(app: FastAPI, query: str) -> None:
    assert laptop(app).get(f"/audit?{query}").status_code in (200, 400)
    assert laptop(app).get(f"/audit.csv?{query}").status_code in (200, 400)


def test_a_crew_speaks_for_itself_alone(app: FastAPI, uses: UseCases, store: DatabaseStore) -> None:
    client, job = let_in(app, uses, "crew", name="Ben"), job_of(uses)
    answer = client.post(f"/jobs/{job}/documents/plan.pdf", data={"token": token_on(client.get("/pair")), "author": "Ada"})
    assert answer.status_code == 303
    assert deeds(store, "paper asked for") == [("paper asked for", "Ben", "crew")]


def test_a_live_connection_ends_when_its_device_is_removed(uses: UseCases) -> None:
    assert uses.pairing is not None
    device, token = uses.pairing.pair(uses.pairing.offer("viewer").text, name="Cara", where="127.0.0.9")
    sent: list[dict[str, object]] = []

    async def talk(scope: Scope, receive: Receive, send: Send) -> None:
        await send({"type": "websocket.accept"})
        await send({"type": "websocket.send", "text": "one"})
        assert uses.pairing is not None
        uses.pairing.remove(device.id)
        await send({"type": "websocket.send", "text": "two"})

    async def give(message: MutableMapping[str, Any]) -> None:
        sent.append(dict(message))

    async def take() -> MutableMapping[str, Any]:
        return {"type": "websocket.connect"}

    headers = [(b"cookie", f"{COOKIE_PLAIN}={token}".encode())]
    scope = {"type": "websocket", "scheme": "ws", "path": "/jobs/a/runs/R01/live/feed", "headers": headers, "server": ("127.0.0.2", 8420)}
    with pytest.raises(OSError, match="removed"):
        asyncio.run(Door(talk, pairing=uses.pairing, notes=Notes(uses))(scope, take, give))
    assert [one["type"] for one in sent] == ["websocket.accept", "websocket.send", "websocket.close"]
    assert sent[-1]["code"] == 1008
