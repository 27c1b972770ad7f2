"""A store as a whole."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Self

from mainwright.store.engine import connect, is_url, shown_place
from mainwright.store.failures import told
from mainwright.store.run_log import DatabaseRunLog
from mainwright.store.schema import upgrade

__all__ = ["DatabaseStore"]


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

    def close(self) -> None:
        """Close all connections."""
        self.log.close()
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *unused: object) -> None:
        self.close()
