"""The values of an entry of the library as files of a job folder: read with every fault at its cell, written so that they come back as they were."""

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from mainwright.folder.limits import CSV_LIMITS, MOST_BYTES_TOML
from mainwright.folder.located import LocatedFault
from mainwright.folder.reading import read_files
from mainwright.folder.writing import folder_bytes
from mainwright.job.column import Plain
from mainwright.job.columns import TABLES
from mainwright.job.document import Document
from mainwright.job.faults import Rows
from mainwright.job.table import harmless_text
from mainwright.words.message import message
from mainwright.workflow.library_parts import KINDS, Kind, ReadEntry, Tables, check_part, keys_of, part_of

__all__ = ["EntryFiles"]

_NAMES: Final = {"job.toml": "specification.toml"}
"""What a file is called when it leaves, where that is not its name in a folder."""


@dataclass(frozen=True, slots=True)
class EntryFiles:
    """Reads and writes the files of entries."""

    def read(self, kind: Kind, files: Mapping[str, bytes]) -> ReadEntry:
        """Return what files say, with everything that is wrong at once.

        Parameters
        ----------
        kind : str
            Of the entry. [-]
        files : mapping
            Content by name; which table a CSV file is, its heads say. [-]

        Returns
        -------
        ReadEntry
            Tables, faults, and what was left aside.
        """
        named: dict[str, str] = {}
        content: dict[str, bytes] = {}
        told = []
        for name in sorted(files):
            ours = _ours(kind, name, files[name])
            if ours is None or ours in content:
                text = "{file} is none of the files of this kind, or there are two of one: {right} is right."
                told.append((name[:80], 1, "", message(text, file=name[:80], right=", ".join(_files(kind)))))
                continue
            named[ours] = name[:80]
            content[ours] = files[name]
        read = read_files(content)
        tables, aside = part_of(kind, read.document.tables)
        tables = {name: _unguarded(rows) if not TABLES[name].is_toml else rows for name, rows in tables.items()}
        faults = [(named[one.file], one.line, one.column, one.message) for one in read.faults if one.file in named and _concerns(kind, one)]
        if not faults and not told:
            faults = [(named.get(TABLES[one.table].file, ""), 1, one.column or "", one.message) for one in check_part(kind, tables)]
        if not tables and not faults and not told:
            told.append(("", 1, "", message("No value of this kind is in it: {right} is right.", right=", ".join(_files(kind)))))
        left = sorted({*aside, *(one.name for one in read.unknown if one.name)})
        more = (message("Left aside, for it is of one job or not known: {names}.", names=", ".join(left)[:400]),) if left else ()
        return ReadEntry(tables, (*told, *faults), more)

    def write(self, kind: Kind, tables: Tables) -> Mapping[str, bytes]:
        """Return the files that say it, by name.

        Parameters
        ----------
        kind : str
            Of the entry. [-]
        tables : dict
            Its values. [-]

        Returns
        -------
        mapping
            Texts of CSV cells that a spreadsheet would take for a formula have an apostrophe before them; `read` takes it away.
        """
        guarded = {name: _guarded(rows) if not TABLES[name].is_toml else rows for name, rows in tables.items() if name in KINDS[kind]}
        order = {name: place for place, name in enumerate(TABLES)}
        found = folder_bytes(Document({name: guarded[name] for name in sorted(guarded, key=lambda one: order[one])}))
        return {_NAMES.get(name, name): content for name, content in found.items()}


def _files(kind: Kind) -> tuple[str, ...]:
    return tuple(dict.fromkeys(_NAMES.get(TABLES[one].file, TABLES[one].file) for one in KINDS[kind]))


def _ours(kind: Kind, name: str, content: bytes) -> str | None:
    """Return the name in a job folder of a file that somebody brings."""
    mine = {TABLES[one].file: TABLES[one] for one in KINDS[kind]}
    plain = name.lower()
    if plain.endswith(".toml") and len(content) <= MOST_BYTES_TOML:
        return next((file for file in mine if file.endswith(".toml")), None)
    if plain in mine:
        return plain
    if plain.endswith((".csv", ".txt")) and len(content) <= CSV_LIMITS.size:
        heads = _heads(content)
        best = [(len(heads & {column.name for column in table.columns}), file) for file, table in mine.items() if not table.is_toml]
        most = max(best, default=(0, ""))
        return most[1] if most[0] or len(best) == 1 else None
    return None


def _heads(content: bytes) -> set[str]:
    first = content[:4000].decode("utf-8-sig", errors="replace").splitlines()[:1]
    cells = next(csv.reader(io.StringIO(first[0].replace(";", ","))), []) if first else []
    return {cell.strip() for cell in cells}


def _concerns(kind: Kind, fault: LocatedFault) -> bool:
    """Return whether a fault is of what an entry of this kind holds."""
    if not fault.file.endswith(".toml") or not fault.column:
        return True
    for name in KINDS[kind]:
        path = TABLES[name].path
        if fault.column == path:
            return True
        if fault.column.startswith(f"{path}."):
            return fault.column.removeprefix(f"{path}.").split(".")[0] in keys_of(name)
    return False


def _guarded(rows: Rows) -> Rows:
    return [{name: _guard(value) for name, value in row.items()} for row in rows]


def _guard(value: Plain) -> Plain:
    if not isinstance(value, str):
        return value
    return f"'{value}" if _begins(value) else value


def _unguarded(rows: Rows) -> Rows:
    return [
        {name: value[1:] if isinstance(value, str) and value[:1] == "'" and _begins(value) else value for name, value in row.items()}
        for row in rows
    ]


def _begins(text: str) -> bool:
    """Return whether a text could begin a formula, apostrophes before it not counted: so that taking one away undoes putting one there."""
    plain = text.lstrip("'")
    return harmless_text(plain) != plain
