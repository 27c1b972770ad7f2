"""The world outside fails: what is told, and that nothing acknowledged is lost."""

import os
import resource
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

import pytest

from mainwright.errors import StoreError
from mainwright.store import engine as engines
from mainwright.store.store import DatabaseStore, verify_store
from tests.contract.conftest import SteadyClock
from tests.contract.killing import KEY, check_numbers, group_of
from tests.contract.server import running_server, why_no_server

_MB = 1 << 20


def begin(place: str | Path) -> DatabaseStore:
    store = DatabaseStore(str(place), clock=SteadyClock())
    store.log.begin(KEY, {"revision": "ab"}, author="x")
    return store


def append_until_it_fails(store: DatabaseStore, count: int = 0, *, size: int = 2000, most: int = 2000) -> tuple[int, StoreError]:
    for _ in range(most):
        try:
            count = store.log.append(KEY, group_of(count, size), after=count)
        except StoreError as error:
            return count, error
    raise AssertionError("it never failed")


@contextmanager
def small_disk() -> Iterator[Path]:
    """Give a folder on a disk of two megabytes, or skip."""
    folder = Path(tempfile.mkdtemp(prefix="mw-small-"))
    mounted = os.geteuid() == 0 and shutil.which("mount") is not None
    if mounted:
        done = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", str(folder)], capture_output=True, check=False)  # noqa: S603, S607
        mounted = done.returncode == 0
    try:
        if not mounted:
            pytest.skip("no small disk can be made here")
        yield folder
    finally:
        if mounted:
            subprocess.run(["umount", str(folder)], capture_output=True, check=True)  # noqa: S603, S607
        shutil.rmtree(folder, ignore_errors=True)


def test_a_full_disk() -> None:
    with small_disk() as disk:
        ballast = disk / "ballast"
        ballast.write_bytes(b"x" * 600_000)
        store = begin(disk / "store.sqlite")
        with closing(store):
            count, error = append_until_it_fails(store)
            assert "the disk is full" in str(error)
            assert "Make room" in str(error)
            assert isinstance(error.__cause__, sqlite3.Error)
            check_numbers(list(store.log.entries(KEY)), acknowledged=count)
            assert store.log.anchor(KEY).count == count
            # It stays full, and says so again; then there is room, and it goes on with the same group.
            with pytest.raises(StoreError, match="the disk is full"):
                store.log.append(KEY, group_of(count, 5000), after=count)
            ballast.unlink()
            count = store.log.append(KEY, group_of(count, 2000), after=count)
            check_numbers(list(store.log.entries(KEY)), acknowledged=count)
            assert store.verify().sound


