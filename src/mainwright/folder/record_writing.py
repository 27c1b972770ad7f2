"""Rows that are added to files of ``records/``: what stands there stays as it is, row by row; each file is replaced at once or not at all."""

import contextlib
import csv
import io
import os
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from pathlib import Path

from mainwright.errors import FaultyInput
from mainwright.folder.csv_text import CsvText, read_csv_text
from mainwright.folder.limits import CSV_LIMITS, READINGS_LIMITS
from mainwright.folder.located import located

__all__ = ["add_rows", "merged"]


def merged(
    data: bytes | None,
    *,
    file: str,
    columns: Sequence[str],
    rows: Iterable[Mapping[str, str]],
    key: Sequence[str],
    in_order_of: str | None = None,
    renew: bool = False,
) -> bytes:
    """Return a file with rows added.

    Parameters
    ----------
    data : bytes or None
        What stands there; None where there is no file. [-]
    file : str
        Its path within the job folder, for faults. [-]
    columns : sequence of str
        Of the new rows. [-]
    rows : iterable of mapping
        New rows: cell by column, with a decimal point. [-]
    key : sequence of str
        Columns that tell one row from another: a row that is there already is not added again. [-]
    in_order_of : str or None
        Column by whose moment all rows are put in order; they stay as they are where one of them is no moment. [-]
    renew : bool
        Whether a row that is there already takes the cells of the new one; what the new one does not tell stays. [-]

    Returns
    -------
    bytes
        With the dialect and the columns of what stood there; columns that were missing stand behind them.

    Raises
    ------
    FaultyInput
        If what stands there is no such table: then somebody has to look at it.
    """
    there = CsvText() if data is None else _read(file, data, tuple(columns))
    names = [*there.header, *(name for name in columns if name not in there.header)]
    kept = [dict(zip(there.header, cells, strict=True)) for _, cells in there.rows if cells is not None]
    comma = there.decimal_comma
    known = {tuple(_plain(row.get(name, ""), comma=comma) for name in key): row for row in kept}
    for row in rows:
        named = tuple(row.get(name, "") for name in key)
        told = {name: cell.replace(".", ",") if comma and _is_number(cell) else cell for name, cell in row.items()}
        if named not in known:
            known[named] = told
            kept.append(told)
        elif renew:
            known[named].update({name: cell for name, cell in told.items() if cell})
    if in_order_of is not None:
        with contextlib.suppress(ValueError, TypeError):
            kept.sort(key=lambda row: datetime.fromisoformat(row.get(in_order_of, "")))
    used = [name for name in names if name in there.header or name in key or any(row.get(name) for row in kept)]
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=";" if there.decimal_comma else ",", lineterminator="\n")
    writer.writerow(used)
    writer.writerows([row.get(name, "") for name in used] for row in kept)
    return out.getvalue().encode()


def _read(file: str, data: bytes, columns: tuple[str, ...]) -> CsvText:
    found = read_csv_text(file, data, columns, READINGS_LIMITS if "/run_" in file else CSV_LIMITS)
    if found.faults or not found.readable or not found.complete or any(cells is None for _, cells in found.rows):
        raise FaultyInput(
            found.faults
            or (
                located(
                    file,
                    1,
                    "",
                    "it cannot be read as a table: a first line with the names of the columns, and rows as long as that, are right",
                ),
            )
        )
    return found


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


def _plain(cell: str, *, comma: bool) -> str:
    changed = cell.replace(",", ".") if comma else cell
    return changed if comma and _is_number(changed) else cell


def add_rows(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files of ``records/``, each at once.

    Parameters
    ----------
    folder : Path
        The job folder. [-]
    files : mapping
        Content by name within ``records/``. [-]
    """
    records = folder / "records"
    records.mkdir(parents=True, exist_ok=True)
    for name, content in files.items():
        target = records / name
        if target.exists() and target.read_bytes() == content:
            continue
        handle, beside = tempfile.mkstemp(prefix=".mainwright-", dir=records)
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(content)
                stream.flush()
                os.fsync(stream.fileno())
            Path(beside).chmod(target.stat().st_mode & 0o777 if target.exists() else 0o644)
            Path(beside).replace(target)
        except BaseException:
            Path(beside).unlink(missing_ok=True)
            raise
