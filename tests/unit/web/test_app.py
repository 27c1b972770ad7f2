"""The app behind its guard: who may ask, who may write, and what goes out with every answer."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient

import mainwright
from mainwright.bootstrap import import_job, open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.figures.palette import PALETTES
from mainwright.web.app import create_app
from mainwright.web.assets import read_assets
from mainwright.web.guard import MOST_BODY
from mainwright.web.reader import Reader, chosen, reader_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mainwright.workflow.visiting import UseCases

MARROWBY = Path(mainwright.__file__).parent / "demo" / "marrowby"
HOST = "127.0.0.1:8420"
ORIGIN = {"origin": f"http://{HOST}"}


@pytest.fixture(scope="module")
def uses(tmp_path_factory: pytest.TempPathFactory) -> Iterator[UseCases]:
    place = str(tmp_path_factory.mktemp("pages") / "store.sqlite")
    import_job(MARROWBY, store=place, author="test")
    with open_store(place) as store:
        yield page_use_cases(store)


@pytest.fixture
def client(uses: UseCases) -> TestClient:
    return TestClient(create_app(uses, hosts=[HOST]), base_url=f"http://{HOST}", follow_redirects=False, raise_server_exceptions=False)


def test_jobs(client: TestClient) -> None:
    answer = client.get("/")
    assert answer.status_code == 200
    assert "Tallow Lane main" in answer.text
    assert answer.headers["cache-control"] == "no-store"


@pytest.mark.parametrize("host", ["marrowby.example", "127.0.0.1", "127.0.0.1:80", "", f"{HOST}.example"])
def test_another_name_is_refused(client: TestClient, host: str) -> None:
    answer = client.get("/", headers={"host": host})
    assert answer.status_code == 421
    assert "Tallow" not in answer.text


def test_no_inline_script_or_style(client: TestClient) -> None:
    for path in ("/", "/nowhere"):
        answer = client.get(path)
        policy = answer.headers["content-security-policy"]
        assert "unsafe" not in policy
        assert "default-src 'none'" in policy
        assert not re.search(r"<style|style=|<script(?![^>]*src=)|\son\w+=", answer.text)


@pytest.mark.parametrize("origin", ["", "null", "http://evil.example", "https://127.0.0.1", f"http://{HOST}.evil.example", "http://["])
def test_another_origin_may_not_write(client: TestClient, uses: UseCases, origin: str) -> None:
    headers = {"origin": origin} if origin else {}
    answer = client.post("/look", data={"token": uses.token, "language": "de"}, headers=headers)
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers


@pytest.mark.parametrize("token", ["", "wrong", "ä"])
def test_a_form_without_our_token_changes_nothing(client: TestClient, token: str) -> None:
    answer = client.post("/look", data={"token": token, "language": "de"}, headers=ORIGIN)
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers
    assert "not allowed from here" in answer.text


def test_look(client: TestClient, uses: UseCases) -> None:
    answer = client.post(
        "/look", data={"token": uses.token, "language": "de", "units": "us", "light": "dark", "back": "/?a=1"}, headers=ORIGIN
    )
    assert answer.status_code == 303
    assert answer.headers["location"] == "/?a=1"
    assert "mainwright_look=de.us.dark" in answer.headers["set-cookie"]
    assert "HttpOnly" in answer.headers["set-cookie"]


@pytest.mark.parametrize(
    "back", ["https://evil.example", "//evil.example", "/\\evil.example", "javascript:alert(1)", "/a\r\nset-cookie: x=1"]
)
def test_nobody_is_sent_elsewhere(client: TestClient, uses: UseCases, back: str) -> None:
    answer = client.post("/look", data={"token": uses.token, "back": back}, headers=ORIGIN)
    assert answer.headers["location"] == "/"


def test_too_much_is_refused(client: TestClient, uses: UseCases) -> None:
    assert client.post("/look", content=b"x" * (MOST_BODY + 1), headers=ORIGIN).status_code == 413
    assert client.post("/look", data={"token": uses.token, **{f"a{n}": "1" for n in range(500)}}, headers=ORIGIN).status_code == 400
    assert client.post("/look", content=b"\xff\xfe", headers=ORIGIN).status_code == 400


@pytest.mark.parametrize(
    "path", ["/static/../app.py", "/static/%2e%2e/app.py", "/static/none", "/static/", "/jobs/../../etc/passwd", "/%00"]
)
def test_no_path_leads_out(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 404


def test_files_are_kept_by_their_hash(client: TestClient) -> None:
    assets = read_assets()
    tokens = client.get(assets.address("tokens.css"))
    assert "immutable" in tokens.headers["cache-control"]
    assert "static:" not in tokens.text
    for address in re.findall(r'url\("([^"]+)"\)', tokens.text):
        assert client.get(address).headers["content-type"] == "font/woff2"


def test_a_failure_is_told_in_words(uses: UseCases, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture) -> None:
    def broken() -> list[str]:
        raise RuntimeError("secret of the machine")

    monkeypatch.setattr(uses.jobs, "listed", broken)
    client = TestClient(create_app(uses, hosts=[HOST]), base_url=f"http://{HOST}", raise_server_exceptions=False)
    answer = client.get("/")
    assert answer.status_code == 500
    assert "secret" not in answer.text
    assert "That is our fault" in answer.text
    assert "secret of the machine" in caplog.text


def test_the_colours_are_those_of_the_drawings() -> None:
    text = (Path(mainwright.__file__).parent / "web" / "static" / "tokens.css").read_text(encoding="utf-8")
    light, auto, dark = (dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", part)) for part in text.split(":root")[1:])
    for name, colours in (("light", light), ("dark", dark), ("dark", auto)):
        look = PALETTES[name]
        for field in look.__slots__:
            assert colours[field.replace("_", "-")] == getattr(look, field), (name, field)


def test_readers() -> None:
    assert reader_of("", "") == Reader("en", "metric", "auto")
    assert reader_of("de.us.dark", "en") == Reader("de", "us", "dark")
    assert reader_of("xx.<b>.1.2.3", "fr, de;q=oops") == Reader("en", "metric", "auto")
    assert chosen(Reader(), "language", "xx") == Reader()
    assert chosen(Reader(), "cookie", "xx") == Reader()


def test_vendored_files_are_what_they_say() -> None:
    import hashlib
    import tomllib

    root = Path(__file__).parents[3]
    lists = [*root.glob("tests/**/vendor/vendor.toml"), *root.glob("src/mainwright/**/vendor/vendor.toml")]
    assert lists
    for listed in lists:
        for one in tomllib.loads(listed.read_text(encoding="utf-8"))["file"]:
            assert hashlib.sha256((listed.parent / one["file"]).read_bytes()).hexdigest() == one["sha256"]
            assert one["licence"]


def test_clock_is_aware(uses: UseCases) -> None:
    assert uses.clock().tzinfo is UTC
    assert uses.clock() > datetime(2026, 1, 1, tzinfo=UTC)
