"""Text to cell, cell to text, and whether a value may stand in its column."""

import math
import re
from collections.abc import Callable
from datetime import date, datetime, time
from typing import Final

from mainwright.job.column import Column, Plain
from mainwright.job.faults import nearest
from mainwright.units import UNITS, significant, to_si
from mainwright.words.message import Message, Quantity, message

__all__ = ["LONGEST_TEXT", "cell_text", "check_value", "harmless_text", "number_text", "quantity", "read_cell", "shown"]

LONGEST_TEXT: Final = 2000
"""Most characters in one cell."""

_NUMBER: Final = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_NOT_FINITE: Final = frozenset({"nan", "inf", "infinity", "#div/0!", "#n/a", "#value!", "#ref!", "#num!", "#wert!", "#nv"})
_YES_NO: Final = {"yes": True, "no": False}
_BEGINS_FORMULA: Final = frozenset("=+-@＝＋－＠")
_LONGEST_NUMBER: Final = 40
_YEARS: Final = (1800, 2200)
_MOST_POINTS: Final = 1000


def shown(text: object) -> str:
    """Return what was written, short enough for a message and without control characters.

    Parameters
    ----------
    text : object
        What was written. [-]

    Returns
    -------
    str
        At most forty characters of it.
    """
    if isinstance(text, int) and not isinstance(text, bool) and abs(text) >= 10**40:
        return "a number of very many digits"
    plain = "".join(char if char.isprintable() else "\N{REPLACEMENT CHARACTER}" for char in str(text)[:41])
    return plain if len(plain) <= 40 else plain[:39] + "…"


def quantity(column: Column, value: float) -> Quantity:
    """Return a value of a column, in the unit of the file, as a quantity for a message.

    Parameters
    ----------
    column : Column
        Its column. [-]
    value : float
        In the unit of the file. [unit]

    Returns
    -------
    Quantity
        The same in SI.
    """
    unit = column.unit if column.unit in UNITS else ""
    return Quantity(to_si(value, unit), unit)


def number_text(value: float) -> str:
    """Return a number as it leaves the program: ten significant digits, no superfluous zero.

    Parameters
    ----------
    value : float
        Any finite number. [any]

    Returns
    -------
    str
        The shortest text of it.

    Examples
    --------
    >>> number_text(12.50), number_text(80.0)
    ('12.5', '80')
    """
    rounded = significant(value)
    if rounded == int(rounded) and abs(rounded) < 1e15:
        return str(int(rounded))
    return repr(rounded)


def _out_of_range(column: Column, value: float) -> Message | None:
    low, high = column.low, column.high
    if low is not None and (value < low or (column.low_open and value == low)):
        text = "{found} is too small: over {limit} is right" if column.low_open else "{found} is too small: at least {limit} is right"
        return message(text, found=quantity(column, value), limit=quantity(column, low))
    if high is not None and (value > high or (column.high_open and value == high)):
        text = "{found} is too large: under {limit} is right" if column.high_open else "{found} is too large: at most {limit} is right"
        return message(text, found=quantity(column, value), limit=quantity(column, high))
    return None


def _finite(value: object) -> float | Message:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return message("{found} is no number: a plain number is right, without quotes or unit", found=shown(value))
    if isinstance(value, int) and abs(value) > 10**15:
        return message("{found} is too large a number", found=shown(value))
    if not math.isfinite(value):
        return message("{found} is not finite: a finite number is right, or nothing where it is not known", found=shown(value))
    return significant(float(value))


def _check_number(column: Column, value: object) -> Plain | Message:
    number = _finite(value)
    if isinstance(number, Message):
        return number
    return _out_of_range(column, number) or number


def _check_integer(column: Column, value: object) -> Plain | Message:
    number = _finite(value)
    if isinstance(number, Message):
        return number
    if number != int(number):
        return message("{found} is no whole number: a whole number is right", found=shown(value))
    return _out_of_range(column, number) or int(number)


