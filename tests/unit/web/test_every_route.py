"""Every route, asked with what nobody sensible would send: the answer is a refusal in words, never a failure of ours."""

from __future__ import annotations

import re
import time
from pathlib import Path
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

import pytest
from fastapi.routing import APIRoute
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

import mainwright
from mainwright.bootstrap import import_job, open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.web.app import create_app
from mainwright.web.place import PLACES

if TYPE_CHECKING:
    from collections.abc import Iterator

    from fastapi import FastAPI

MARROWBY: Final = Path(mainwright.__file__).parent / "demo" / "marrowby"
HOST: Final = "127.0.0.1:8420"
ORIGIN: Final = {"origin": f"http://{HOST}"}

_NASTY: Final = st.sampled_from(
    [
        "",
        "R01",
        "main",
        "plan.pdf",
        "..",
        "../../etc/passwd",
        "a/b",
        "\x00",
        "=1+1",
        "<script>",
        "-1",
        "1e999",
        "nan",
        "[]",
        "{}",
        "[[[",
        "ä",
        "9" * 400,
    ]
)
_TEXTS: Final = _NASTY | st.text(max_size=40)
_FIELDS: Final = (
    "author", "name", "reference", "client", "number", "cells", "files", "table", "text", "before", "after", "run", "from", "to", "width", "lanes",
    "language", "light", "units", "back", "what", "kind", "note", "who", "chainage_m", "press", "day", "status", "origin", "currency", "revision", "how",
    "base", "job", "text_0", "entries", "revisions",
)  # fmt: skip


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    place = str(tmp_path_factory.mktemp("routes") / "store.sqlite")
    import_job(MARROWBY, store=place, author="test")
    with open_store(place) as store:
        yield create_app(page_use_cases(store), hosts=[HOST])


@pytest.fixture(scope="module")
def client(app: FastAPI) -> TestClient:
    return TestClient(app, base_url=f"http://{HOST}", follow_redirects=False, raise_server_exceptions=True)


@pytest.fixture(scope="module")
def job(client: TestClient) -> str:
    """Return the name of the demo in addresses, once it is planned: only then the places show all that they can."""
    found = re.search(r'href="/jobs/([^/"]+)/lining"', client.get("/").text)
    assert found is not None
    until = time.monotonic() + 60.0
    while "http-equiv" in client.get(f"/jobs/{found[1]}/lining").text and time.monotonic() < until:
        time.sleep(0.2)
    return found[1]


def _routes(app: FastAPI) -> list[tuple[str, str]]:
    flat: list[object] = list(app.routes)
    found: list[tuple[str, str]] = []
    while flat:
        one = flat.pop(0)
        if isinstance(one, APIRoute):
            found += [(method, one.path) for method in sorted(one.methods or ())]
        elif (inner := getattr(one, "original_router", None) or getattr(one, "router", None)) is not None:
            flat += inner.routes
    return sorted(found)


def test_all_routes_are_tried(app: FastAPI) -> None:
    paths = {path for _, path in _routes(app)}
    assert {f"/jobs/{{job}}/{place}" for place in PLACES} <= paths
    assert {"/", "/library", "/library/new", "/library/entries/{entry}", "/jobs/{job}/library/{entry}", "/look", "/new-job"} <= paths


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(data=st.data())
def test_no_route_fails(client: TestClient, app: FastAPI, job: str, data: st.DataObject) -> None:
    method, path = data.draw(st.sampled_from(_routes(app)))
    names = re.findall(r"{(\w+)(?::\w+)?}", path)
    where = path
    for name in names:
        value = data.draw(st.just(job) | _TEXTS if name == "job" else _TEXTS)
        where = re.sub(rf"{{{name}(:\w+)?}}", lambda _, value=value: quote(value, safe="") or "x", where)  # type: ignore[misc]
    fields = data.draw(st.dictionaries(st.sampled_from(_FIELDS), _TEXTS, max_size=8))
    token = app.state.use_cases.token
    answer = client.post(where, data={"token": token, **fields}, headers=ORIGIN) if method == "POST" else client.get(where, params=fields)
    assert answer.status_code < 500, (method, where, fields)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(data=st.data())
def test_no_body_makes_a_form_fail(client: TestClient, app: FastAPI, job: str, data: st.DataObject) -> None:
    _, path = data.draw(st.sampled_from([one for one in _routes(app) if one[0] == "POST"]))
    answer = client.post(re.sub(r"{\w+}", job, path), content=data.draw(st.binary(max_size=200)), headers=ORIGIN)
    assert answer.status_code in (400, 403, 404)


@pytest.mark.parametrize(
    "cells",
    [
        "[]", "null", "7", '{"main": null}', '{"main": {}}', '{"main": {"header": 3, "rows": []}}', '{"main": {"header": [], "rows": [[]]}}',
        '{"main": {"header": ["from_m", "from_m"], "rows": [["1"], ["2", "3", "4"], []]}}', '{"main": {"header": [""], "rows": [["\\u0000"]]}}',
        '{"../main": {"header": ["a"], "rows": [["1"]]}}', "[" * 20_000, '{"main": {"header": ["\\ud800"], "rows": [["\\ud800"]]}}',
    ],
)  # fmt: skip
@pytest.mark.parametrize("action", ["check", "save", "parse", "bring"])
def test_no_table_makes_the_survey_fail(client: TestClient, app: FastAPI, job: str, action: str, cells: str) -> None:
    fields = {"token": app.state.use_cases.token, "author": "", "cells": cells, "files": cells, "text": cells, "table": "main"}
    assert client.post(f"/jobs/{job}/survey/{action}", data=fields, headers=ORIGIN).status_code < 500


def test_every_writing_route_wants_the_origin_and_the_token(client: TestClient, app: FastAPI, job: str) -> None:
    writing = [path for method, path in _routes(app) if method not in ("GET", "HEAD")]
    assert len(writing) >= 7
    before = client.get("/").text
    for path in writing:
        where = re.sub(r"{\w+}", job, path)
        assert client.post(where, data={"token": app.state.use_cases.token, "author": "x"}).status_code == 403, path
        answer = client.post(where, data={"author": "x", "number": "1"}, headers=ORIGIN)
        assert answer.status_code in (403, 404), path
    assert client.get("/").text == before


def test_no_page_sends_a_browser_elsewhere(client: TestClient, job: str) -> None:
    for path in ("/", "/library", "/new-job", *(f"/jobs/{job}/{place}" for place in PLACES)):
        answer = client.get(path)
        assert answer.status_code == 200, path
        loaded = re.findall(r'<(?:script|link|img|iframe|source|use)\b[^>]*?(?:src|href)="([^"]*)"', answer.text)
        assert loaded, path
        assert all(one.startswith(("/", "#", "data:")) and not one.startswith("//") for one in loaded), path
        assert "unsafe" not in answer.headers["content-security-policy"]


def test_the_first_page_is_light(client: TestClient) -> None:
    """At most 300 kB with all that it loads, letters included."""
    text = client.get("/").text
    loaded = set(re.findall(r'(?:src|href)="(/static/[^"]+)"', text))
    styles = [client.get(one) for one in sorted(loaded)]
    letters = {one for style in styles for one in re.findall(r'url\("(/static/[^"]+)"\)', style.text)}
    size = len(text.encode()) + sum(len(style.content) for style in styles) + sum(len(client.get(one).content) for one in sorted(letters))
    assert 10_000 < size < 300_000
