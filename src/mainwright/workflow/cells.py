"""One cell of an inventory to one cell of ours: codes, numbers and their units, dates, gaps."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

from mainwright.job.column import Column, Plain
from mainwright.units import from_si, significant, to_si
from mainwright.words.message import Message, message
from mainwright.workflow.mapping import CellRule, Dates, RowTest

__all__ = ["Mapped", "day_of", "mapped_cell", "number_of", "passes"]

_EARLIEST_YEAR: Final = 1000
_LATEST_YEAR: Final = 2999
_PARTS_OF_A_DAY: Final = 3


@dataclass(frozen=True, slots=True)
class Mapped:
    """The value of our cell, None where it is not known, and what could not be mapped.

    ``code`` groups what is alike in the report; ``column`` is the inventory's.
    """

    value: Plain
    problem: Message | None = None
    code: str = ""
    column: str = ""


def passes(test: RowTest, cells: Mapping[str, str], *, decimal: str) -> bool:
    """Return whether a row is wanted.

    Parameters
    ----------
    test : RowTest
        What its cell must hold. [-]
    cells : mapping
        The row. [-]
    decimal : str
        ``point`` or ``comma``. [-]

    Returns
    -------
    bool
        Whether it holds that.
    """
    cell = cells.get(test.column, "").strip()
    if test.low is not None or test.high is not None:
        value = number_of(cell, decimal=decimal)
        return value is not None and (test.low is None or value >= test.low) and (test.high is None or value <= test.high)
    return any(_same(cell, one, decimal) for one in test.allowed)


def mapped_cell(rules: tuple[CellRule, ...], cells: Mapping[str, str], *, target: Column, decimal: str) -> Mapped:
    """Return what our cell holds for a row of the inventory.

    Parameters
    ----------
    rules : tuple of CellRule
        Tried in turn; the first that gives a value wins. [-]
    cells : mapping
        The row. [-]
    target : Column
        Our column. [-]
    decimal : str
        ``point`` or ``comma``. [-]

    Returns
    -------
    Mapped
        The value, or why there is none.
    """
    first_problem: Mapped | None = None
    for rule in rules:
        mapped = _by_rule(rule, cells, target, decimal)
        if mapped.value is not None:
            return mapped
        if mapped.problem is not None and first_problem is None:
            first_problem = mapped
    return first_problem or Mapped(None)


def number_of(text: str, *, decimal: str) -> float | None:
    """Return a finite number, or None where the text is none.

    Parameters
    ----------
    text : str
        As written. [-]
    decimal : str
        ``point`` or ``comma``. [-]

    Returns
    -------
    float or None
        The number.

    Examples
    --------
    >>> number_of("450.0", decimal="point"), number_of("1,5", decimal="comma"), number_of("1,5", decimal="point")
    (450.0, 1.5, None)
    """
    plain = text.strip()
    if decimal == "comma":
        plain = plain.replace(".", "").replace(",", ".") if plain.count(",") == 1 else plain
    if "_" in plain:
        return None
    try:
        value = float(plain)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def day_of(text: str, dates: Dates) -> date | None:
    """Return the day that a text names, whatever hour stands behind it.

    Parameters
    ----------
    text : str
        As written. [-]
    dates : str
        ``iso``, ``month_first`` or ``day_first``. [-]

    Returns
    -------
    date or None
        The day; None where there is none in this order.

    Examples
    --------
    >>> day_of("2/11/2022 17:00", "month_first"), day_of("2022-02-11T17:00:00Z", "iso"), day_of("31/12/1999", "month_first")
    (datetime.date(2022, 2, 11), datetime.date(2022, 2, 11), None)
    """
    first = text.strip().replace("T", " ").split(" ")[0]
    for separator in "/.":
        first = first.replace(separator, "-")
    parts = first.split("-")
    if len(parts) != _PARTS_OF_A_DAY or not all(part.isascii() and part.isdigit() for part in parts):
        return None
    numbers = [int(part) for part in parts]
    if dates == "iso" or len(parts[0]) == len("2000"):
        year, month, day = numbers
    elif dates == "month_first":
        month, day, year = numbers
    else:
        day, month, year = numbers
    try:
        return date(year, month, day) if year >= _EARLIEST_YEAR else None
    except ValueError:
        return None


def _by_rule(rule: CellRule, cells: Mapping[str, str], target: Column, decimal: str) -> Mapped:
    if rule.constant is not None:
        return _typed(rule, rule.constant, target, decimal)
    parts = [cells.get(column, "").strip() for column in rule.columns]
    raw = ", ".join(part for part in parts if part and not any(_same(part, one, decimal) for one in rule.unknown))
    if not raw:
        return Mapped(None)
    if rule.pattern is not None:
        found = rule.pattern.search(raw)
        if not found or not found[1]:
            return Mapped(None, message("{found} does not look as the mapping's pattern says", found=raw), "pattern", rule.columns[0])
        raw = found[1]
    if rule.values is not None:
        known = next((ours for code, ours in rule.values.items() if _same(raw, code, decimal)), rule.others)
        if known is None:
            return Mapped(None, message("the mapping does not say what {code} is", code=raw), "unknown_code", rule.columns[0])
        if not known:
            return Mapped(None)
        raw = known
    return _typed(rule, raw, target, decimal)


def _typed(rule: CellRule, raw: str, target: Column, decimal: str) -> Mapped:
    """Return a text as our column wants it."""
    column = rule.columns[0] if rule.columns else ""

    def wrong(text: str, code: str, **values: str) -> Mapped:
        return Mapped(None, message(text, found=raw, **values), code, column)

    if target.kind in {"number", "integer"}:
        return _number(rule, raw, target, decimal)
    if target.kind == "choice" and raw not in target.choices:
        return wrong("{found} is none of {choices}", "unknown_code", choices=", ".join(target.choices))
    if target.kind == "yes_no":
        if raw.lower() in {"yes", "true", "y", "1"}:
            return Mapped(True)
        return Mapped(False) if raw.lower() in {"no", "false", "n", "0"} else wrong("{found} is neither yes nor no", "unknown_code")
    if target.kind == "date":
        day = day_of(raw, rule.dates)
        return wrong("{found} is no date as the mapping says they are written", "date") if day is None else Mapped(day.isoformat())
    return Mapped(rule.prefix + " ".join(raw.split()))


def _number(rule: CellRule, raw: str, target: Column, decimal: str) -> Mapped:
    column = rule.columns[0] if rule.columns else ""
    value = number_of(raw, decimal="point" if rule.constant is not None else decimal)
    if value is None and target.name == "year":
        day = day_of(raw, rule.dates)
        value = None if day is None else float(day.year)
    if value is None:
        return Mapped(None, message("{found} is not a number", found=raw), "not_a_number", column)
    if rule.absolute:
        value = abs(value)
    if rule.unit and rule.unit != target.unit:
        value = from_si(to_si(value, rule.unit), target.unit)
    value = significant(value)
    low, high = target.low, target.high
    if (low is not None and (value < low or (target.low_open and value == low))) or (
        high is not None and (value > high or (target.high_open and value == high))
    ):
        return Mapped(
            None, message("{found} cannot be: outside the range of {column}", found=raw, column=target.name), "out_of_range", column
        )
    if target.kind == "integer":
        if value != round(value):
            return Mapped(None, message("{found} is not a whole number", found=raw), "not_a_number", column)
        return Mapped(round(value))
    return Mapped(value)


def _same(cell: str, wanted: str, decimal: str) -> bool:
    """Return whether a cell holds a code, ``450.0`` being the code ``450``."""
    if cell == wanted or cell.casefold() == wanted.casefold():
        return True
    value = number_of(cell, decimal=decimal)
    return value is not None and value == number_of(wanted, decimal="point")
