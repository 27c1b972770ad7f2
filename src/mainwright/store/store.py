"""A store as a whole."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Self

from mainwright.errors import NotFound
from mainwright.store.deeds import DatabaseDeeds
from mainwright.store.engine import connect, is_url, reading, shown_place, writing
from mainwright.store.failures import told
from mainwright.store.files import DatabaseFiles
from mainwright.store.run_log import DatabaseRunLog
from mainwright.store.schema import require_schema, upgrade
from mainwright.store.shelf import DatabaseShelf
from mainwright.store.verify import verify
from mainwright.workflow.ports import Progress
from mainwright.workflow.store_ports import Anchor, Report, Shelf

__all__ = ["DatabaseStore", "verify_store"]


class DatabaseStore:
    """Jobs, records and the logs of runs, in SQLite or on a PostgreSQL server.

    Parameters
    ----------
    place : str
        Path of a file, made where it is missing, or URL ``postgresql://...``. [-]
    clock : callable
        Gives the time of day, aware. [-]

    Attributes
    ----------
    log
        The logs of runs.
    files
        The files of records.
    deeds
        Who did what.
    place
        The store, as a person names it.
    """

    def __init__(self, place: str, *, clock: Callable[[], datetime]) -> None:
        self.place = shown_place(place)
        if not is_url(place):
            Path(place).absolute().parent.mkdir(parents=True, exist_ok=True)
        self._engine = connect(place)
        self._clock = clock
        try:
            with told(self.place):
                upgrade(self._engine, place=self.place)
        except BaseException:
            self._engine.dispose()
            raise
        self.log = DatabaseRunLog(self._engine, place=self.place, clock=clock)
        self.files = DatabaseFiles(self._engine, place=self.place)
        self.deeds = DatabaseDeeds(self._engine, place=self.place, clock=clock)

    @contextmanager
    def transaction(self) -> Iterator[Shelf]:
        """Give the shelf to read and write; at the end of the block all of it is kept, after an error nothing."""
        with told(self.place), writing(self._engine) as connection:
            yield DatabaseShelf(connection, place=self.place, clock=self._clock)

    @contextmanager
    def looking(self) -> Iterator[Shelf]:
        """Give the shelf to read, as it is now."""
        with told(self.place), reading(self._engine) as connection:
            yield DatabaseShelf(connection, place=self.place, clock=self._clock)

    def verify(self, *, anchors: Sequence[Anchor] = (), progress: Progress | None = None) -> Report:
        """Return whether anything was changed since it was kept."""
        with told(self.place), reading(self._engine) as connection:
            return verify(connection, place=self.place, anchors=anchors, progress=progress)

    def close(self) -> None:
        """Close all connections."""
        self.log.close()
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *unused: object) -> None:
        self.close()


def verify_store(place: str, *, anchors: Sequence[Anchor] = (), progress: Progress | None = None) -> Report:
    """Return whether anything in a store was changed since it was kept; nothing is written.

    Parameters
    ----------
    place : str
        Path or URL of the store. [-]
    anchors : sequence of Anchor
        Where chains ended once, as it was written down. [-]
    progress : callable, optional
        Told how many chains are verified, and of how many. [-]

    Returns
    -------
    Report
        Each chain, and what is wrong with it.

    Raises
    ------
    NotFound
        If there is no store.
    """
    shown = shown_place(place)
    if not is_url(place) and not Path(place).is_file():
        raise NotFound(f"{shown}: there is no store here.")
    engine = connect(place, read_only=True)
    try:
        with told(shown), reading(engine) as connection:
            require_schema(connection, place=shown)
            return verify(connection, place=shown, anchors=anchors, progress=progress)
    finally:
        engine.dispose()
