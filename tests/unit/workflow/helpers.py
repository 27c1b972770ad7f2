"""An inventory in memory, and a mapping for it."""

import tomllib
from collections.abc import Mapping, Sequence

from mainwright.errors import InputError
from mainwright.job.columns import TABLES
from mainwright.words.wording import Wording
from mainwright.workflow.mapping import InventoryMapping
from mainwright.workflow.mapping_reader import mapping_of
from mainwright.workflow.source import Line, SourceRow, SourceTable
from mainwright.workflow.taking_in import TakenIn, take_in

__all__ = ["MAPPING", "MemoryInventory", "mapped", "notes", "pipes", "taken"]

ROWS = {name: table for name, table in TABLES.items() if not table.is_toml}

MAPPING = """
[main.columns]
from_m = "FROM"
to_m = "TO"
dn = { column = "DIAM", unknown = ["0"] }
material = { column = "MAT", values = { CI = "grey_iron", DI = "ductile_iron", ST = "steel" } }
year = "YEAR"
"""


class MemoryInventory:
    """Tables by name; the empty name is the first."""

    def __init__(self, tables: Mapping[str, Sequence[Mapping[str, str]]], lines: Sequence[Line] = (), crs: str = "") -> None:
        self.tables = tables
        self.lines = lines
        self.crs = crs

    def table(self, name: str | None, *, only: tuple[str, str] | None, encoding: str, wkt: str) -> SourceTable:
        del encoding, wkt
        content = self.tables[name or ""]
        lines = self.lines or [()] * len(content)
        rows = [SourceRow(number + 2, cells, line) for number, (cells, line) in enumerate(zip(content, lines, strict=False))]
        if only is not None:
            rows = [row for row in rows if row.cells[only[0]] == only[1]]
        return SourceTable(name or "pipes", tuple(content[0]) if content else (), rows, crs=self.crs)

    def metric(self, crs: str) -> bool:
        return crs != "degrees"

    def project(self, points: Sequence[tuple[float, float]], *, crs: str, to: str) -> tuple[Line, str]:
        if crs != "degrees":
            raise InputError("crs", crs, "", "degrees")
        return tuple((x * 1000.0, y * 1000.0) for x, y in points), to or "metres"


def mapped(text: str) -> InventoryMapping:
    """Return the mapping of a TOML text."""
    return mapping_of(tomllib.loads(text), tables=tuple(ROWS.values()), sections=("job", "lining"))


def taken(inventory: MemoryInventory, text: str = MAPPING, main: str | None = None) -> TakenIn:
    """Take an inventory in."""
    return take_in(inventory, mapped(text), tables=ROWS, main=main)


def pipes(*rows: str) -> MemoryInventory:
    """Return an inventory of pipes: ``FROM TO DIAM MAT YEAR`` with a dash for an empty cell."""
    heads = ("FROM", "TO", "DIAM", "MAT", "YEAR")
    return MemoryInventory({"": [dict(zip(heads, (cell.replace("-", "") for cell in row.split()), strict=True)) for row in rows]})


def notes(result: TakenIn, code: str) -> list[str]:
    """Return what was told under a code, with the lines."""
    word = Wording().word
    return [f"{','.join(map(str, one.lines))}: {word(one.message)}" for one in result.report.noted if one.code == code]
