"""Tables are read once, whole, in SI, or not at all."""

import pytest

from mainwright.errors import InputError
from mainwright.standards.published import TABLES, read_table, table, value

GOOD = """
title = "T"
[source.a]
title = "A book"
edition = "3rd"
clause = "table 2"
status = "read"
[[row]]
key = "x"
dn = 100
value = 5.0
low = 4.0
high = 6.0
unit = "mm"
source = "a"
"""


def test_numbers_are_kept_in_si() -> None:
    row = read_table("t", GOOD).rows[0]
    assert row.published.value == pytest.approx(0.005)
    assert row.published.low == pytest.approx(0.004)
    assert row.published.high == pytest.approx(0.006)
    assert row.published.source.title == "A book"
    assert row.get("dn") == 100
    assert row.text("missing") == ""
    assert row.get("value") is None


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('unit = "mm"', "", "unit"),
        ('unit = "mm"', 'unit = "furlong"', "furlong"),
        ('source = "a"', 'source = "b"', "source"),
        ('status = "read"', "", "status"),
        ('status = "read"', 'status = "sure"', "sure"),
        ('title = "A book"', "", "title"),
        ("value = 5.0", "", "value"),
        ("value = 5.0", "value = 7.0", "range"),
        ('title = "T"', 'titel = "T"', "titel"),
    ],
)
def test_a_row_without_its_source_or_unit_is_refused(old: str, new: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_table("t", GOOD.replace(old, new))


def test_tables_are_read_once() -> None:
    assert table(TABLES[0]) is table(TABLES[0])


def test_unknown_names_are_told() -> None:
    with pytest.raises(InputError, match="one of bores"):
        table("nonsense")
    with pytest.raises(InputError, match="nonsense"):
        value(TABLES[0], "nonsense")
