"""Wires what belongs to the machine: files of states."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["log_file"]


def log_file() -> Path:
    """Return the file that keeps the traces of unforeseen failures, its folder made.

    Returns
    -------
    Path
        In the user's folder for states.
    """
    import os
    from pathlib import Path

    base = os.environ.get("XDG_STATE_HOME") or os.environ.get("LOCALAPPDATA") or str(Path.home() / ".local" / "state")
    folder = Path(base) / "mainwright"
    folder.mkdir(parents=True, exist_ok=True)
    return folder / "mainwright.log"
