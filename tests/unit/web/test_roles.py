"""One table says who may do what; no route is without its row."""

from __future__ import annotations

import pytest
from fastapi.routing import APIRoute, APIWebSocketRoute

from mainwright.bootstrap.serving import page_use_cases
from mainwright.web.app import create_app
from mainwright.web.roles import DEEDS, NEEDS, ROLES, Need, may, need_of


def routes() -> set[tuple[str, str]]:
    """Return every route of the app with its method."""
    flat: list[object] = list(create_app(page_use_cases(None), hosts=["x"]).routes)
    found: set[tuple[str, str]] = set()
    while flat:
        one = flat.pop(0)
        if isinstance(one, APIRoute):
            found |= {(method, one.path) for method in one.methods or ()}
        elif isinstance(one, APIWebSocketRoute):
            found.add(("WS", one.path))
        elif (inner := getattr(one, "original_router", None) or getattr(one, "router", None)) is not None:
            flat += inner.routes
    return found


def test_no_route_is_without_a_role() -> None:
    found = routes()
    assert ("WS", "/jobs/{job}/runs/{run}/live/feed") in found
    assert found - set(NEEDS) == set(), "give each a row in mainwright.web.roles.NEEDS"


def test_only_what_lets_in_is_open_to_all() -> None:
    assert {key for key, need in NEEDS.items() if need.role is None} == {
        ("GET", "/static/{name:path}"),
        ("GET", "/pair"),
        ("POST", "/pair"),
        ("POST", "/look"),
    }


def test_a_viewer_writes_nothing() -> None:
    for (method, path), need in NEEDS.items():
        if method not in ("GET", "WS") and path not in ("/pair", "/look", "/tour"):
            assert not may("viewer", need.role), path
            assert need.deed in DEEDS or (not need.deed and need.role == "lead"), path


@pytest.mark.parametrize(
    ("method", "path", "role"),
    [
        ("GET", "/jobs/a/survey", "viewer"),
        ("HEAD", "/jobs/a/survey", "viewer"),
        ("POST", "/jobs/a/survey/save", "lead"),
        ("POST", "/jobs/a/runs/R1/live/do", "crew"),
        ("WS", "/jobs/a/runs/R1/live/feed", "viewer"),
        ("GET", "/jobs/a/proof/R1/sign", "lead"),
        ("GET", "/nowhere", "lead"),
        ("DELETE", "/jobs/a", "lead"),
        ("POST", "/jobs/a/runs/R1/live/do/", "lead"),
        ("WS", "/", "lead"),
        ("GET", "/devices", "lead"),
        ("POST", "/pair/", "lead"),
        ("GET", "/static/../devices", None),
    ],
)
def test_what_a_request_needs(method: str, path: str, role: str | None) -> None:
    assert need_of(method, path).role == role


def test_unknown_changes_are_the_leads_and_on_record() -> None:
    assert need_of("POST", "/new/thing") == Need("lead", "other change")


def test_roles_go_from_much_to_little() -> None:
    order = list(ROLES)
    assert [[may(one, other) for other in order] for one in order] == [[True, True, True], [False, True, True], [False, False, True]]
