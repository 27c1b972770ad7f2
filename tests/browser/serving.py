"""Servers for the tests: the real app on a free port."""

from __future__ import annotations

import time
import urllib.request
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import mainwright
from mainwright.bootstrap import import_job, open_store
from mainwright.bootstrap.serving import page_use_cases
from mainwright.web.app import create_app
from mainwright.web.server import LOCAL, Server, hosts_of, listen

if TYPE_CHECKING:
    from collections.abc import Iterator

    from mainwright.workflow.visiting import UseCases

__all__ = ["MARROWBY", "served"]

MARROWBY = Path(mainwright.__file__).parent / "demo" / "marrowby"


@contextmanager
def served(use_cases: UseCases | None = None, *, port: int = 0) -> Iterator[Server]:
    """Serve, by default the demo job out of a store of its own."""
    if use_cases is None:
        with TemporaryDirectory() as place:
            name = str(Path(place) / "store.sqlite")
            import_job(MARROWBY, store=name, author="test")
            with open_store(name) as store, served(page_use_cases(store), port=port) as server:
                yield server
        return
    sock = listen(LOCAL, port)
    app = create_app(use_cases, hosts=hosts_of(*sock.getsockname()[:2]))
    server = Server(app, sock)
    address = server.address
    server.start()
    for _ in range(200):
        try:
            with urllib.request.urlopen(address + "static/none", timeout=1):  # noqa: S310 - our own address
                break
        except urllib.error.HTTPError:
            break
        except OSError:
            time.sleep(0.02)
    try:
        yield server
    finally:
        server.stop()
        use_cases.live.close()
