"""The bill as a workbook: formulas that the reader can follow and change, no macros, and no text of the user that becomes a formula."""

import io
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

from mainwright import __version__
from mainwright.paper.origin_pages import price_told
from mainwright.paper.pen import Pen, pen_for
from mainwright.plan.result import Plan
from mainwright.words.message import message

if TYPE_CHECKING:
    from xlsxwriter import Workbook
    from xlsxwriter.format import Format
    from xlsxwriter.worksheet import Worksheet

__all__ = ["render_bill"]

_FIRST = 5
"""Row of the first item, counted from 0: above it stand the title and the heads."""


class _Book:
    """A workbook with its formats."""

    def __init__(self, workbook: "Workbook", plan: Plan, pen: Pen) -> None:
        self.workbook = workbook
        self.plan = plan
        self.pen = pen

        def shape(**extra: object) -> "Format":
            return workbook.add_format({"font_name": "Calibri", "font_size": 10, "valign": "top", **extra})

        self.plain = shape(text_wrap=True)
        self.title = shape(bold=True, font_size=14)
        self.quiet = shape(font_color="#53636D")
        self.head = shape(bold=True, text_wrap=True, bottom=2, valign="bottom")
        self.head_right = shape(bold=True, text_wrap=True, bottom=2, valign="bottom", align="right")
        self.quantity = shape(num_format="#,##0.00")
        self.rate = shape(num_format="#,##0.00", font_color="#0D5C7D")
        self.money = shape(num_format="#,##0")
        self.sum_text = shape(bold=True, top=2)
        self.sum = shape(bold=True, top=2, num_format="#,##0")
        self.warn = shape(bold=True, font_color="#A8201A", text_wrap=True)

    def sheet(self, name: str, heads: list[tuple[str, float, bool]]) -> "Worksheet":
        """Add a sheet with its title, heads that stay, and a page set-up for A4 across."""
        say, info = self.pen.say, self.plan.job.info
        sheet = self.workbook.add_worksheet(name[:31])
        sheet.write_string(0, 0, f"{info.name}: {name}", self.title)
        when = say.day(info.first_day) if info.first_day else ""
        sheet.write_string(1, 0, self.pen.joined((info.client, info.reference, when)), self.quiet)
        sheet.write_string(
            2, 0, say.word(message("Revision {revision}", revision=self.plan.job.revision)) + f" · Mainwright {__version__}", self.quiet
        )
        for column, (text, width, right) in enumerate(heads):
            sheet.set_column(column, column, width)
            sheet.write_string(_FIRST - 1, column, text, self.head_right if right else self.head)
        sheet.freeze_panes(_FIRST, 0)
        sheet.set_landscape()
        sheet.set_paper(9)
        sheet.fit_to_pages(1, 0)
        sheet.repeat_rows(_FIRST - 1)
        sheet.set_footer(f"&L{_footer(info.reference)}&R&P / &N")
        sheet.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.7)
        return sheet


def _footer(text: str) -> str:
    """Return a text for a footer, where an ampersand begins a code."""
    return text.replace("&", "&&")[:120]


def _bill(book: _Book) -> None:
    say, currency = book.pen.say, book.pen.currency
    money = f" [{currency}]" if currency else ""
    heads = [
        (say.text("Item"), 34.0, False), (say.text("Code"), 22.0, False), (say.text("Quantity"), 11.0, True), (say.text("Unit"), 8.0, False),
        (say.text("Low price"), 11.0, True), (say.text("Rate"), 11.0, True), (say.text("High price"), 11.0, True),
        (say.text("Low") + money, 13.0, True), (say.text("Rate") + money, 13.0, True), (say.text("High") + money, 13.0, True), (say.text("Price from"), 44.0, False),
    ]  # fmt: skip
    sheet = book.sheet(say.text("Bill"), heads)
    row = _FIRST
    for line in book.plan.bill:
        sheet.write_string(row, 0, say.word(line.text), book.plain)
        sheet.write_string(row, 1, line.item, book.quiet)
        sheet.write_number(row, 2, line.quantity, book.quantity)
        sheet.write_string(row, 3, say.bill_unit(line.unit), book.plain)
        for offset, price in enumerate((line.low, line.rate, line.high)):
            if price is not None:
                sheet.write_number(row, 4 + offset, price, book.rate)
            letter = "EFG"[offset]
            # Without a price of its own a line takes its rate; without any it stays empty and counts as nothing.
            formula = f'=IF(ISNUMBER({letter}{row + 1}),C{row + 1}*{letter}{row + 1},IF(ISNUMBER(F{row + 1}),C{row + 1}*F{row + 1},""))'
            taken = line.rate if price is None else price
            sheet.write_formula(row, 7 + offset, formula, book.money, "" if taken is None else line.quantity * taken)
        sheet.write_string(row, 10, price_told(book.plan.job, line.item, say), book.plain)
        row += 1
    _sums(book, sheet, row)