def _check_text(_column: Column, value: object) -> Plain | Message:
    if not isinstance(value, str):
        return message("{found} is no text: text in quotes is right", found=shown(value))
    if len(value) > LONGEST_TEXT:
        return message("the text has {n} {n:character/characters}: at most {most} are right", n=len(value), most=LONGEST_TEXT)
    if any(char < " " and char not in "\t\n" for char in value):
        return message("{found} holds a control character: plain text is right", found=shown(value))
    return value.strip()


def _check_choice(column: Column, value: object) -> Plain | Message:
    if isinstance(value, str) and value in column.choices:
        return value
    choices = ", ".join(column.choices)
    near = nearest(value, column.choices) if isinstance(value, str) else None
    if near:
        return message(
            "{found} is not known: {near} is meant, perhaps; one of {choices} is right", found=shown(value), near=near, choices=choices
        )
    return message("{found} is not known: one of {choices} is right", found=shown(value), choices=choices)


def _check_choices(column: Column, value: object) -> Plain | Message:
    if not isinstance(value, list):
        return message("{found} is no list: a list in brackets is right", found=shown(value))
    checked: list[Plain] = []
    for one in value:
        right = _check_choice(column, one)
        if isinstance(right, Message):
            return right
        if right in checked:
            return message("{found} stands twice: once is right", found=shown(one))
        checked.append(right)
    return checked


def _check_date(_column: Column, value: object) -> Plain | Message:
    if isinstance(value, str) and len(value) == 10:
        try:
            value = date.fromisoformat(value)
        except ValueError:
            value = str(value)
    if not isinstance(value, date) or isinstance(value, datetime):
        return message("{found} is no day: year-month-day is right, as 2026-04-13", found=shown(value))
    if not _YEARS[0] <= value.year <= _YEARS[1]:
        return message(
            "{found} is not a day of these times: a year from {low} to {high} is right", found=shown(value), low=_YEARS[0], high=_YEARS[1]
        )
    return value.isoformat()


def _check_time(_column: Column, value: object) -> Plain | Message:
    if isinstance(value, str) and re.fullmatch(r"[0-9]{2}:[0-9]{2}(:[0-9]{2})?", value):
        try:
            value = time.fromisoformat(value)
        except ValueError:
            value = str(value)
    if not isinstance(value, time) or value.tzinfo is not None:
        return message("{found} is no time of day: hours and minutes are right, as 07:00", found=shown(value))
    return value.isoformat(timespec="seconds" if value.second else "minutes")


def _check_datetime(_column: Column, value: object) -> Plain | Message:
    if isinstance(value, str) and 10 < len(value) <= 40:
        try:
            value = datetime.fromisoformat(value)
        except ValueError:
            value = str(value)
    if not isinstance(value, datetime):
        return message("{found} is no moment: ISO 8601 is right, as 2026-04-13T07:05:00+02:00", found=shown(value))
    if value.tzinfo is None:
        return message("{found} says no offset from universal time: it is right with one, as 2026-04-13T07:05:00+02:00", found=shown(value))
    if not _YEARS[0] <= value.year <= _YEARS[1]:
        return message(
            "{found} is not a day of these times: a year from {low} to {high} is right", found=shown(value), low=_YEARS[0], high=_YEARS[1]
        )
    return value.isoformat()


def _check_yes_no(_column: Column, value: object) -> Plain | Message:
    if isinstance(value, bool):
        return value
    return message("{found} is neither true nor false: one of them is right, without quotes", found=shown(value))


def _check_points(column: Column, value: object) -> Plain | Message:
    places = len(column.point_units)
    if not isinstance(value, list) or len(value) > _MOST_POINTS:
        return message("{found} is no list of points: a list of lists of {n} {n:number/numbers} is right", found=shown(value), n=places)
    points: list[Plain] = []
    for point in value:
        if not isinstance(point, list) or len(point) != places:
            return message("{found} is no point: a list of {n} {n:number/numbers} is right", found=shown(point), n=places)
        numbers: list[Plain] = []
        for one in point:
            number = _finite(one)
            if isinstance(number, Message):
                return number
            if number < 0:
                return message("{found} is too small: no number of a point is under 0", found=shown(one))
            numbers.append(number)
        points.append(numbers)
    return points


