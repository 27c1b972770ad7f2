"""The dictionary of what the office keeps for a job: prices, crews, outputs, permits, calendar, and where its values come from."""

from typing import Final

from mainwright.job.column import Column, Table, choice, date_, integer, number, text

__all__ = ["OFFICE_TABLES"]


def _amount(name: str, meaning: str) -> Column:
    return number(name, meaning, field=name, low=0, high=1e12)


_FIRST: Final = date_("first_day", "first day")
_LAST: Final = date_("last_day", "last day, included")

OFFICE_TABLES: Final = (
    Table(
        name="prices",
        file="prices.csv",
        shape="rows",
        meaning="the price of one item of the bill, in the job's currency",
        columns=(
            text("item", "item of the plan's bill", required=True),
            text("unit", "unit of the price"),
            _amount("low", "lowest likely price"),
            _amount("rate", "price"),
            _amount("high", "highest likely price"),
        ),
    ),
    Table(
        name="crews",
        file="crews.csv",
        shape="rows",
        meaning="people of one skill in one crew, and when they are there",
        columns=(
            text("crew", "name of the crew", required=True),
            text("skill", "what they can do"),
            integer("count", "how many", field="count", low=0, high=10000),
            _FIRST,
            _LAST,
        ),
    ),
    Table(
        name="outputs",
        file="outputs.csv",
        shape="rows",
        meaning="output of one activity by shift",
        columns=(
            text("activity", "activity of the programme", required=True),
            text("unit", "unit of the output"),
            _amount("low", "lowest likely output"),
            _amount("rate", "output"),
            _amount("high", "highest likely output"),
        ),
    ),
    Table(
        name="permits",
        file="permits.csv",
        shape="rows",
        meaning="one permit to work in a street",
        columns=(
            text("ref", "its name", required=True),
            number("from_m", "chainage where it begins", field="start", unit="m", low=-1e6, high=1e6),
            number("to_m", "chainage where it ends", field="end", unit="m", low=-1e6, high=1e6),
            text("street", "street"),
            _FIRST,
            _LAST,
            text("hours", "hours of the day"),
            integer("overrun_first_days", "days over that cost the first rate", field="overrun_first_days", low=0, high=10000),
            _amount("overrun_first_rate", "charge a day for the first days over"),
            _amount("overrun_later_rate", "charge a day after them"),
            text("not_with", "permits whose streets are not closed at the same time, with blanks between"),
        ),
    ),
    Table(
        name="calendar",
        file="calendar.csv",
        shape="rows",
        meaning="a day that is not as the others",
        columns=(
            date_("day", "the day", required=True),
            choice("kind", "what it is", ("holiday", "extra_shift", "no_work"), required=True),
            text("crew", "only for this crew"),
            text("note", "remark"),
        ),
    ),
    Table(
        name="origins",
        file="origins.csv",
        shape="rows",
        meaning="where one value of the job comes from",
        columns=(
            text("table", "table of the value, as prices or lining", required=True),
            text("name", "name of its row, or its key", required=True),
            text("entry", "entry of the library, or document, that it was taken from", required=True),
            integer("revision", "revision of that entry", field="revision", low=1, high=1_000_000),
            date_("day", "day of which the value is"),
            choice("status", "how it was come by", ("read", "secondary", "memory", "practice", "derived")),
            text("author", "who kept it"),
            text("origin", "where the entry has it from"),
            text("mark", "made from the value when it was taken: another one was changed since; empty is not compared"),
        ),
    ),
)
"""The tables of the office, a CSV file each."""
