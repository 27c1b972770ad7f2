"""Fittings, ground, the map, and what is left over."""

import pytest

from mainwright.errors import InputError
from mainwright.job.columns import TABLES
from mainwright.job.document import check_document
from mainwright.workflow.take_in_text import report_document, report_lines
from mainwright.workflow.taken_document import document_of, section_names
from tests.unit.workflow.helpers import MAPPING, MemoryInventory, notes, pipes, taken

FEATURES = (
    MAPPING
    + """
[[features]]
table = "fittings"
rows = { WHAT = ["valve", "bend"] }
keep = ["ID"]
[features.columns]
chainage_m = "AT"
kind = { column = "WHAT", values = { valve = "gate_valve", bend = "bend" } }
angle_deg = { column = "ANGLE", absolute = true }
"""
)


def _with_fittings(*rows: str) -> MemoryInventory:
    heads = ("ID", "AT", "WHAT", "ANGLE")
    fittings = [dict(zip(heads, (cell.strip("-") if cell == "-" else cell for cell in row.split()), strict=True)) for row in rows]
    return MemoryInventory({"": pipes("0 100 150 CI 1931").tables[""], "fittings": fittings})


def test_fittings_in_order_with_what_is_left_over() -> None:
    result = taken(
        _with_fittings(
            "F1 60 valve -", "F2 20 bend -22.5", "F2 20 bend -22.5", "F3 100.02 valve -", "F4 140 valve -", "F5 x valve -", "F6 5 tree -"
        ),
        FEATURES,
    )
    assert [(row["chainage_m"], row["kind"], row.get("angle_deg"), row["ID"]) for row in result.rows["features"]] == [
        (20, "bend", 22.5, "F2"),
        (60, "gate_valve", None, "F1"),
        (100, "gate_valve", None, "F3"),
    ]
    assert notes(result, "double") == ["4: the same stands in line 3 already; it is left out"]
    assert notes(result, "outside") == ["6: it lies outside the main; left out"]
    assert notes(result, "not_a_number") == ["7: `x` is not a number; the row is left out"]
    tally = result.report.tallies[1]
    assert tally.passed_over == (("WHAT = tree", 1),)
    assert tally.uses == (("features", 6, 3),)


def test_a_column_that_is_not_there_is_told() -> None:
    result = taken(_with_fittings("F1 60 valve -"), FEATURES.replace('"AT"', '"WHERE"'))
    assert "features" not in result.rows
    assert [one.column for one in result.report.noted if one.code == "no_column"] == ["WHERE"]
    assert notes(result, "missing") == ["2: chainage_m is not known; the row is left out"]


def test_points_make_the_line_and_its_bends() -> None:
    text = MAPPING + '[geometry]\ntable = "points"\nx = "X"\ny = "Y"\nchainage = "AT"\ncrs = "EPSG:25832"\nbends_from_deg = 5.0\n'
    points = [{"X": "0", "Y": "0", "AT": "0"}, {"X": "100", "Y": "0", "AT": "100"}, {"X": "50", "Y": "0", "AT": "50"}]
    inventory = MemoryInventory({"": pipes("0 100 150 CI 1931").tables[""], "points": points})
    result = taken(inventory, text)
    assert result.line == ((0.0, 0.0), (50.0, 0.0), (100.0, 0.0))
    assert result.crs == "EPSG:25832"
    assert "features" not in result.rows
    points[2] = {"X": "50", "Y": "10", "AT": "51"}
    result = taken(inventory, text)
    (bend,) = result.rows["features"]
    assert bend["kind"] == "bend"
    assert bend["angle_deg"] == pytest.approx(22.62, abs=0.01)
    assert bend["chainage_m"] == 51
    assert bend["note"] == "from the map, to the right"
    assert notes(result, "length")[0].endswith("the line on the map is 102.0 m long, the recorded pipes 100.0 m")


def test_degrees_are_projected_and_told() -> None:
    text = MAPPING + '[geometry]\ntable = "points"\nx = "X"\ny = "Y"\ncrs = "degrees"\n'
    points = [{"X": "0", "Y": "0"}, {"X": "0.1", "Y": "0"}]
    result = taken(MemoryInventory({"": pipes("0 100 150 CI 1931").tables[""], "points": points}), text)
    assert result.line == ((0.0, 0.0), (100.0, 0.0))
    assert result.crs == "metres"
    assert notes(result, "crs")