_CHECKS: Final[dict[str, Callable[[Column, object], Plain | Message]]] = {
    "number": _check_number,
    "integer": _check_integer,
    "text": _check_text,
    "choice": _check_choice,
    "choices": _check_choices,
    "date": _check_date,
    "time": _check_time,
    "datetime": _check_datetime,
    "yes_no": _check_yes_no,
    "points": _check_points,
}


def check_value(column: Column, value: object) -> Plain | Message:
    """Return a typed value in its one canonical form, or what is wrong with it.

    Parameters
    ----------
    column : Column
        Where it stands. [-]
    value : object
        As it was read from TOML, JSON or a form: typed, in the unit of the file. [unit]

    Returns
    -------
    Plain or Message
        The canonical value, or the fault.

    Examples
    --------
    >>> from mainwright.job.columns import TABLES
    >>> check_value(TABLES["main"].column("dn"), 150.0)
    150
    """
    return _CHECKS[column.kind](column, value)


def _read_number(text: str, *, decimal_comma: bool) -> float | Message:
    if len(text) > _LONGEST_NUMBER:
        return message("{found} is no number: it has {n} {n:character/characters}", found=shown(text), n=len(text))
    if text.lower().lstrip("+-") in _NOT_FINITE:
        return message("{found} is not finite: a finite number is right, or nothing where it is not known", found=text)
    plain = text
    if "," in text:
        if not decimal_comma:
            return message("{found} is no number: with commas between the cells the decimal mark is a point", found=text)
        if "." in text or text.count(",") > 1:
            return message("{found} is no number: no mark between thousands is right", found=text)
        plain = text.replace(",", ".")
    if not _NUMBER.fullmatch(plain):
        return message("{found} is no number: a plain number is right; its unit is in the name of the column", found=shown(text))
    return float(plain)


def read_cell(column: Column, text: str, *, decimal_comma: bool = False) -> Plain | Message:
    """Return the canonical value of a cell of text, None for an empty one, or what is wrong with it.

    Parameters
    ----------
    column : Column
        Where it stands. [-]
    text : str
        The cell, trimmed. [-]
    decimal_comma : bool
        Whether a decimal comma is allowed: with semicolons between the cells. [-]

    Returns
    -------
    Plain or Message
        The value in the unit of the file, or the fault.

    Examples
    --------
    >>> from mainwright.job.columns import TABLES
    >>> read_cell(TABLES["main"].column("bore_mm"), "152,4", decimal_comma=True)
    152.4
    """
    if not text:
        return None
    if column.kind in {"number", "integer"}:
        number = _read_number(text, decimal_comma=decimal_comma)
        return number if isinstance(number, Message) else check_value(column, number)
    if column.kind == "yes_no":
        answer = _YES_NO.get(text.lower())
        return message("{found} is not known: yes or no is right", found=shown(text)) if answer is None else answer
    return check_value(column, text)


def harmless_text(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula: one that could begin one gets an apostrophe before it.

    Every table that leaves as CSV and is not read back by this program passes here.

    Parameters
    ----------
    text : str
        Of a cell, not of a number. [-]

    Returns
    -------
    str
        Harmless.

    Examples
    --------
    >>> harmless_text("=1+1"), harmless_text(" @SUM(A1)"), harmless_text("gate 3")
    ("'=1+1", "' @SUM(A1)", 'gate 3')
    """
    return f"'{text}" if text.lstrip()[:1] in _BEGINS_FORMULA or text[:1] in ("\t", "\r") else text


def cell_text(value: Plain) -> str:
    """Return a value as the text of a cell.

    Parameters
    ----------
    value : Plain
        In the unit of the file. [unit]

    Returns
    -------
    str
        The canonical text; empty for None.

    Examples
    --------
    >>> cell_text(True), cell_text(0.1), cell_text(None)
    ('yes', '0.1', '')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return number_text(value)
    return str(value)
