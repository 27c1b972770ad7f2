"""A PostgreSQL server of one's own, in a temporary folder, heard through a socket file in it: no port, no network."""

import itertools
import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

__all__ = ["Server", "running_server", "why_no_server"]


def _programs() -> Path | None:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: int(path.parts[-3]))
    if found:
        return found[-1].parent
    on_path = shutil.which("initdb")
    return Path(on_path).parent if on_path else None


def _user() -> str | None:
    """Return whom to run the server as: it refuses root."""
    if os.geteuid() != 0:
        return None
    return "postgres"


def why_no_server() -> str | None:
    """Return why no server can be started here, None where one can."""
    if _programs() is None:
        return "PostgreSQL is not installed (Debian: apt-get install postgresql)"
    user = _user()
    if user is not None:
        try:
            pwd.getpwnam(user)
        except KeyError:
            return f"PostgreSQL refuses to run as root, and there is no user {user}"
    return None


class Server:
    """A server; `stop` and `start` it in the middle of a test."""

    def __init__(self, folder: Path, *, durable: bool) -> None:
        programs = _programs()
        assert programs is not None
        self._programs = programs
        self._folder = folder
        self._numbers = itertools.count(1)
        options = "" if durable else "-c fsync=off -c full_page_writes=off "
        self._options = f"{options}-c listen_addresses='' -c unix_socket_directories='{folder}' -c max_connections=60"

    def _run(self, *command: str) -> None:
        user = _user()
        whole = [str(self._programs / command[0]), *command[1:]]
        if user is not None:
            whole = ["runuser", "-u", user, "--", *whole]
        done = subprocess.run(whole, cwd=self._folder, capture_output=True, text=True, check=False, env={**os.environ, "LC_ALL": "C.UTF-8"})  # noqa: S603
        assert done.returncode == 0, f"{whole}\n{done.stdout}{done.stderr}"

    def make(self) -> None:
        self._run("initdb", "--no-sync", "--auth=trust", "--username=postgres", "--encoding=UTF8", "-D", str(self._folder / "data"))

    def start(self) -> None:
        log = str(self._folder / "log")
        self._run("pg_ctl", "-D", str(self._folder / "data"), "-l", log, "-w", "-t", "60", "-o", self._options, "start")

    def stop(self, mode: str = "fast") -> None:
        if not (self._folder / "data" / "postmaster.pid").exists():
            return
        self._run("pg_ctl", "-D", str(self._folder / "data"), "-w", "-t", "60", "-m", mode, "stop")

    def url(self, name: str) -> str:
        return f"postgresql://postgres@/{name}?host={self._folder}"

    def new_database(self) -> str:
        """Return the URL of a new empty database."""
        name = f"store_{next(self._numbers)}"
        self._run("createdb", "-h", str(self._folder), "-U", "postgres", name)
        return self.url(name)


@contextmanager
def running_server(*, durable: bool = False) -> Iterator[Server]:
    """Give a server, stopped and cleared away at the end; without ``durable`` it does not wait for the disk."""
    folder = Path(tempfile.mkdtemp(prefix="mw-pg-"))
    try:
        user = _user()
        if user is not None:
            shutil.chown(folder, user)
        server = Server(folder, durable=durable)
        server.make()
        server.start()
        try:
            yield server
        finally:
            server.stop("immediate")
    finally:
        shutil.rmtree(folder, ignore_errors=True)
