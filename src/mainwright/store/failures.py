"""What a database says when it fails, in words that say what to do."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from mainwright.errors import StoreError

__all__ = ["BUSY_WAIT", "told"]

BUSY_WAIT: Final = 5.0
"""How long a writer waits for another one before it gives up. [s]"""

_NOTHING_LOST: Final = "Nothing of this step was kept; everything that was acknowledged before is."
_NOT_SURE: Final = "Everything that was acknowledged before is kept; the last step is kept whole or not at all, and may be given again."
_FULL: Final = f"the disk is full. {_NOTHING_LOST} Make room on it, then go on."
_DISK: Final = f"the disk failed while it was read or written. {_NOT_SURE} See whether it is full, has a limit for the size of a file, or is broken; then go on."
_READ_ONLY: Final = (
    f"it may only be read. {_NOTHING_LOST} Give the right to write the file and its folder, or name another store in MAINWRIGHT_STORE."
)
_BUSY: Final = f"another program is writing to it and did not end within {BUSY_WAIT:g} s. {_NOTHING_LOST} End that program or wait for it, then try again."
_DAMAGED: Final = (
    "the file is damaged. Write nothing to it any more: copy it first, together with the files of the same name that end in -wal and -shm. "
    "`mainwright verify` says which runs and jobs are still whole; `mainwright export` takes them out into files for a new store."
)
_NO_STORE: Final = "the file is no store of Mainwright: it is not an SQLite database. Name another one in MAINWRIGHT_STORE."
_NOT_OPENED: Final = "the file cannot be opened. Its folder must be there and may be written; see also whether the disk is full."

_SQLITE: Final = {
    sqlite3.SQLITE_FULL: _FULL,
    sqlite3.SQLITE_IOERR: _DISK,
    sqlite3.SQLITE_READONLY: _READ_ONLY,
    sqlite3.SQLITE_BUSY: _BUSY,
    sqlite3.SQLITE_LOCKED: _BUSY,
    sqlite3.SQLITE_CORRUPT: _DAMAGED,
    sqlite3.SQLITE_NOTADB: _NO_STORE,
    sqlite3.SQLITE_CANTOPEN: _NOT_OPENED,
    sqlite3.SQLITE_PERM: _READ_ONLY,
}
"""By the primary code, the lowest byte of what SQLite says."""

_GONE: Final = f"the server is gone or cannot be reached. {_NOT_SURE} Start it, or see whether the network is there, then go on."
_POSTGRESQL: Final = {
    "53100": _FULL,
    "53": f"the server has no more room, memory or connections. {_NOTHING_LOST} Free some, then go on.",
    "25006": f"the server takes no writing now (it may be a copy of another one). {_NOTHING_LOST} Name the server that is written to in MAINWRIGHT_STORE.",
    "28": "the server does not let this user in. See user and password in MAINWRIGHT_STORE.",
    "3D": "the server has no database of this name. Make it (`createdb NAME`), or name another one in MAINWRIGHT_STORE.",
    "42501": "this user may not do that in the database. Give the user the right to make and fill tables there.",
    "55P03": _BUSY,
    "40": _BUSY,
    "08": _GONE,
    "57": _GONE,
    "58": f"the server's disk failed. {_NOTHING_LOST} See the server's own log.",
    "XX": "the server found its own files damaged. Stop it, copy its data folder before anything else, and see its log.",
}
"""By the state that PostgreSQL gives, or its class (the first two characters)."""


_AT_THE_DOOR: Final = {
    "authentication failed": _POSTGRESQL["28"],
    "no password supplied": _POSTGRESQL["28"],
    "no pg_hba.conf entry": _POSTGRESQL["28"],
    "FATAL:  role": _POSTGRESQL["28"],
    "FATAL:  database": _POSTGRESQL["3D"],
    "too many clients": _POSTGRESQL["53"],
}


@contextmanager
def told(place: str) -> Iterator[None]:
    """Turn what a driver raises into a `StoreError` that says where it failed and what to do; the driver's error is its cause.

    Parameters
    ----------
    place : str
        The store, as a person names it. [-]

    Raises
    ------
    StoreError
        If the database fails.
    """
    try:
        yield
    except Exception as error:
        said = _said(error)
        if said is None:
            raise
        raise StoreError(f"{place}: {said}") from error


def _said(error: BaseException) -> str | None:
    """Return what to tell of an error, None where it is not the database's."""
    driver = getattr(error, "orig", None) or error
    if isinstance(driver, sqlite3.Error):
        code = getattr(driver, "sqlite_errorcode", None)
        known = None if code is None else _SQLITE.get(code & 0xFF)
        return known or f"SQLite failed ({driver}). {_NOTHING_LOST}"
    if isinstance(driver, UnicodeDecodeError):
        # All text of a store is UTF-8: what is none, be it only in a message of the database, was not written by it.
        return _DAMAGED
    module = type(driver).__module__.partition(".")[0]
    if module == "psycopg":
        state = getattr(driver, "sqlstate", None)
        known = None if state is None else _POSTGRESQL.get(state) or _POSTGRESQL.get(state[:2])
        first = str(driver).strip().partition("\n")[0]
        if known is None and state is None:
            # Before a connection stands the driver gives no state, only the server's own words.
            known = next((words for said, words in _AT_THE_DOOR.items() if said in first), _GONE)
        return f"{known} (It says: {first})" if known else f"PostgreSQL failed ({first}). {_NOTHING_LOST}"
    if module == "sqlalchemy":
        return f"the database failed ({driver}). {_NOTHING_LOST}"
    return None