GEOMETRY = """
main.order = "geometry"
main.columns = { dn = "D", material = { constant = "steel" } }
geometry = { join_m = 5.0, bends_from_deg = 30 }
"""


def test_lines_give_order_chainage_and_bends() -> None:
    rows = [{"D": "100"}, {"D": "300"}, {"D": "200"}]
    lines = [((0.0, 0.0), (10.0, 0.0)), ((23.0, 0.0), (23.0, 9.0)), ((20.0, 0.0), (10.0, 0.0))]
    result = taken(MemoryInventory({"": rows}, lines, crs="EPSG:25832"), GEOMETRY)
    assert [(row["from_m"], row["to_m"], row["dn"], row["material"]) for row in result.rows["main"]] == [
        (0, 10, 100, "steel"),
        (10, 20, 200, "steel"),
        (20, 23, 200, "other"),
        (23, 32, 300, "steel"),
    ]
    assert [(row["chainage_m"], row["angle_deg"]) for row in result.rows["features"]] == [(23, 90)]
    assert notes(result, "direction")


def test_lines_without_a_way_are_told_and_nothing_is_made() -> None:
    lines = [((0.0, 0.0), (10.0, 0.0)), ((500.0, 0.0), (510.0, 0.0))]
    result = taken(MemoryInventory({"": [{"D": "100"}, {"D": "100"}]}, lines), GEOMETRY)
    assert "main" not in result.rows
    assert "more than one piece" in notes(result, "no_way")[0]


def test_one_main_is_picked_or_the_choice_is_told() -> None:
    rows = [{"M": name, "FROM": "0", "TO": "10", "DIAM": "150", "MAT": "CI", "YEAR": ""} for name in ("A", "B")]
    text = '[inventory]\nmain_column = "M"\n' + MAPPING
    with pytest.raises(InputError, match="one of the mains of pipes: A, B"):
        taken(MemoryInventory({"": rows}), text)
    assert taken(MemoryInventory({"": rows}), text, main="B").report.main == "B"
    assert taken(MemoryInventory({"": rows[:1]}), text).report.main == ""
    with pytest.raises(InputError, match="what stands in M of pipes: A, B"):
        taken(MemoryInventory({"": rows}), text, main="C")
    with pytest.raises(InputError, match="a mapping with main_column"):
        taken(MemoryInventory({"": rows}), MAPPING, main="B")


def test_the_document_lacks_what_the_inventory_cannot_know() -> None:
    text = '[inventory]\nmain_column = "MAT"\n' + MAPPING + '[job]\nclient = "Owner"\nfirst_day = 2026-04-13\n'
    result = taken(pipes("0 10 150 CI 1931", "12 20 150 CI 1931"), text, main="CI")
    document = document_of(result, tables=TABLES)
    assert document.rows("job") == [{"client": "Owner", "first_day": "2026-04-13", "name": "Main CI", "reference": "CI"}]
    assert document.headers["main"][-1] == "note"
    faults = [fault for fault in check_document(document) if fault.severity == "fault"]
    assert {(fault.table, fault.column) for fault in faults} == {
        ("lining", "governing_document"),
        ("lining", "nominal_mm"),
        ("lining", "minimum_mm"),
    }


def test_a_mapping_may_bring_the_lining_along() -> None:
    lining = """
    [lining]
    governing_document = "Works specification (invented)"
    nominal_mm = 6.0
    minimum_mm = 4.0
    by_dn = [ { dn_from = 80, dn_to = 150, nominal_mm = 5.0 } ]
    """
    document = document_of(taken(pipes("0 10 150 CI 1931"), MAPPING + lining), tables=TABLES)
    assert document.rows("by_dn") == [{"dn_from": 80, "dn_to": 150, "nominal_mm": 5.0}]
    assert not [fault for fault in check_document(document) if fault.severity == "fault"]


def test_section_names_come_from_the_dictionary() -> None:
    names = section_names(TABLES)
    assert {"job", "lining", "mortar", "water", "pump"} <= set(names)
    assert len(names) == len(set(names))


def test_the_report_as_text_and_as_values() -> None:
    result = taken(_with_fittings("F1 60 valve -", "F6 5 tree -"), FEATURES)
    document = report_document(result.report)
    assert document["length_m"] == 100.0
    text = "\n".join(report_lines(result.report, width=80))
    assert "The main: 100.0 m taken in" in text
    assert "DN 150, grey iron: 100.0 m" in text
    assert "rows passed over: 1 with WHAT = tree" in text
    assert all(len(line) <= 80 for line in text.splitlines())
