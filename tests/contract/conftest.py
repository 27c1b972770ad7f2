"""The stores and peers that the contracts are tried on."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from mainwright.store.store import DatabaseStore
from tests.contract.server import Server, running_server, why_no_server

BOTH = ["sqlite", pytest.param("postgresql", marks=pytest.mark.postgres)]


class SteadyClock:
    """A clock that goes on by a second each time somebody looks."""

    def __init__(self) -> None:
        self.now = datetime(2026, 4, 13, 7, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[Server]:
    reason = why_no_server()
    if reason:
        pytest.skip(reason)
    with running_server() as server:
        yield server


@pytest.fixture(params=BOTH)
def store_place(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Return the name of a store that is not there yet, once in a file and once on a server."""
    if request.param == "sqlite":
        return str(tmp_path / "store.sqlite")
    server = request.getfixturevalue("postgresql_server")
    assert isinstance(server, Server)
    return server.new_database()


@pytest.fixture
def store(store_place: str) -> Iterator[DatabaseStore]:
    with DatabaseStore(store_place, clock=SteadyClock()) as opened:
        yield opened
