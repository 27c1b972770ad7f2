"""Bytes of a CSV file to cells with their lines, for every dialect that spreadsheets write."""

import csv
import io
from dataclasses import dataclass, field
from typing import Final

from mainwright.folder.limits import Limits
from mainwright.folder.located import LocatedFault, located
from mainwright.job.faults import nearest
from mainwright.job.table import shown

__all__ = ["CsvText", "decoded", "read_csv_text"]

_UTF16: Final = (b"\xff\xfe", b"\xfe\xff")


@dataclass(slots=True)
class CsvText:
    """Cells of a CSV file.

    Attributes
    ----------
    header, header_line
        Names of the columns, and the line where they stand.
    rows
        Line and cells of each row; no cells where the row is not as long as the header.
    decimal_comma
        Whether semicolons stand between the cells, so that a decimal comma is allowed.
    faults
        What is wrong with the file as text.
    readable
        Whether there is a header that can be used.
    complete
        Whether the file was read to its end.
    """

    header: tuple[str, ...] = ()
    header_line: int = 1
    rows: list[tuple[int, list[str] | None]] = field(default_factory=list)
    decimal_comma: bool = False
    faults: list[LocatedFault] = field(default_factory=list)
    readable: bool = False
    complete: bool = True


def decoded(file: str, data: bytes, limit: int) -> str | LocatedFault:
    """Return the text of a file, or what is wrong with its bytes.

    Parameters
    ----------
    file : str
        Path within the job folder. [-]
    data : bytes
        Its content. [-]
    limit : int
        Most bytes. [-]

    Returns
    -------
    str or LocatedFault
        The text without a byte order mark, or the fault.
    """
    if len(data) > limit:
        return located(file, 1, "", "the file has {n} {n:byte/bytes}: at most {most} are right", n=len(data), most=limit)
    if data.startswith(_UTF16):
        return located(file, 1, "", "the file is UTF-16: saved as UTF-8 it is right")
    if data.startswith(b"PK\x03\x04"):
        return located(file, 1, "", "the file is a workbook or a ZIP archive: a text file is right, exported from it")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        return located(file, line, "", "a character is not UTF-8: saved as UTF-8 the file is right")
    place = text.find("\0")
    if place >= 0:
        return located(file, text.count("\n", 0, place) + 1, "", "the file holds a NUL character: plain text is right")
    return text


def _delimiter(text: str) -> str:
    quoted = False
    counts = {",": 0, ";": 0}
    for char in text[:100_000]:
        if char == '"':
            quoted = not quoted
        elif not quoted:
            if char in "\r\n" and any(counts.values()):
                break
            if char in counts:
                counts[char] += 1
    return ";" if counts[";"] > counts[","] else ","


def _check_header(file: str, cells: list[str], known: tuple[str, ...], found: CsvText, most: int) -> None:
    line = found.header_line
    names = [cell.strip() for cell in cells]
    while names and not names[-1]:
        names.pop()
    if len(names) > most:
        found.faults.append(
            located(file, line, "", "the header has {n} {n:column/columns}: at most {most} are right", n=len(names), most=most)
        )
        return
    sound = True
    seen: set[str] = set()
    for place, name in enumerate(names):
        if not name:
            found.faults.append(located(file, line, "", "column {n} has no name: a name is right", n=place + 1))
        elif "\t" in name:
            found.faults.append(located(file, line, "", "tabs stand between the names: commas or semicolons are right"))
            sound = False
        elif name in seen:
            found.faults.append(located(file, line, shown(name), "the column stands twice: once is right"))
        elif len(name) > 100 or not name.isprintable():
            found.faults.append(located(file, line, shown(name), "it is no name of a column: at most 100 plain characters are right"))
            sound = False
        seen.add(name)
    if sound and not seen & set(known):
        near = nearest(names[0], known) if names else None
        text = (
            "no column of this file is named in its first line: {known} is right"
            if near is None
            else "no column is known: {known} is right"
        )
        found.faults.append(located(file, line, "", text, known=",".join(known)))
        sound = False
    found.header = tuple(names)
    found.readable = sound


def read_csv_text(file: str, data: bytes, known: tuple[str, ...], limits: Limits) -> CsvText:
    """Return the cells of a CSV file with their lines, and what is wrong with it as text.

    Parameters
    ----------
    file : str
        Path within the job folder. [-]
    data : bytes
        Its content. [-]
    known : tuple of str
        Columns that the file may have. [-]
    limits : Limits
        How much of it is read. [-]

    Returns
    -------
    CsvText
        Header, rows and faults.
    """
    found = CsvText()
    text = decoded(file, data, limits.size)
    if isinstance(text, LocatedFault):
        found.faults.append(text)
        return found
    if text.count("\n") > 2 * limits.rows:
        found.faults.append(_too_long(file, limits))
        return found
    delimiter = _delimiter(text)
    found.decimal_comma = delimiter == ";"
    csv.field_size_limit(1024 * 1024)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    line = 0
    try:
        for cells in reader:
            begin, line = line + 1, reader.line_num
            if any(cell.strip() for cell in cells) and not _take(file, begin, cells, known, found, limits):
                return found
    except csv.Error as error:
        found.faults.append(_quoting(file, line + 1, str(error), limits))
        found.complete = False
    if not found.header and not found.faults:
        found.faults.append(located(file, 1, "", "the file is empty: a first line with the names of the columns is right"))
    return found


def _take(file: str, line: int, cells: list[str], known: tuple[str, ...], found: CsvText, limits: Limits) -> bool:  # noqa: PLR0917 - one loop's state
    """Take the header or a row; return False where enough was read."""
    if found.header:
        return _add_row(file, line, cells, found, limits)
    found.header_line = line
    _check_header(file, cells, known, found, limits.columns)
    return found.readable


def _too_long(file: str, limits: Limits) -> LocatedFault:
    text = "the file has more than {most} rows: at most that many are right; nothing of it was read"
    return located(file, limits.rows + 2, "", text, most=limits.rows)


def _quoting(file: str, line: int, why: str, limits: Limits) -> LocatedFault:
    if why.startswith("unexpected"):
        return located(file, line, "", "a quotation mark that opens here is not closed: a pair is right")
    if why.startswith("field"):
        return located(file, line, "", "a cell has more than {most} characters", most=limits.cell)
    return located(file, line, "", "a quotation mark stands within a cell: doubled, and the cell quoted, it is right")


def _add_row(file: str, line: int, cells: list[str], found: CsvText, limits: Limits) -> bool:
    """Add a row; return False where enough was read."""
    width = len(found.header)
    while len(cells) > width and not cells[-1].strip():
        cells.pop()
    if len(found.rows) >= limits.rows:
        found.faults.append(_too_long(file, limits))
        found.complete = found.readable = False
        return False
    if len(cells) != width:
        text = "the row has {n} {n:cell/cells} and the header {width}: as many are right"
        if len(cells) > width and not found.decimal_comma:
            text = "the row has {n} {n:cell/cells} and the header {width}: as many are right (a decimal comma needs semicolons between the cells)"
        found.faults.append(located(file, line, "", text, n=len(cells), width=width))
        found.rows.append((line, None))
    else:
        found.rows.append((line, cells))
    return True
