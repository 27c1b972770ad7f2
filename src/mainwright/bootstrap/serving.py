"""Wires the pages for a browser: the job folders that are open, and where plans are made meanwhile."""

from __future__ import annotations

import contextlib
from typing import TYPE_CHECKING, TextIO

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from mainwright.workflow.live_run import LiveRun
    from mainwright.workflow.ports import JobRead
    from mainwright.workflow.visiting import UseCases

__all__ = ["page_use_cases"]


def page_use_cases(folders: Sequence[Path], *, live: Sequence[LiveRun] = ()) -> UseCases:
    """Return what the pages may ask.

    Parameters
    ----------
    folders : sequence of Path
        Job folders that are open.
    live : sequence of LiveRun
        Runs that are followed.

    Returns
    -------
    UseCases
        Nothing is read before it is asked for.
    """
    from datetime import UTC, datetime

    from mainwright.plan.plan import make_plan
    from mainwright.workflow.visiting import JobsAtHand, UseCases

    jobs = JobsAtHand(_Folders(folders), planner=lambda job, told: make_plan(job, progress=told), background=_Worker())
    zone = datetime.now(UTC).astimezone().tzinfo or UTC
    return UseCases(jobs=jobs, clock=lambda: datetime.now(UTC), token=_token(), zone=zone, live={one.key.run: one for one in live})


def _new_file(place: Path) -> TextIO:
    """Open a file that must not be there yet, for its user alone."""
    import os

    return os.fdopen(os.open(place, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="ascii")


def _token() -> str:
    """Return what forms bring back: kept on this machine for its user alone, so that a page that was open stays good when the server starts again."""
    import secrets

    from mainwright.bootstrap.place import log_file

    fresh = secrets.token_urlsafe(24)
    try:
        place = log_file().with_name("pages.token")
        with contextlib.suppress(FileExistsError), _new_file(place) as file:
            file.write(fresh)
        kept = place.read_text(encoding="ascii").strip()
    except (OSError, ValueError):
        return fresh
    return kept if len(kept) >= 24 else fresh


class _Folders:
    """Job folders by a name that can stand in an address."""

    def __init__(self, folders: Sequence[Path]) -> None:
        self._folders: dict[str, Path] = {}
        for folder in folders:
            name = plain = _slug(folder.resolve().name)
            count = 1
            while name in self._folders:
                count += 1
                name = f"{plain}-{count}"
            self._folders[name] = folder

    def names(self) -> Sequence[str]:
        return tuple(self._folders)

    def stamp(self, name: str) -> object:
        folder = self._folders[name]
        try:
            return tuple(
                sorted((entry.name, entry.stat().st_mtime_ns, entry.stat().st_size) for entry in folder.iterdir() if entry.is_file())
            )
        except OSError as error:
            return str(error)

    def read(self, name: str) -> JobRead:
        from mainwright.bootstrap.planning import read_job

        return read_job(self._folders[name])

    def place(self, name: str) -> str:
        return str(self._folders[name])


class _Worker:
    """One thread that does one work after the other and does not keep the program from ending."""

    def __init__(self) -> None:
        import queue
        import threading

        self._queue: queue.SimpleQueue[Callable[[], None]] = queue.SimpleQueue()
        threading.Thread(target=self._run, name="plans", daemon=True).start()

    def __call__(self, work: Callable[[], None], /) -> None:
        self._queue.put(work)

    def _run(self) -> None:
        import logging

        while True:
            work = self._queue.get()
            try:
                work()
            except Exception:
                logging.getLogger("mainwright.pages").exception("Work in the background failed.")


def _slug(name: str) -> str:
    import re

    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "job"
