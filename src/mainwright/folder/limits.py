"""How much of a file is read: more is a fault, not a wait."""

from dataclasses import dataclass
from typing import Final

__all__ = [
    "CSV_LIMITS",
    "DEEPEST",
    "MOST_BYTES_MAP",
    "MOST_BYTES_TOML",
    "MOST_FAULTS",
    "MOST_POINTS",
    "MOST_TOML_ROWS",
    "READINGS_LIMITS",
    "Limits",
]


@dataclass(frozen=True, slots=True)
class Limits:
    """Most bytes and most rows of a table, most characters of a cell, most columns."""

    size: int
    rows: int
    cell: int = 2000
    columns: int = 200


CSV_LIMITS: Final = Limits(size=16 * 1024 * 1024, rows=50_000)
"""Of a table of the job: a main of 50 km with a feature each metre."""

READINGS_LIMITS: Final = Limits(size=256 * 1024 * 1024, rows=2_000_000)
"""Of the readings of one run: ten a second for two days."""

MOST_BYTES_TOML: Final = 256 * 1024
MOST_BYTES_MAP: Final = 16 * 1024 * 1024
MOST_POINTS: Final = 100_000
"""Points of the line on the map."""

DEEPEST: Final = 32
"""Brackets within brackets in a TOML or JSON file."""

MOST_TOML_ROWS: Final = 1000
"""Rows of a list of tables in a TOML file."""

MOST_FAULTS: Final = 1000
"""Faults told of one file; whoever has more has one cause."""
