"""A valuation as a workbook: sums that the client's surveyor can follow, no macros, and no text of a record that becomes a formula."""

import io
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Final

from mainwright import __version__
from mainwright.paper.handover_job import spans
from mainwright.paper.origin_pages import price_told
from mainwright.paper.pen import Pen
from mainwright.paper.valuation_pages import percent_of
from mainwright.prove.valuation import Valuation
from mainwright.words.message import message
from mainwright.words.wording import Wording

if TYPE_CHECKING:
    from xlsxwriter import Workbook
    from xlsxwriter.format import Format
    from xlsxwriter.worksheet import Worksheet

__all__ = ["render_valuation_book"]

_FIRST: Final = 5
"""Row of the first entry, counted from 0: above it stand the title and the heads."""

_Head = tuple[str, float, bool]


class _Book:
    """A workbook with its formats; texts are written as texts, whatever they begin with."""

    def __init__(self, workbook: "Workbook", made: Valuation, pen: Pen) -> None:
        self.workbook, self.made, self.pen = workbook, made, pen

        def shape(**extra: object) -> "Format":
            return workbook.add_format({"font_name": "Calibri", "font_size": 10, "valign": "top", **extra})

        self.plain = shape(text_wrap=True)
        self.title = shape(bold=True, font_size=14)
        self.quiet = shape(font_color="#53636D")
        self.head = shape(bold=True, text_wrap=True, bottom=2, valign="bottom")
        self.head_right = shape(bold=True, text_wrap=True, bottom=2, valign="bottom", align="right")
        self.number = shape(num_format="#,##0.00")
        self.sum_text = shape(bold=True, top=2)
        self.sum = shape(bold=True, top=2, num_format="#,##0.00")

    def sheet(self, name: str, heads: list[_Head]) -> "Worksheet":
        """Add a sheet with its title, heads that stay, and a page set-up for A4 across."""
        say, info = self.pen.say, self.made.job.info
        sheet = self.workbook.add_worksheet(name[:31])
        sheet.write_string(0, 0, f"{info.name}: {name}", self.title)
        day = "" if self.made.until is None else say.word(message("Until {day}", day=self.made.until))
        sheet.write_string(1, 0, self.pen.joined((info.client, info.reference, day)), self.quiet)
        foot = message("Job {revision}, records {records}", revision=self.made.job.revision, records=self.made.records)
        sheet.write_string(2, 0, f"{say.word(foot)} · Mainwright {__version__}", self.quiet)
        for column, (text, width, right) in enumerate(heads):
            sheet.set_column(column, column, width)
            sheet.write_string(_FIRST - 1, column, text, self.head_right if right else self.head)
        sheet.freeze_panes(_FIRST, 0)
        sheet.set_landscape()
        sheet.set_paper(9)
        sheet.fit_to_pages(1, 0)
        sheet.repeat_rows(_FIRST - 1)
        sheet.set_footer("&R&P / &N")
        sheet.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.7)
        return sheet

    def money(self, text: str) -> str:
        """Return a head of a column of money."""
        return f"{text} [{self.pen.currency}]" if self.pen.currency else text

    def rows(self, sheet: "Worksheet", rows: list[list[str | float | None]]) -> None:
        """Write rows; a number as a number, a text as a text, None as nothing."""
        for row, cells in enumerate(rows, start=_FIRST):
            for column, cell in enumerate(cells):
                if isinstance(cell, str):
                    sheet.write_string(row, column, cell, self.plain)
                elif cell is not None:
                    sheet.write_number(row, column, cell, self.number)


def _total(book: _Book, sheet: "Worksheet", *, row: int, column: int, value: float) -> str:
    """Write the sum of a column under it and return its cell; the sum of nothing is a plain zero."""
    letter = chr(ord("A") + column)
    sheet.write_string(row, 0, book.pen.say.text("Sum"), book.sum_text)
    for between in range(1, column):
        sheet.write_blank(row, between, None, book.sum_text)
    if row > _FIRST:
        sheet.write_formula(row, column, f"=SUM({letter}{_FIRST + 1}:{letter}{row})", book.sum, value)
    else:
        sheet.write_number(row, column, 0.0, book.sum)
    return f"{letter}{row + 1}"


def _lines(book: _Book) -> str:
    say, made = book.pen.say, book.made
    name = say.text("Measured")
    heads: list[_Head] = [
        (say.text("Item"), 34.0, False), (say.text("Code"), 22.0, False), (say.text("Planned"), 11.0, True), (say.text("Measured"), 11.0, True),
        (say.text("Unit"), 8.0, False), (say.text("Rate"), 11.0, True), (book.money(say.text("Total")), 13.0, True), (say.text("Records behind it"), 60.0, False),
        (say.text("Price from"), 44.0, False),
    ]  # fmt: skip
    sheet = book.sheet(name, heads)
    book.rows(sheet, [[say.word(one.text), one.item, one.planned, one.quantity, say.bill_unit(one.unit), one.rate, None, ", ".join(spans(one.records)), price_told(made.job, one.item, say)] for one in made.lines])  # fmt: skip
    for row, one in enumerate(made.lines, start=_FIRST):
        sheet.write_formula(row, 6, f"=D{row + 1}*F{row + 1}", book.number, one.amount)
    return f"'{name}'!{_total(book, sheet, row=_FIRST + len(made.lines), column=6, value=made.sums.measured)}"


