"""What somebody pastes out of a spreadsheet or a file: cells, their heads where they have any, and the column that each head means."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from mainwright.job.faults import nearest
from mainwright.job.table import read_cell
from mainwright.words.message import Message

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mainwright.job.column import Column

__all__ = ["Pasted", "meant_columns", "read_pasted"]

_MARKS: Final = ("\t", ";", ",", "|")
_LOOKED_AT: Final = 50
"""Rows by which the mark between the cells is chosen."""

_QUOTED: Final = re.compile(r'"((?:[^"]|"")*)"')
_ONE_NUMBER: Final = re.compile(r"\s*[-+−]?\d+(?:,\d+)?\s*")
_WORDS: Final = {
    "from": "from_m", "start": "from_m", "begin": "from_m", "von": "from_m", "anfang": "from_m",
    "to": "to_m", "end": "to_m", "until": "to_m", "bis": "to_m", "ende": "to_m",
    "chainage": "chainage_m", "station": "chainage_m", "stationierung": "chainage_m", "km": "", "meter": "chainage_m",
    "nominal": "dn", "diameter": "dn", "nennweite": "dn", "dn": "dn", "bore": "bore_mm", "innendurchmesser": "bore_mm",
    "material": "material", "werkstoff": "material", "year": "year", "baujahr": "year", "jahr": "year",
    "wall": "wall_mm", "wanddicke": "wall_mm", "deposit": "deposit_mm", "ablagerung": "deposit_mm", "roughness": "roughness_mm", "rauheit": "roughness_mm",
    "kind": "kind", "type": "kind", "art": "kind", "angle": "angle_deg", "winkel": "angle_deg", "radius": "radius_mm",
    "opening": "opening", "state": "state", "zustand": "state", "note": "note", "remark": "note", "bemerkung": "note", "name": "ref", "ref": "ref", "nr": "ref",
    "surface": "surface", "oberfläche": "surface", "cover": "cover_m", "deckung": "cover_m", "überdeckung": "cover_m", "dig": "dig",
    "side": "side", "seite": "side", "size": "size_mm", "use": "use", "nutzung": "use", "live": "live", "dwellings": "dwellings", "wohnungen": "dwellings",
    "pressure": "pressure_bar", "druck": "pressure_bar", "flow": "flow_l_s", "item": "item", "position": "item", "unit": "unit", "einheit": "unit", "rate": "rate", "preis": "rate", "price": "rate",
}  # fmt: skip
"""Words that heads of spreadsheets use, by the column that is meant."""


@dataclass(frozen=True, slots=True)
class Pasted:
    """What was pasted.

    Attributes
    ----------
    header
        Heads, empty where the first row holds values.
    rows
        Cells, every row as long as the longest.
    meant
        For each place the column that it seems to be, empty where none is.
    """

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    meant: tuple[str, ...]


def read_pasted(text: str, columns: Sequence[Column], *, mark: str = "") -> Pasted:
    r"""Return the cells of a pasted text.

    Parameters
    ----------
    text : str
        Cells parted by tabs, semicolons, commas or bars: by the mark that parts most of the rows. [-]
    columns : sequence of Column
        Of the table into which it is pasted. [-]
    mark : str
        What parts the cells, where it is known. [-]

    Returns
    -------
    Pasted
        Without rows that hold nothing.

    Examples
    --------
    >>> from mainwright.job.columns import TABLES
    >>> read_pasted("von\tbis\tDN\n0\t12,5\t100\n", TABLES["main"].columns).meant
    ('from_m', 'to_m', 'dn')
    """
    plain = text.removeprefix("\ufeff").replace("\0", "").replace("\r\n", "\n").replace("\r", "\n")
    found = [[cell.strip() for cell in cells] for cells in _cells(plain, mark or _mark(plain))]
    rows = [cells for cells in found if any(cells)]
    wide = max((len(cells) for cells in rows), default=0)
    rows = [cells + [""] * (wide - len(cells)) for cells in rows]
    if rows and _is_header(rows[0], columns):
        return Pasted(tuple(rows[0]), tuple(map(tuple, rows[1:])), meant_columns(rows[0], columns))
    names = [column.name for column in columns][:wide]
    return Pasted((), tuple(map(tuple, rows)), (*names, *[""] * (wide - len(names))))


def _mark(text: str) -> str:
    """Return the mark between the cells: the one that most rows hold, then the one that parts them most."""
    lines = [line for line in text.split("\n") if line.strip()][:_LOOKED_AT]
    if all(_ONE_NUMBER.fullmatch(line) for line in lines):
        return "\t"  # one column of numbers with decimal commas
    return max(_MARKS, key=lambda one: (sum(one in line for line in lines), sum(line.count(one) for line in lines), -_MARKS.index(one)))


def _cells(text: str, mark: str) -> list[list[str]]:
    """Return the cells of each row. A quote opens a cell only where another one closes it before a mark or an end: anywhere else it is text."""
    plain = re.compile(rf"[^{re.escape(mark)}\n]*")
    rows: list[list[str]] = [[]]
    place = 0
    while place <= len(text):
        quoted = _QUOTED.match(text, place)
        if quoted and (quoted.end() == len(text) or text[quoted.end()] in (mark, "\n")):
            cell, place = quoted[1].replace('""', '"'), quoted.end()
        else:
            found = plain.match(text, place)
            cell, place = ("", place) if found is None else (found[0], found.end())
        rows[-1].append(cell)
        if place < len(text) and text[place] == "\n":
            rows.append([])
        place += 1
    return rows


def _is_header(cells: Sequence[str], columns: Sequence[Column]) -> bool:
    """Return whether a row names columns: it does where more of it are names than could be values of the columns in their order."""
    named = sum(bool(one) for one in meant_columns(cells, columns))
    could = sum(
        bool(cell) and not isinstance(read_cell(column, cell, decimal_comma=True), Message)
        for cell, column in zip(cells, columns, strict=False)
        if column.kind != "text"
    )
    return named > could


def meant_columns(heads: Sequence[str], columns: Sequence[Column]) -> tuple[str, ...]:
    """Return for each head the column that it seems to mean, each column once; empty where none is."""
    names = [column.name for column in columns]
    taken: set[str] = set()
    meant: list[str] = []
    for head in heads:
        plain = head.strip().lower()
        exact = plain.replace(" ", "_")
        found = exact if exact in names else ""
        if not found:
            words = re.findall(r"[^\W\d_]+", plain)
            found = next((_WORDS[word] for word in words if _WORDS.get(word) in names), "")
        if not found and not re.search(r"\d", plain) and len(plain) > 2:
            found = nearest(plain, names) or ""
        if found in taken:
            found = ""
        taken.add(found)
        meant.append(found)
    return tuple(meant)
