"""The demo opens the pages on its job, and on another port where the one that is wanted is taken."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import click
from starlette.testclient import TestClient

import mainwright
from mainwright.cli.demo import _pages, demo
from mainwright.web.server import LOCAL, Server, listen

if TYPE_CHECKING:
    import pytest

MARROWBY = Path(mainwright.__file__).parent / "demo" / "marrowby"


def test_the_pages_of_the_demo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[str] = []

    def look(server: Server) -> None:
        client = TestClient(server._server.config.app, base_url=server.address)  # type: ignore[arg-type]
        seen.extend((server.address, client.get("/").text))
        server.stop()

    monkeypatch.setattr(Server, "run", look)
    shutil.copytree(MARROWBY, tmp_path / "recorded")
    with listen(LOCAL, 0) as taken:
        port = taken.getsockname()[1]
        assert _pages(click.Context(demo), tmp_path, port) == 0
    address, text = seen
    assert address.startswith("http://127.0.0.1:")
    assert f":{port}/" not in address
    assert "Tallow Lane main" in text
    assert (tmp_path / "pages.sqlite").exists()
