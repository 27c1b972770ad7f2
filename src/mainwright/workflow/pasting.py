"""What somebody pastes out of a spreadsheet or a file: cells, their heads where they have any, and the column that each head means."""

from __future__ import annotations

import csv
import io
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


def read_pasted(text: str, columns: Sequence[Column]) -> Pasted:
    r"""Return the cells of a pasted text.

    Parameters
    ----------
    text : str
        Cells parted by tabs, semicolons, commas or bars; the mark that parts most in the first row. [-]
    columns : sequence of Column
        Of the table into which it is pasted. [-]

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
    plain = text.removeprefix("\ufeff").replace("\0", "")
    first = next((line for line in plain.splitlines() if line.strip()), "")
    mark = max(_MARKS, key=lambda one: (first.count(one), -_MARKS.index(one)))
    csv.field_size_limit(1 << 20)
    try:
        found = [[cell.strip() for cell in cells] for cells in csv.reader(io.StringIO(plain, newline=""), delimiter=mark)]
    except csv.Error:
        found = [[cell.strip() for cell in line.split(mark)] for line in plain.splitlines()]
    rows = [cells for cells in found if any(cells)]
    wide = max((len(cells) for cells in rows), default=0)
    rows = [cells + [""] * (wide - len(cells)) for cells in rows]
    if rows and _is_header(rows[0], columns):
        return Pasted(tuple(rows[0]), tuple(map(tuple, rows[1:])), meant_columns(rows[0], columns))
    names = [column.name for column in columns][:wide]
    return Pasted((), tuple(map(tuple, rows)), (*names, *[""] * (wide - len(names))))


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
