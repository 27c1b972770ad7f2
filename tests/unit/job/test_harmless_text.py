"""No text of a table that leaves begins a formula; the tables that are read back are kept as they were typed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import mainwright
from mainwright.job.table import harmless_text

SOURCE = Path(mainwright.__file__).parent
READ_BACK = {"folder/writing.py", "folder/record_writing.py", "folder/record_rows.py"}
"""Files of a job folder: what was typed comes back byte for byte."""

NUMBERS_ALONE = {"folder/scan_results.py"}


@pytest.mark.parametrize(
    "text",
    ["=1+1", "+1", "-1+cmd|' /C calc'!A0", "@SUM(A1)", "\t=1", "\r=1", "  =1", "\n=1", "＝1+1", '=HYPERLINK("http://a")'],
)
def test_what_begins_a_formula_is_held(text: str) -> None:
    assert harmless_text(text) == f"'{text}"


@pytest.mark.parametrize("text", ["", "gate 3", "a=b", "12 m", "'quoted"])
def test_other_texts_stay(text: str) -> None:
    assert harmless_text(text) == text


@given(st.text(max_size=20))
def test_no_text_begins_a_formula(text: str) -> None:
    held = harmless_text(text)
    assert held.endswith(text)
    assert held.lstrip()[:1] not in tuple("=+-@")


def test_every_writer_of_tables_is_known() -> None:
    writers = {str(path.relative_to(SOURCE)) for path in SOURCE.rglob("*.py") if "csv.writer(" in path.read_text(encoding="utf-8")}
    held = {one for one in writers if "harmless_text(" in (SOURCE / one).read_text(encoding="utf-8")}
    assert writers - held == READ_BACK | NUMBERS_ALONE


def test_no_workbook_takes_a_text_for_a_formula() -> None:
    found = [path.read_text(encoding="utf-8") for path in SOURCE.rglob("*.py")]
    books = [text for text in found if re.search(r"\bWorkbook\((?!\))", text) and "xlsxwriter" in text]
    assert books
    assert all('"strings_to_formulas": False' in text and not re.search(r"\.write\(", text) for text in books)
