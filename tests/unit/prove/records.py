"""Readings of runs that were driven as planned, but for what a test changes."""

from datetime import UTC, datetime

from mainwright.demo.records import Rig, as_planned, drive, run_file

__all__ = ["Rig", "as_planned", "csv_bytes", "drive"]

BEGIN = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)


def csv_bytes(rows: list[tuple[float, float, float | None]]) -> bytes:
    """Return the rows as a file ``run_<id>.csv``."""
    return run_file(rows, BEGIN)
