"""What happens when the disk, the file or the server fails: it is told in words, nothing acknowledged is lost, and afterwards it goes on."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from mainwright.errors import StoreError
from mainwright.store import failures
from mainwright.store.store import DatabaseStore, verify_store
from mainwright.workflow.live_ports import LogEntry, RunKey
from tests.contract.conftest import SteadyClock

if TYPE_CHECKING:
    from tests.contract.server import Server

KEY = RunKey("TL-03", "R01")


def readings(first: int, count: int) -> list[LogEntry]:
    return [
        LogEntry("reading", 1.5e9 + number, {"number": number, "odometer": 0.1 * number, "flow": 5e-4})
        for number in range(first, first + count)
    ]


def begun(place: str) -> DatabaseStore:
    store = DatabaseStore(place, clock=SteadyClock())
    store.log.begin(KEY, {"plan": 1}, author="a")
    return store


FILLS = """
import resource, signal, sys
from datetime import UTC, datetime
from mainwright.errors import StoreError
from mainwright.store.store import DatabaseStore
from tests.contract.test_store_troubles import KEY, begun, readings

signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
store = begun(sys.argv[1])
resource.setrlimit(resource.RLIMIT_FSIZE, (400_000, 400_000))
count = 0
try:
    while count < 1_000_000:
        count = store.log.append(KEY, readings(count, 50), after=count)
        print(count, flush=True)
except StoreError as error:
    print(error, file=sys.stderr)
"""


def test_a_full_disk_is_told_and_loses_nothing(tmp_path: Path) -> None:
    place = str(tmp_path / "store.sqlite")
    root = str(Path(__file__).parents[2])
    environment = os.environ | {"PYTHONPATH": os.pathsep.join([root, os.environ.get("PYTHONPATH", "")])}
    done = subprocess.run(  # noqa: S603 - our own program
        [sys.executable, "-c", FILLS, place], capture_output=True, text=True, env=environment, cwd=root, timeout=120, check=False
    )
    assert "full" in done.stderr or "disk failed" in done.stderr, done.stderr
    assert "everything that was acknowledged before is" in done.stderr
    acknowledged = int(done.stdout.split()[-1])
    assert acknowledged > 0
    with DatabaseStore(place, clock=SteadyClock()) as store:
        kept = list(store.log.entries(KEY))
        assert kept[:acknowledged] == readings(0, acknowledged)
        assert len(kept) in {acknowledged, acknowledged + 50}
        # With room again it goes on.
        assert store.log.append(KEY, readings(len(kept), 3), after=len(kept)) == len(kept) + 3
    assert verify_store(place).sound


def test_a_file_that_another_program_holds_is_told_and_then_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("mainwright.store.engine.BUSY_WAIT", 0.2)
    place = str(tmp_path / "store.sqlite")
    with begun(place) as store:
        other = sqlite3.connect(place, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreError, match="another program is writing to it"):
            store.log.append(KEY, readings(0, 2), after=0)
        other.execute("ROLLBACK")
        other.close()
        assert store.log.append(KEY, readings(0, 2), after=0) == 2


def test_a_file_that_may_only_be_read_is_told(tmp_path: Path) -> None:
    place = tmp_path / "store.sqlite"
    begun(str(place)).close()
    if os.geteuid() == 0:
        # To root every file may be written; the database itself is told to refuse.
        opened = sqlite3.connect(place)
        error = sqlite3.OperationalError("attempt to write a readonly database")
        error.sqlite_errorcode = sqlite3.SQLITE_READONLY
        opened.close()
        with pytest.raises(StoreError, match="it may only be read"), failures.told(str(place)):
            raise error
    else:
        place.chmod(0o444)
        tmp_path.chmod(0o555)
        try:
            with pytest.raises(StoreError, match=r"only be read|cannot be opened"), DatabaseStore(str(place), clock=SteadyClock()) as store:
                store.log.append(KEY, readings(0, 2), after=0)
        finally:
            tmp_path.chmod(0o755)


def test_a_damaged_page_is_told_or_found(tmp_path: Path) -> None:
    place = tmp_path / "store.sqlite"
    with begun(str(place)) as store:
        for first in range(0, 4000, 200):
            store.log.append(KEY, readings(first, 200), after=first)
    data = bytearray(place.read_bytes())
    middle = len(data) // 2 // 4096 * 4096
    data[middle : middle + 4096] = bytes(4096)
    place.write_bytes(bytes(data))
    told = ""
    try:
        sound = verify_store(str(place)).sound
    except StoreError as error:
        sound, told = False, str(error)
    assert not sound
    assert not told or "damaged" in told


@pytest.mark.postgres
def test_a_server_that_is_gone_in_the_middle_is_told_and_then_written(postgresql_server: Server) -> None:
    place = postgresql_server.new_database()
    with begun(place) as store:
        assert store.log.append(KEY, readings(0, 5), after=0) == 5
        postgresql_server.stop()
        try:
            with pytest.raises(StoreError, match="the server is gone"):
                store.log.append(KEY, readings(5, 5), after=5)
        finally:
            postgresql_server.start()
        assert store.log.append(KEY, readings(5, 5), after=5) == 10
        assert list(store.log.entries(KEY)) == readings(0, 10)
