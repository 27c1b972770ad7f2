"""Files of a job folder, brought one by one or in a ZIP, into a document: what is faulty comes along as it stands."""

from __future__ import annotations

import io
import zipfile
from typing import TYPE_CHECKING, Final

from mainwright.folder.alignment import read_geojson, read_geopackage
from mainwright.folder.csv_text import decoded
from mainwright.folder.limits import CSV_LIMITS
from mainwright.folder.located import LocatedFault
from mainwright.folder.reading import TOML_FILES, read_files
from mainwright.job.columns import TABLES
from mainwright.job.document import Document
from mainwright.words.message import Message, message
from mainwright.workflow.editing import Cells, columns_of, with_cells
from mainwright.workflow.pasting import read_pasted

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["bring_files"]

_MOST_ENTRIES: Final = 300
_MOST_UNPACKED: Final = 64_000_000


def bring_files(document: Document, files: Mapping[str, bytes]) -> tuple[Document, tuple[str, ...], tuple[Message, ...]]:
    """Return a document with what files say in place of what it said.

    Parameters
    ----------
    document : Document
        What it was. [-]
    files : mapping
        Content by name, without folders; a ZIP stands for the files in it. [-]

    Returns
    -------
    tuple
        The document; names of the files that were taken; what is to be told of the others.
    """
    told: list[Message] = []
    every: dict[str, bytes] = {}
    for name in sorted(files):
        if name.lower().endswith(".zip"):
            every |= _unpacked(name, files[name], told)
        else:
            every[name] = files[name]
    taken: list[str] = []
    brought = _with_toml(document, {name: content for name, content in every.items() if name in TOML_FILES}, taken, told)
    for name, content in every.items():
        if name.lower().endswith((".geojson", ".json", ".gpkg")):
            line = (read_geopackage if name.lower().endswith(".gpkg") else read_geojson)(name, content)
            if isinstance(line, LocatedFault):
                told.append(line.message)
            else:
                brought = Document(brought.tables, line, brought.extra, brought.headers)
                taken.append(name)
    changed = _csv_cells(every, taken, told)
    told += [
        message("{file} belongs to no job folder: it was left aside.", file=name[:80]) for name in every if name not in taken and not told
    ]
    return with_cells(brought, changed), tuple(taken), tuple(told)


def _with_toml(document: Document, toml: Mapping[str, bytes], taken: list[str], told: list[Message]) -> Document:
    """Return the document with the tables of TOML files in place of its own."""
    if not toml:
        return document
    tables, extra = dict(document.tables), dict(document.extra)
    read = read_files(toml)
    for name in toml:
        mine = [table.name for table in TABLES.values() if table.file == name]
        found = {one: read.document.tables[one] for one in mine if one in read.document.tables}
        if not found:
            told.append(message("{file} cannot be read as TOML: nothing of it was taken.", file=name))
            continue
        for one in mine:
            tables.pop(one, None)
        tables |= found
        extra.pop(name, None)
        if name in read.document.extra:
            extra[name] = read.document.extra[name]
        taken.append(name)
    order = {name: place for place, name in enumerate(TABLES)}
    return Document(
        {name: tables[name] for name in sorted(tables, key=lambda one: order[one])}, document.alignment, extra, document.headers
    )


def _csv_cells(every: Mapping[str, bytes], taken: list[str], told: list[Message]) -> dict[str, Cells]:
    """Return the cells of the CSV files, as they are written."""
    changed: dict[str, Cells] = {}
    for table in TABLES.values():
        if table.is_toml or table.file not in every:
            continue
        text = decoded(table.file, every[table.file], CSV_LIMITS.size)
        if isinstance(text, LocatedFault):
            told.append(text.message)
            continue
        found = read_pasted(text, columns_of(table))
        header = tuple(meant or head for head, meant in zip(found.header or found.meant, found.meant, strict=True))
        changed[table.name] = Cells(header, found.rows)
        taken.append(table.file)
    return changed


def _unpacked(name: str, content: bytes, told: list[Message]) -> dict[str, bytes]:
    """Return the files of a ZIP by their plain names; folders in it do not count, and it is never written to the disk."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            entries = [one for one in archive.infolist() if not one.is_dir()]
            if len(entries) > _MOST_ENTRIES or sum(one.file_size for one in entries) > _MOST_UNPACKED:
                told.append(
                    message(
                        "{file} holds too much: at most {n} files and {size} bytes are right.",
                        file=name[:80],
                        n=_MOST_ENTRIES,
                        size=_MOST_UNPACKED,
                    )
                )
                return {}
            found: dict[str, bytes] = {}
            room = _MOST_UNPACKED
            for one in entries:
                if "records/" in one.filename:
                    continue
                with archive.open(one) as file:
                    data = file.read(room + 1)
                room -= len(data)
                if room < 0:
                    told.append(
                        message(
                            "{file} holds too much: at most {n} files and {size} bytes are right.",
                            file=name[:80],
                            n=_MOST_ENTRIES,
                            size=_MOST_UNPACKED,
                        )
                    )
                    return {}
                found[one.filename.replace("\\", "/").rpartition("/")[2]] = data
            return found
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, ValueError, OSError):
        told.append(message("{file} is no ZIP that can be opened.", file=name[:80]))
        return {}