def _sums(book: _Book, sheet: "Worksheet", row: int) -> None:
    say, lines = book.pen.say, book.plan.bill
    sheet.write_string(row, 0, say.text("Sum of what is priced"), book.sum_text)
    for column in range(1, 7):
        sheet.write_blank(row, column, None, book.sum_text)
    for offset, letter in enumerate("HIJ"):
        prices = [(line.low, line.rate, line.high)[offset] for line in lines]
        total = sum(line.quantity * (price if price is not None else line.rate or 0.0) for line, price in zip(lines, prices, strict=True))
        if lines:
            sheet.write_formula(row, 7 + offset, f"=SUM({letter}{_FIRST + 1}:{letter}{row})", book.sum, total)
    count = sum(line.rate is None for line in lines)
    sheet.write_string(row + 1, 0, say.text("Items without a price"), book.plain)
    if lines:
        sheet.write_formula(row + 1, 8, f"=COUNTBLANK(F{_FIRST + 1}:F{row})", book.warn if count else book.plain, count)
    sheet.write_string(
        row + 3, 0, say.text("Blue prices can be changed; the sums follow. Low and high take every price at that end at once."), book.quiet
    )


def _basis(book: _Book) -> None:
    say = book.pen.say
    sheet = book.sheet(say.text("Quantities"), [(say.text("Item"), 36.0, False), (say.text("Quantity"), 12.0, True), (say.text("Unit"), 9.0, False), (say.text("Quantity from"), 90.0, False)])  # fmt: skip
    for row, line in enumerate(book.plan.bill, start=_FIRST):
        sheet.write_string(row, 0, say.word(line.text), book.plain)
        sheet.write_number(row, 1, line.quantity, book.quantity)
        sheet.write_string(row, 2, say.bill_unit(line.unit), book.plain)
        sheet.write_string(row, 3, say.word(line.basis), book.plain)


def _assumed(book: _Book) -> None:
    say = book.pen.say
    sheet = book.sheet(say.text("Assumed"), [(say.text("What"), 36.0, False), (say.text("Value"), 16.0, True), (say.text("Unit"), 9.0, False), (say.text("Because"), 90.0, False)])  # fmt: skip
    for row, one in enumerate(book.plan.assumed, start=_FIRST):
        sheet.write_string(row, 0, one.what, book.plain)
        if isinstance(one.value, str):
            sheet.write_string(row, 1, say.code(one.value), book.plain)
        elif one.value is not None:
            sheet.write_number(row, 1, one.value, book.plain)
        sheet.write_string(row, 2, say.unit_as_written(one.unit), book.plain)
        sheet.write_string(row, 3, say.word(one.because), book.plain)


def _sources(book: _Book) -> None:
    say = book.pen.say
    heads = [
        (say.text("Source"), 70.0, False),
        (say.text("Edition"), 24.0, False),
        (say.text("Clause"), 30.0, False),
        (say.text("How its value was come by"), 30.0, False),
    ]
    sheet = book.sheet(say.text("Sources"), heads)
    for row, one in enumerate(book.pen.sources, start=_FIRST):
        for column, text in enumerate((one.title, one.edition, one.clause, say.code(one.status))):
            sheet.write_string(row, column, text, book.plain)


def render_bill(plan: Plan) -> bytes:
    """Return the bill as a workbook, the same bytes for the same plan.

    Parameters
    ----------
    plan : Plan
        The plan. [-]

    Returns
    -------
    bytes
        An ``.xlsx`` file with the sheets bill, quantities, assumed and sources. Quantities are in the units of the price list.
    """
    from xlsxwriter import Workbook

    pen = pen_for(plan)
    memory = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    workbook = Workbook(memory, options)
    day = plan.job.info.first_day or date(2000, 1, 1)
    workbook.set_properties(
        {"title": f"{plan.job.info.name}: {pen.say.text('Bill')}", "created": datetime(day.year, day.month, day.day, tzinfo=UTC)}
    )
    book = _Book(workbook, plan, pen)
    for part in (_bill, _basis, _assumed, _sources):
        part(book)
    workbook.close()
    return memory.getvalue()
