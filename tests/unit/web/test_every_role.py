"""Every route asked by every role with what nobody sensible would send: never a failure, and never more than the role may."""

from __future__ import annotations

import re
import shutil
import ssl
import subprocess
import urllib.request
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mainwright.bootstrap import import_job, open_store, van_address
from mainwright.bootstrap.serving import page_use_cases
from mainwright.errors import InputError
from mainwright.web.app import create_app
from mainwright.web.roles import NEEDS, may
from mainwright.web.server import LOCAL as ADDRESS
from mainwright.web.server import Server, hosts_of, listen
from tests.unit.web.test_door import LOCAL, MARROWBY, VAN, job_of, let_in, phone, token_on

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from starlette.testclient import TestClient

    from mainwright.workflow.pairing import Role
    from mainwright.workflow.visiting import UseCases

_TEXTS: Final = st.sampled_from(
    ["", "R01", "..", "../../etc/passwd", "\x00", "=1+1", "a/b", "-1", "nan", "[]", "ä", "9" * 300, "lead"]
) | st.text(max_size=20)
_FIELDS: Final = (
    "author",
    "who",
    "role",
    "device",
    "code",
    "name",
    "next",
    "what",
    "since",
    "until",
    "below",
    "text",
    "cells",
    "table",
    "number",
    "language",
)
_ROLES: Final = ("lead", "crew", "viewer", None)

Asked = tuple["UseCases", dict[str | None, tuple["TestClient", str]]]


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Asked]:
    place = tmp_path_factory.mktemp("roles")
    import_job(MARROWBY, store=str(place / "store.sqlite"), author="test")
    with open_store(str(place / "store.sqlite")) as store:
        uses = page_use_cases(store, van=f"http://{VAN}/", devices=place / "devices.json")
        app = create_app(uses, hosts=[LOCAL, VAN])
        roles: tuple[Role, ...] = ("lead", "crew", "viewer")
        clients: dict[str | None, TestClient] = {role: let_in(app, uses, role, address=f"127.0.1.{n}") for n, role in enumerate(roles)}
        clients[None] = phone(app)
        yield uses, {role: (client, token_on(client.get("/pair"))) for role, client in clients.items()}


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(data=st.data())
def test_no_role_makes_a_route_fail_or_does_more_than_it_may(asked: Asked, data: st.DataObject) -> None:
    uses, clients = asked
    role = data.draw(st.sampled_from(_ROLES))
    (method, path), need = data.draw(st.sampled_from(sorted(((k, v) for k, v in NEEDS.items() if k[0] != "WS"), key=lambda one: one[0])))
    where = path
    for name in re.findall(r"{(\w+)(?::\w+)?}", path):
        value = data.draw(st.just(job_of(uses)) | _TEXTS if name == "job" else _TEXTS)
        where = re.sub(rf"{{{name}(:\w+)?}}", lambda _, value=value: quote(value, safe="") or "x", where)  # type: ignore[misc]
    fields = data.draw(st.dictionaries(st.sampled_from(_FIELDS), _TEXTS, max_size=6))
    if where == "/devices/remove":
        fields.pop("device", None)
    client, token = clients[role]
    before = uses.jobs.shelf.stamps()
    answer = client.post(where, data={**fields, "token": token}) if method == "POST" else client.get(where, params=fields)
    assert answer.status_code < 500, (role, method, where, fields)
    if not may(role, need.role):  # type: ignore[arg-type]
        assert answer.status_code in (401, 403, 303)
        assert answer.status_code != 303 or answer.headers["location"].startswith("/pair?next=")
    if role != "lead":
        assert uses.jobs.shelf.stamps() == before


def test_the_address_for_phones_is_one_of_a_private_network() -> None:
    assert van_address("192.168.8.10", secret=False) == "192.168.8.10"
    assert van_address("127.0.0.2", secret=False) == "127.0.0.2"
    for wrong in ("0.0.0.0", "::", "example.org", "224.0.0.1", "8.8.8.8", ""):  # noqa: S104 - it is what is refused
        with pytest.raises(InputError, match="--host"):
            van_address(wrong, secret=False)
    assert van_address("8.8.8.8", secret=True) == "8.8.8.8"


@pytest.mark.parametrize("found", [[], ["10.0.0.2", "192.168.8.10"]])
def test_where_it_is_not_plain_which_network_is_meant_the_address_is_asked_for(monkeypatch: pytest.MonkeyPatch, found: list[str]) -> None:
    monkeypatch.setattr("mainwright.bootstrap.network._private", lambda: found)
    with pytest.raises(InputError, match="--host"):
        van_address(None, secret=False)
    monkeypatch.setattr("mainwright.bootstrap.network._private", lambda: ["192.168.8.10"])
    assert van_address(None, secret=False) == "192.168.8.10"


def test_pages_are_encrypted_with_a_certificate(tmp_path: Path) -> None:
    tool = shutil.which("openssl")
    if tool is None:
        pytest.skip("openssl is not here")
    key, certificate = tmp_path / "key.pem", tmp_path / "certificate.pem"
    made = [
        "req",
        "-x509",
        "-newkey",
        "rsa:2048",
        "-nodes",
        "-keyout",
        key,
        "-out",
        certificate,
        "-days",
        "2",
        "-subj",
        "/CN=van",
        "-addext",
        "subjectAltName=IP:127.0.0.1",
    ]
    subprocess.run([tool, *map(str, made)], check=True, capture_output=True)  # noqa: S603 - words of this test
    sock = listen(ADDRESS, 0)
    app = create_app(page_use_cases(None), hosts=hosts_of(*sock.getsockname()[:2]))
    server = Server(app, sock, certificate=str(certificate), key=str(key))
    assert server.address.startswith("https://")
    server.start()
    try:
        trusting = ssl.create_default_context(cafile=str(certificate))
        with urllib.request.urlopen(server.address, context=trusting, timeout=20) as answer:  # noqa: S310 - our own address
            assert answer.status == 200
            assert "default-src 'none'" in answer.headers["content-security-policy"]
        with pytest.raises(OSError, match=r"."):
            urllib.request.urlopen(server.address.replace("https:", "http:"), timeout=5)  # noqa: S310 - our own address
    finally:
        server.stop()
