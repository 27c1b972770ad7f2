"""A document to the bytes of a job folder, and those to the disk: all of them or none."""

import csv
import io
import json
import shutil
import tempfile
from datetime import date
from pathlib import Path
from typing import Any, Final

from mainwright.errors import InputError
from mainwright.folder.alignment import geojson_bytes
from mainwright.job.column import Plain, Table
from mainwright.job.columns import TABLES
from mainwright.job.document import Document
from mainwright.job.faults import Row
from mainwright.job.table import cell_text, number_text

__all__ = ["folder_bytes", "write_folder"]

_BARE: Final = frozenset("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-")


def _header(document: Document, table: Table) -> list[str]:
    """Return the columns of a CSV file: those that it had, or else all that are filled or required."""
    rows = document.rows(table.name)
    filled = {name for row in rows for name, value in row.items() if value not in (None, "")}
    names = list(document.headers.get(table.name, ()))
    if not names and not rows:
        return [column.name for column in table.columns]
    known = [column.name for column in table.columns if column.name in filled or column.required]
    names += [name for name in known if name not in names]
    return names + sorted(filled - set(names))


def _csv_bytes(document: Document, table: Table) -> bytes:
    header = _header(document, table)
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    writer.writerows([cell_text(row.get(name)) for name in header] for row in document.rows(table.name))
    return out.getvalue().encode()


def _key(name: str) -> str:
    return name if name and set(name) <= _BARE else json.dumps(name, ensure_ascii=False).replace("\x7f", "\\u007f")


def _toml_value(value: Any, *, real: bool = False) -> str:  # noqa: ANN401 - any JSON-able value
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        text = number_text(value)
        return f"{text}.0" if (real or isinstance(value, float)) and text.lstrip("-").isdigit() else text
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, list):
        return "[" + ", ".join(_toml_value(one) for one in value) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_key(name)} = {_toml_value(one)}" for name, one in value.items()) + " }" if value else "{}"
    return '""'


def _is_day(value: Plain) -> bool:
    try:
        return isinstance(value, str) and date.fromisoformat(value).isoformat() == value
    except ValueError:
        return False


def _pairs(table: Table, row: Row) -> list[str]:
    """Return the keys of one table, known ones in canonical order and then the others."""
    pairs = []
    for column in table.columns:
        value: Plain = row.get(column.name)
        if value in (None, "") or column.kind == "rows":
            continue
        # What is no day was typed wrong: it stays as it was typed, in quotes, so that the fault stands at its key and the file can be read.
        bare = column.kind == "date" and _is_day(value)
        text = str(value) if bare else _toml_value(value, real=column.kind == "number")
        pairs.append(f"{column.name} = {text}")
    known = {column.name for column in table.columns}
    return pairs + [f"{_key(name)} = {_toml_value(row[name])}" for name in sorted(row) if name not in known and row[name] is not None]


def _toml_bytes(document: Document, file: str) -> bytes:
    parts: list[str] = []
    for table in TABLES.values():
        if table.file != file or "." in table.path:
            continue
        rows = document.rows(table.name)
        if table.name not in document.tables and any(document.rows(one.name) for one in table.columns if one.kind == "rows"):
            # A table that says nothing but its lists has to stand all the same.
            rows = [{}]
        for row in rows:
            lines = [f"[[{table.path}]]" if table.shape == "rows" else f"[{table.path}]", *_pairs(table, row)]
            for column in table.columns:
                inner = document.rows(column.name) if column.kind == "rows" else []
                if inner:
                    lines.append(f"{column.name} = [")
                    lines += [f"    {{ {', '.join(_pairs(TABLES[column.name], one))} }}," for one in inner]
                    lines.append("]")
            parts.append("\n".join(lines) + "\n")
    extra = document.extra.get(file, {})
    plain = [f"{_key(name)} = {_toml_value(value)}\n" for name, value in extra.items()]
    # Keys that belong to no table stand before the first header, or they would belong to it.
    return "\n".join(["".join(plain), *parts] if plain else parts).encode()


def folder_bytes(document: Document) -> dict[str, bytes]:
    """Return the canonical files of a job folder.

    Parameters
    ----------
    document : Document
        The tables. [-]

    Returns
    -------
    dict
        Content by name of the file, in canonical order.
    """
    files: dict[str, bytes] = {}
    for name, table in TABLES.items():
        if name not in document.tables or table.file in files:
            continue
        files[table.file] = _toml_bytes(document, table.file) if table.is_toml else _csv_bytes(document, table)
    for file in document.extra:
        files.setdefault(file, _toml_bytes(document, file))
    if document.alignment:
        files["alignment.geojson"] = geojson_bytes(dict(document.alignment))
    return files


def write_folder(document: Document, path: Path) -> None:
    """Write a job folder; either all of it is there afterwards or nothing is.

    Parameters
    ----------
    document : Document
        The tables. [-]
    path : Path
        The folder: not there yet, or empty. [-]

    Raises
    ------
    InputError
        If something is there already.
    """
    if path.exists() and (not path.is_dir() or any(path.iterdir())):
        raise InputError("folder", str(path), "", "a folder that does not exist yet or is empty")
    files = folder_bytes(document)
    path.parent.mkdir(parents=True, exist_ok=True)
    made = Path(tempfile.mkdtemp(prefix=f".{path.name}.", dir=path.parent))
    try:
        for name, content in files.items():
            (made / name).write_bytes(content)
        made.chmod(0o755)
        made.replace(path)
    except BaseException:
        shutil.rmtree(made, ignore_errors=True)
        raise