def test_a_limit_of_the_size_of_a_file(tmp_path: Path) -> None:
    code = f"""
import resource, sys
from tests.contract.test_store_failures import append_until_it_fails, begin
store = begin({str(tmp_path / "store.sqlite")!r})
resource.setrlimit(resource.RLIMIT_FSIZE, ({2 * _MB}, {2 * _MB}))
count, error = append_until_it_fails(store)
print(count, error)
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)  # noqa: S603
    assert done.returncode == 0, done.stderr
    count, _, words = done.stdout.partition(" ")
    assert "the disk failed" in words or "the disk is full" in words
    assert "verything that was acknowledged before is" in words
    with begin(tmp_path / "store.sqlite") as store:
        entries = list(store.log.entries(KEY))
        check_numbers(entries, acknowledged=int(count))
        # The group whose commit failed is there whole or not at all.
        assert len(entries) in (int(count), int(count) + 2000)
        count_now = store.log.append(KEY, group_of(len(entries), 3), after=len(entries))
        assert count_now == len(entries) + 3
        assert store.verify().sound
    assert resource.getrlimit(resource.RLIMIT_FSIZE)[0] == resource.RLIM_INFINITY


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write every file")
def test_a_file_that_may_only_be_read(tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite"
    with begin(path) as store:
        count = store.log.append(KEY, group_of(0, 100), after=0)
    path.chmod(0o444)
    tmp_path.chmod(0o555)
    try:
        with pytest.raises(StoreError, match=r"may only be read|cannot be opened"):
            begin(path)
        report = verify_store(str(path))
    finally:
        tmp_path.chmod(0o755)
    assert report.sound
    assert report.chains[0].anchor
    assert report.chains[0].anchor.count == count


def test_a_disk_that_may_only_be_read() -> None:
    with small_disk() as disk:
        path = disk / "store.sqlite"
        with begin(path) as store:
            count = store.log.append(KEY, group_of(0, 100), after=0)
        subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)  # noqa: S603, S607
        with pytest.raises(StoreError, match=r"may only be read|cannot be opened"):
            begin(path)
        report = verify_store(str(path))
        assert report.sound
        assert report.chains[0].anchor
        assert report.chains[0].anchor.count == count


def test_a_file_that_another_program_is_writing_to(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engines, "BUSY_WAIT", 0.2)
    path = tmp_path / "store.sqlite"
    with begin(path) as store:
        count = store.log.append(KEY, group_of(0, 10), after=0)
        with closing(sqlite3.connect(path, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            with pytest.raises(StoreError, match="another program is writing to it"):
                store.log.append(KEY, group_of(count, 10), after=count)
            with pytest.raises(StoreError, match="another program is writing to it"), store.transaction():
                pass
            # Reading goes on meanwhile.
            assert len(list(store.log.entries(KEY))) == 10
            other.execute("ROLLBACK")
        count = store.log.append(KEY, group_of(count, 10), after=count)
        check_numbers(list(store.log.entries(KEY)), acknowledged=20)


def test_a_writer_waits_for_another_that_is_quick(tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite"
    with begin(path) as store, closing(sqlite3.connect(path, isolation_level=None, check_same_thread=False)) as other:
        other.execute("BEGIN IMMEDIATE")
        timer = threading.Timer(0.3, other.execute, ["ROLLBACK"])
        timer.start()
        assert store.log.append(KEY, group_of(0, 10), after=0) == 10
        timer.join()


def test_a_corrupt_page(tmp_path: Path) -> None:
    path = tmp_path / "store.sqlite"
    with begin(path) as store:
        for group in range(20):
            store.log.append(KEY, group_of(group * 200, 200), after=group * 200)
    data = bytearray(path.read_bytes())
    page = int.from_bytes(data[16:18], "big")
    for first in range(2 * page, len(data), page):
        data[first : first + page] = b"\xa5" * page
    path.write_bytes(data)
    with pytest.raises(StoreError, match=r"the file is damaged.*copy it first.*mainwright verify"), begin(path) as store:
        list(store.log.entries(KEY))
    with suppress(StoreError):
        assert not verify_store(str(path)).sound


def test_a_folder_that_cannot_be_made(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(NotADirectoryError, match="file"):
        begin(tmp_path / "file" / "under" / "store.sqlite")


def test_a_folder_in_place_of_the_file(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="the file cannot be opened"):
        begin(tmp_path)


@pytest.mark.postgres
def test_a_server_that_goes_in_the_middle() -> None:
    reason = why_no_server()
    if reason:
        pytest.skip(reason)
    with running_server() as server:
        place = server.new_database()
        with begin(place) as store:
            count = 0
            for mode in ("immediate", "fast"):
                for _ in range(20):
                    count = store.log.append(KEY, group_of(count, 50), after=count)
                stop = threading.Thread(target=server.stop, args=(mode,))
                stop.start()
                count, error = append_until_it_fails(store, count, size=20, most=10**6)
                stop.join()
                assert "the server is gone or cannot be reached" in str(error)
                assert "Start it" in str(error)
                with pytest.raises(StoreError, match="server is gone or cannot be reached"), store.looking() as shelf:
                    shelf.jobs()
                with pytest.raises(StoreError, match="server is gone or cannot be reached"):
                    store.log.append(KEY, group_of(count, 20), after=count)
                server.start()
                # The group whose answer was lost may be there already: given again it is not doubled.
                count = store.log.append(KEY, group_of(count, 20), after=count)
                check_numbers(list(store.log.entries(KEY)), acknowledged=count)
            assert store.verify().sound


@pytest.mark.postgres
@pytest.mark.parametrize(
    ("change", "words"),
    [("nobody", "user and password"), ("postgres@/no_such", "createdb"), ("gone", "the server is gone or cannot be reached")],
)
def test_a_server_that_does_not_let_in(change: str, words: str) -> None:
    reason = why_no_server()
    if reason:
        pytest.skip(reason)
    with running_server() as server:
        place = server.new_database()
        if change == "nobody":
            place = place.replace("postgres@", "nobody@")
        elif change == "gone":
            server.stop()
        else:
            place = server.url("no_such")
        with pytest.raises(StoreError, match=words):
            begin(place)
