"""Serves the app: in the foreground until somebody ends it, or beside other work."""

from __future__ import annotations

import socket
import threading
from typing import TYPE_CHECKING, Final

import uvicorn

from mainwright.errors import InputError

if TYPE_CHECKING:
    from fastapi import FastAPI

__all__ = ["LOCAL", "PORT", "Server", "address_of_socket", "hosts_of", "listen"]

LOCAL: Final = "127.0.0.1"
PORT: Final = 8420

_BACKLOG: Final = 128


def listen(host: str, port: int) -> socket.socket:
    """Return a socket that listens.

    Parameters
    ----------
    host : str
        Address of this machine. [-]
    port : int
        Port; 0 takes a free one. [-]

    Returns
    -------
    socket
        Bound and listening.

    Raises
    ------
    InputError
        If the port is taken, or the address is not one of this machine.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    # By its protocol the loop knows that small parts may go out at once; without it every short answer waits 40 ms for the browser.
    found = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        found.bind((host, port))
        found.listen(_BACKLOG)
    except (OSError, OverflowError) as error:
        found.close()
        why = getattr(error, "strerror", None) or str(error)
        raise InputError("the address of the pages", f"{host}:{port} ({why})", "", "a free port of this machine, as --port 8421") from error
    return found


def hosts_of(host: str, port: int) -> tuple[str, ...]:
    """Return the names under which a server may be asked.

    Parameters
    ----------
    host : str
        Address on which it listens. [-]
    port : int
        Port on which it listens. [-]

    Returns
    -------
    tuple of str
        As `mainwright.web.guard.Guard` takes them. On the van's network the machine is asked by its number.
    """
    named = f"[{host}]" if ":" in host else host
    return (f"{named}:{port}", f"127.0.0.1:{port}", f"localhost:{port}", f"[::1]:{port}")


def address_of_socket(sock: socket.socket, scheme: str) -> str:
    """Return the address of pages that are served on a socket, ending with a stroke."""
    host, port = sock.getsockname()[:2]
    return f"{scheme}://[{host}]:{port}/" if ":" in host else f"{scheme}://{host}:{port}/"


class Server:
    """One server of the app.

    Parameters
    ----------
    app : FastAPI
        What is served. [-]
    sock : socket
        Where it listens. [-]
    van : socket, optional
        Where it listens for phones besides. [-]
    certificate, key : str, optional
        Files with which the pages are encrypted. [-]
    """

    def __init__(
        self, app: FastAPI, sock: socket.socket, *, van: socket.socket | None = None, certificate: str | None = None, key: str | None = None
    ) -> None:
        config = uvicorn.Config(
            app, log_config=None, access_log=False, ws="websockets-sansio", ws_max_size=65_536, server_header=False, timeout_graceful_shutdown=2,
            lifespan="on", ssl_certfile=certificate, ssl_keyfile=key, proxy_headers=False,
        )  # fmt: skip
        self._server = uvicorn.Server(config)
        self._socks = [sock] if van is None else [sock, van]
        self._scheme = "https" if certificate else "http"
        self._thread: threading.Thread | None = None

    @property
    def address(self) -> str:
        """Where a browser finds it."""
        return address_of_socket(self._socks[0], self._scheme)

    def run(self) -> None:
        """Serve until somebody interrupts."""
        self._server.run(sockets=self._socks)

    def start(self) -> None:
        """Serve beside other work, in a thread."""
        self._thread = threading.Thread(target=self.run, name="pages", daemon=True)
        self._thread.start()

    def stop(self, timeout: float = 5.0) -> None:
        """End what `start` began."""
        self._server.should_exit = True
        if self._thread is not None:
            self._thread.join(timeout)
        for one in self._socks:
            one.close()
