"""One cell of an inventory to one of ours."""

import re
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.job.columns import TABLES
from mainwright.workflow.cells import Mapped, day_of, mapped_cell, number_of, passes
from mainwright.workflow.mapping import CellRule, Dates, RowTest

MAIN = TABLES["main"]


def _cell(name: str, text: str, *more: CellRule, decimal: str = "point", table: str = "main", **rule: Any) -> Mapped:  # noqa: ANN401
    column = TABLES[table].column(name)
    assert column is not None
    first = CellRule(columns=("c",), **rule)
    return mapped_cell((first, *more), {"c": text, "d": "second"}, target=column, decimal=decimal)


@pytest.mark.parametrize(
    ("name", "text", "rule", "value"),
    [
        ("dn", "450.0", {}, 450),
        ("bore_mm", "6", {"unit": "in"}, 152.4),
        ("from_m", "100", {"unit": "ft"}, 30.48),
        ("pressure_bar", "60", {"unit": "psi"}, 4.136854376),
        ("year", "1961.0", {}, 1961),
        ("year", "2/11/2022 17:00", {"dates": "month_first"}, 2022),
        ("year", "1900", {"unknown": ("1900",)}, None),
        ("year", "1900.0", {"unknown": ("1900",)}, None),
        ("material", "Cast Iron", {"values": {"cast iron": "grey_iron"}}, "grey_iron"),
        ("material", "??", {"values": {}, "others": "other"}, "other"),
        ("existing_lining", "blank", {"values": {"blank": ""}}, None),
        ("joint_type", "  lead   run ", {"prefix": "was "}, "was lead run"),
    ],
)
def test_values(name: str, text: str, rule: dict[str, Any], value: object) -> None:
    mapped = _cell(name, text, **rule)
    assert mapped == Mapped(value)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "text", "rule", "code"),
    [
        ("dn", "six", {}, "not_a_number"),
        ("dn", "152.4", {}, "not_a_number"),
        ("dn", "nan", {}, "not_a_number"),
        ("dn", "1e400", {}, "not_a_number"),
        ("dn", "0", {}, "out_of_range"),
        ("dn", "-150", {}, "out_of_range"),
        ("year", "31/31/1999", {"dates": "month_first"}, "not_a_number"),
        ("material", "XYZ", {"values": {"CI": "grey_iron"}}, "unknown_code"),
        ("material", "XYZ", {}, "unknown_code"),
        ("dn", "pipe", {"pattern": re.compile(r"DN(\d+)")}, "pattern"),
    ],
)
def test_what_cannot_be_is_empty_and_told(name: str, text: str, rule: dict[str, Any], code: str) -> None:
    mapped = _cell(name, text, **rule)
    assert mapped.value is None
    assert mapped.code == code
    assert mapped.problem is not None
    assert mapped.column == "c"


def test_the_first_rule_that_knows_wins() -> None:
    second = CellRule(columns=("d",), values={"second": "epoxy"})
    assert _cell("existing_lining", "", second).value == "epoxy"
    assert _cell("existing_lining", "cement", second).value == "cement"


def test_several_columns_are_joined_and_signs_dropped() -> None:
    column = TABLES["features"].column("note")
    assert column is not None
    rule = CellRule(columns=("a", "b", "c"), unknown=("UNKNOWN",), prefix="break: ")
    assert mapped_cell((rule,), {"a": "CLAMP", "b": "UNKNOWN", "c": "age"}, target=column, decimal="point").value == "break: CLAMP, age"
    assert _cell("angle_deg", "-23.0", table="features", absolute=True).value == 23.0


def test_decimal_comma() -> None:
    assert number_of("1.234,5", decimal="comma") == 1234.5
    assert number_of("1,234.5", decimal="point") is None
    assert number_of("1_000", decimal="point") is None


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("1/2/1965", "month_first", date(1965, 1, 2)),
        ("1/2/1965", "day_first", date(1965, 2, 1)),
        ("1.2.1965", "day_first", date(1965, 2, 1)),
        ("1/27/2007 12:00:00 AM", "month_first", date(2007, 1, 27)),
        ("1965-02-01", "month_first", date(1965, 2, 1)),
        ("27/1/2007", "month_first", None),
        ("1/2/65", "month_first", None),
        ("", "iso", None),
        ("²/1/2007", "day_first", None),
    ],
)
def test_days(text: str, order: Dates, day: date | None) -> None:
    assert day_of(text, order) == day


@given(st.text(max_size=30), st.sampled_from(["iso", "month_first", "day_first"]))
def test_no_text_breaks_a_cell(text: str, order: Dates) -> None:
    day_of(text, order)
    for column in MAIN.columns:
        mapped = mapped_cell((CellRule(columns=("c",), dates=order),), {"c": text}, target=column, decimal="comma")
        assert mapped.value is None or mapped.problem is None


def test_row_tests() -> None:
    cells = {"kind": "valve", "at": "-0.5", "size": "450.0"}
    assert passes(RowTest("kind", ("hydrant", "valve")), cells, decimal="point")
    assert not passes(RowTest("kind", ("hydrant",)), cells, decimal="point")
    assert passes(RowTest("at", low=-0.5, high=0.5), cells, decimal="point")
    assert not passes(RowTest("at", low=0.0), cells, decimal="point")
    assert not passes(RowTest("kind", low=0.0), cells, decimal="point")
    assert passes(RowTest("size", ("450",)), cells, decimal="point")
    assert not passes(RowTest("absent", ("x",)), cells, decimal="point")