def _extras(book: _Book) -> str:
    say, made = book.pen.say, book.made
    name = say.text("Extras")
    heads: list[_Head] = [
        (say.text("What"), 60.0, False), (say.text("Sheet or order"), 14.0, False), (say.text("Quantity"), 11.0, True), (say.text("Unit"), 8.0, False),
        (say.text("Rate"), 11.0, True), (book.money(say.text("Total")), 13.0, True), (say.text("Records behind it"), 30.0, False),
        (say.text("Price from"), 44.0, False),
    ]  # fmt: skip
    sheet = book.sheet(name, heads)
    book.rows(sheet, [[say.word(one.text), one.ref, one.quantity, say.bill_unit(one.unit) if one.unit else "", one.rate, None, ", ".join(one.records), say.text("agreed in the record itself") if one.agreed else price_told(made.job, one.item, say)] for one in made.extras])  # fmt: skip
    for row, one in enumerate(made.extras, start=_FIRST):
        sheet.write_formula(row, 5, f"=C{row + 1}*E{row + 1}", book.number, one.amount)
    return f"'{name}'!{_total(book, sheet, row=_FIRST + len(made.extras), column=5, value=made.sums.extras)}"


def _held(book: _Book) -> None:
    say, made = book.pen.say, book.made
    heads: list[_Head] = [
        (say.text("What"), 50.0, False), (say.text("Code"), 20.0, False), (say.text("Quantity"), 11.0, True), (say.text("Unit"), 8.0, False),
        (book.money(say.text("Would be")), 13.0, True), (say.text("Why not"), 60.0, False), (say.text("Records"), 30.0, False),
    ]  # fmt: skip
    sheet = book.sheet(say.text("Not in the sum"), heads)
    book.rows(
        sheet,
        [
            [say.word(one.text), one.item, one.quantity, say.bill_unit(one.unit) if one.unit else "", one.amount, "; ".join(say.word(text) for text in one.why), ", ".join(spans(one.records))]
            for one in made.held
        ],
    )  # fmt: skip


def _reckoning(book: _Book, sheet: "Worksheet", measured: str, extras: str) -> None:
    say, sums, rules = book.pen.say, book.made.sums, book.made.job.payment
    limit = "" if rules.retention_limit is None or sums.contract is None else say.word(message("at most {limit} of the bill", limit=percent_of(rules.retention_limit)))  # fmt: skip
    rows: list[tuple[str, str | None, float, str]] = [
        (say.text("Measured quantities at their rates"), f"={measured}", sums.measured, ""),
        (say.text("Extras with their proof"), f"={extras}", sums.extras, ""),
        (say.text("Proven so far"), "=B6+B7", sums.gross, ""),
        (say.text("Share that the client keeps back"), None, rules.retention, limit),
        (say.text("Kept back by the client"), None, -sums.retention, ""),
        (say.text("Of that freed by the client"), None, sums.released, ""),
        (say.text("Payments that came"), None, -sums.paid, ""),
        (say.text("Due now"), "=B8+B10+B11+B12", sums.due, ""),
    ]
    if rules.retention_limit is None or sums.contract is None:
        rows[4] = (rows[4][0], "=-B9*B8", rows[4][2], "")
    else:
        rows[4] = (rows[4][0], f"=-MIN(B9*B8,{rules.retention_limit * sums.contract!r})", rows[4][2], "")
    share = book.workbook.add_format({"font_name": "Calibri", "font_size": 10, "num_format": "0.0%"})
    for row, (text, formula, amount, note) in enumerate(rows, start=_FIRST):
        last = row == _FIRST + len(rows) - 1
        sheet.write_string(row, 0, text, book.sum_text if last else book.plain)
        shape = book.sum if last else share if row == _FIRST + 3 else book.number
        if formula is None:
            sheet.write_number(row, 1, amount, shape)
        else:
            sheet.write_formula(row, 1, formula, shape, amount)
        sheet.write_string(row, 2, note, book.quiet)
    for row, one in enumerate(book.made.notes, start=_FIRST + len(rows) + 1):
        sheet.write_string(row, 0, say.word(one), book.quiet)


def render_valuation_book(made: Valuation) -> bytes:
    """Return a valuation as a workbook, the same bytes for the same valuation.

    Parameters
    ----------
    made : Valuation
        The valuation. [-]

    Returns
    -------
    bytes
        An ``.xlsx`` file with the sheets reckoning, measured, extras and what is not in the sum.
    """
    from xlsxwriter import Workbook

    info = made.job.info
    pen = Pen(Wording(info.language, info.units), info.currency)
    say = pen.say
    memory = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    workbook = Workbook(memory, options)
    day = made.until or info.first_day or date(2000, 1, 1)
    name = say.text("Final account") if made.final else say.text("Interim valuation")
    workbook.set_properties({"title": f"{info.name}: {name}", "created": datetime(day.year, day.month, day.day, tzinfo=UTC)})
    book = _Book(workbook, made, pen)
    first = book.sheet(name, [(say.text("Reckoning"), 60.0, False), (book.money(say.text("Total")), 16.0, True), ("", 40.0, False)])
    measured, extras = _lines(book), _extras(book)
    _held(book)
    _reckoning(book, first, measured, extras)
    workbook.close()
    return memory.getvalue()
