"""Tables as typed cells: what is sound comes back as it was, what is not stays as it was typed and is told at its cell."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mainwright.folder.reading import read_files
from mainwright.job.columns import TABLES
from mainwright.job.document import Document, job_from_document
from mainwright.workflow.comparing import compare_documents
from mainwright.workflow.editing import Cells, cells_of, check_cells, columns_of, with_cells
from mainwright.workflow.pasting import read_pasted
from mainwright.workflow.reconciling import reconcile
from tests.unit.folder.sample import FILES

SAMPLE = read_files(FILES).document


def test_every_table_comes_back_as_it_was() -> None:
    again = with_cells(SAMPLE, {name: cells_of(SAMPLE, name) for name in SAMPLE.tables})
    assert again.revision() == SAMPLE.revision()
    assert not [one for one in check_cells(again) if one.severity == "fault"]


def test_a_fault_stands_at_its_cell_and_nothing_is_lost() -> None:
    cells = cells_of(SAMPLE, "main")
    place = cells.header.index("dn")
    rows = [list(row) for row in cells.rows]
    rows[0][place] = "one hundred"
    typed = with_cells(SAMPLE, {"main": Cells(cells.header, tuple(map(tuple, rows)))})
    faults = [one for one in check_cells(typed) if one.severity == "fault"]
    assert ("main", 0, "dn") in [(one.table, one.row, one.column) for one in faults]
    assert cells_of(typed, "main").rows[0][place] == "one hundred"
    rows[0][place] = cells.rows[0][place]
    assert with_cells(typed, {"main": Cells(cells.header, tuple(map(tuple, rows)))}).revision() == SAMPLE.revision()


def test_a_decimal_comma_is_read_and_empty_rows_do_not_count() -> None:
    cells = Cells(("from_m", "to_m", "dn", "material", "bore_mm"), (("", "", "", "", ""), ("0", "12,5", "100", "steel", "101,6")))
    typed = with_cells(Document({}), {"main": cells})
    assert typed.rows("main") == [{"from_m": 0.0, "to_m": 12.5, "dn": 100, "material": "steel", "bore_mm": 101.6}]


def test_a_table_that_is_emptied_goes() -> None:
    cells = cells_of(SAMPLE, "services")
    assert "services" not in with_cells(SAMPLE, {"services": Cells(cells.header, ())}).tables


@given(st.lists(st.lists(st.text(max_size=8), min_size=5, max_size=5), max_size=5), st.sampled_from(sorted(TABLES)))
@settings(max_examples=120, deadline=None)
def test_whatever_is_typed_is_told_and_never_breaks(rows: list[list[str]], name: str) -> None:
    header = tuple(column.name for column in columns_of(TABLES[name]))[:5]
    typed = with_cells(SAMPLE, {name: Cells(header, tuple(tuple(row) for row in rows))})
    faults = check_cells(typed)
    typed.canonical()
    if not any(one.severity == "fault" for one in faults):
        job_from_document(typed)


def test_what_is_pasted_is_read_with_heads_and_without() -> None:
    columns = TABLES["main"].columns
    with_heads = read_pasted("Von;Bis;DN;Werkstoff;Baujahr\n0;12,5;100;grey_iron;1911\n", columns)
    assert with_heads.meant == ("from_m", "to_m", "dn", "material", "year")
    assert with_heads.rows == (("0", "12,5", "100", "grey_iron", "1911"),)
    without = read_pasted("0\t12,5\t100\tgrey_iron\n12,5\t20\t100\tgrey_iron\n", columns)
    assert without.header == ()
    assert len(without.rows) == 2
    assert without.meant == ("from_m", "to_m", "dn", "material")


@given(st.text(max_size=200))
@settings(max_examples=150, deadline=None)
def test_any_text_can_be_pasted(text: str) -> None:
    found = read_pasted(text, TABLES["features"].columns)
    assert all(len(row) == len(found.meant) for row in found.rows)


def test_two_revisions_differ_in_what_was_changed_alone() -> None:
    cells = cells_of(SAMPLE, "features")
    rows = [list(row) for row in cells.rows]
    place = cells.header.index("note")
    rows[1][place] = "seen on site"
    rows.insert(1, ["1.5", "hydrant"] + [""] * (len(cells.header) - 2))
    after = with_cells(SAMPLE, {"features": Cells(cells.header, tuple(map(tuple, rows)))})
    found = compare_documents(SAMPLE, after)
    assert [(one.column, one.after) for one in found if one.column] == [("note", "seen on site")]
    assert [(one.where, one.before) for one in found if not one.column] == [("1.5", "")]
    assert compare_documents(SAMPLE, SAMPLE) == ()
    assert len(compare_documents(after, SAMPLE)) == len(found)


def test_connections_of_list_street_and_camera_are_matched() -> None:
    from mainwright.job.survey import Service

    listed = (Service(10.0, ref="A"), Service(20.0, ref="B"), Service(30.0))
    seen = [
        {"chainage_m": 10.4, "seen_by": "camera"},
        {"chainage_m": 10.2, "seen_by": "street", "ref": "A"},
        {"chainage_m": 30.9, "seen_by": "camera"},
        {"chainage_m": 45.0, "seen_by": "camera"},
    ]
    found = {(one.chainage, one.listed, one.street, one.camera) for one in reconcile(listed, seen)}
    assert found == {(10.0, True, 10.2, 10.4), (20.0, True, None, None), (30.0, True, None, 30.9), (45.0, False, None, 45.0)}


_CELL = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0\ufeff"), max_size=8).map(str.strip)


@given(st.lists(st.lists(_CELL, min_size=2, max_size=5), min_size=1, max_size=6))
def test_whatever_a_spreadsheet_copies_comes_out_cell_by_cell(rows: list[list[str]]) -> None:
    def copied(cell: str) -> str:
        return '"' + cell.replace('"', '""') + '"' if set(cell) & set('"\t\n\r') else cell

    text = "\r\n".join("\t".join(map(copied, row)) for row in rows)
    found = read_pasted(text, TABLES["features"].columns, mark="\t")
    wide = max(map(len, rows))
    ends = [[cell.replace("\r\n", "\n").replace("\r", "\n").strip() for cell in row] + [""] * (wide - len(row)) for row in rows]
    wanted = [tuple(row) for row in ends if any(row)]
    got = ([found.header] if found.header else []) + list(found.rows)
    trimmed = max((len(row) for row in got), default=0)
    assert [row[:trimmed] for row in got] == [row[:trimmed] for row in wanted]
    assert not any(any(row[trimmed:]) for row in wanted)


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        ("\t12,5\tx\n3\t4\t5", [("", "12,5", "x"), ("3", "4", "5")]),
        ('a\t12" pipe\n"open\tquote\n', [("a", '12" pipe'), ('"open', "quote")]),
        ('"two\nlines"\tb\nc\td\n', [("two\nlines", "b"), ("c", "d")]),
        ("12,5\n13,75\n14\n", [("12,5",), ("13,75",), ("14",)]),
        ("Main, as surveyed\n0\t12,5\n12,5\t20\n20\t30", [("Main, as surveyed", ""), ("0", "12,5"), ("12,5", "20"), ("20", "30")]),
        ("\ufeff1;2,5\r\n3;4\r\n", [("1", "2,5"), ("3", "4")]),
        ("a\0\tb", [("a", "b")]),
    ],
)
def test_what_people_paste(text: str, rows: list[tuple[str, ...]]) -> None:
    assert list(read_pasted(text, TABLES["services"].columns).rows) == rows
