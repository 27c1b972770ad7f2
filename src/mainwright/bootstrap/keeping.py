"""Wires the store."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mainwright.store.store import DatabaseStore

__all__ = ["open_store", "store_place"]


def store_place() -> str:
    """Return where the store is: what ``MAINWRIGHT_STORE`` says, a path or a URL ``postgresql://...``, else a file in the user's folder for data.

    Returns
    -------
    str
        Path or URL.
    """
    import os
    from pathlib import Path

    given = os.environ.get("MAINWRIGHT_STORE", "").strip()
    if given:
        return given
    base = os.environ.get("XDG_DATA_HOME") or os.environ.get("LOCALAPPDATA") or str(Path.home() / ".local" / "share")
    return str(Path(base) / "mainwright" / "mainwright.sqlite")


def open_store(place: str | None = None) -> DatabaseStore:
    """Return the store, made or brought to the present schema where need be; close it when it is no longer needed, or use it in ``with``.

    Parameters
    ----------
    place : str, optional
        Path or URL; else that of `store_place`.

    Returns
    -------
    DatabaseStore
        Jobs, records and the logs of runs.

    Raises
    ------
    StoreError
        If it cannot be opened.
    """
    from datetime import UTC, datetime

    from mainwright.store.store import DatabaseStore

    return DatabaseStore(place or store_place(), clock=lambda: datetime.now(UTC))
