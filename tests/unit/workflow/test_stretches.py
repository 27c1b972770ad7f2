"""Rows of pipes to contiguous stretches: what a careful engineer does with dirty records, and what is told of it."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.unit.workflow.helpers import MAPPING, MemoryInventory, notes, pipes, taken


def _spans(rows: object) -> list[tuple[float, float, object, object]]:
    return [(row["from_m"], row["to_m"], row.get("dn"), row["material"]) for row in rows]  # type: ignore[attr-defined]


def test_clean_rows_come_as_they_are() -> None:
    result = taken(pipes("0 10 150 CI 1931", "10 25.5 150 DI 1974"))
    assert _spans(result.rows["main"]) == [(0, 10, 150, "grey_iron"), (10, 25.5, 150, "ductile_iron")]
    assert result.report.noted == ()
    assert result.report.lengths == (("150", "grey_iron", 10.0), ("150", "ductile_iron", 15.5))


def test_a_gap_is_a_stretch_of_its_own_and_is_told() -> None:
    result = taken(pipes("0 10 150 CI 1931", "13.3 20 150 CI 1931"))
    assert _spans(result.rows["main"]) == [(0, 10, 150, "grey_iron"), (10, 13.3, 150, "other"), (13.3, 20, 150, "grey_iron")]
    assert result.rows["main"][1]["note"] == "no pipe is recorded here"
    (told,) = notes(result, "gap")
    assert "10.00 m to 13.30 m" in told
    assert "DN 150 as on both sides" in told


def test_a_gap_between_two_sizes_takes_the_smaller_and_says_so() -> None:
    result = taken(pipes("0 10 450 CI 1931", "19.55 30 300 CI 1931"))
    assert result.rows["main"][1]["dn"] == 300
    assert "smaller size beside it" in notes(result, "gap")[0]


def test_a_gap_is_never_merged_away() -> None:
    result = taken(pipes("0 10 150 CI 1931", "12 20 150 CI 1931", "20 30 150 CI 1931"), "main.merge = true" + MAPPING)
    assert [row["to_m"] for row in result.rows["main"]] == [10, 12, 30]


def test_an_overlap_is_trimmed_and_a_pipe_inside_another_left_out() -> None:
    result = taken(pipes("0 10 150 CI 1931", "8 20 150 CI 1931", "12 18 100 CI 1950"))
    assert _spans(result.rows["main"]) == [(0, 10, 150, "grey_iron"), (10, 20, 150, "grey_iron")]
    assert notes(result, "overlap")
    assert notes(result, "inside") == ["4: from 12.00 m to 18.00 m another pipe is recorded already (line 3); it is left out"]


def test_doubles_are_left_out_once_told() -> None:
    result = taken(pipes("0 10 150 CI 1931", "0 10 150 CI 1931", "10 20 150 CI 1931"))
    assert len(result.rows["main"]) == 2
    assert notes(result, "double") == ["3: the same pipe stands in line 2 already; it is left out"]


def test_rows_against_the_chainage_and_without_length() -> None:
    result = taken(pipes("10 0 150 CI 1931", "10 10 150 CI 1931", "- 30 150 CI 1931"))
    assert _spans(result.rows["main"]) == [(0, 10, 150, "grey_iron")]
    assert notes(result, "reversed")
    assert notes(result, "no_length")
    assert notes(result, "no_chainage")


def test_a_size_of_nought_stays_empty_unless_the_mapping_says_otherwise() -> None:
    rows = ("0 10 150 CI 1931", "10 20 0 CI 1931", "20 30 100 CI 1931")
    result = taken(pipes(*rows))
    assert "dn" not in result.rows["main"][1]
    assert notes(result, "dn") == ["3: the size is not known; fill dn in main.csv before planning"]
    result = taken(pipes(*rows), 'main.dn_where_unknown = "smaller_neighbour"' + MAPPING)
    assert result.rows["main"][1]["dn"] == 100
    assert "smaller size beside it" in notes(result, "dn")[0]


def test_an_unknown_code_is_told_with_all_its_lines() -> None:
    result = taken(pipes("0 10 150 XX 1931", "10 20 150 XX 1931", "20 30 150 CI 1931"))
    assert [row["material"] for row in result.rows["main"]] == ["other", "other", "grey_iron"]
    assert notes(result, "unknown_code") == ["2,3: the mapping does not say what `XX` is; material stays empty"]
    assert notes(result, "material")


def test_short_pipes_are_carried_and_told() -> None:
    result = taken(pipes("0 10 400 DI 1970", "10 10.3 400 DI 1994", "10.3 20 400 DI 1970"))
    assert len(result.rows["main"]) == 3
    assert notes(result, "short") == ["3: the pipe is shorter than 1 m; carried as it stands"]


def test_centimetres_between_pipes_are_drawing_accuracy() -> None:
    result = taken(pipes("0 10 150 CI 1931", "10.02 20 150 CI 1931", "19.97 30 150 CI 1931"))
    assert _spans(result.rows["main"]) == [(0, 10, 150, "grey_iron"), (10, 20, 150, "grey_iron"), (20, 30, 150, "grey_iron")]
    assert notes(result, "snapped")[0].startswith("3,4: ")


def test_lengths_add_up_in_the_order_of_a_column() -> None:
    mapping = """
    main.order = "SEQ"
    main.length = { column = "FT", unit = "ft" }
    [main.columns]
    dn = { column = "IN", values = { "6" = "150", "8" = "200" } }
    material = { constant = "grey_iron" }
    """
    rows = [{"SEQ": "10", "FT": "100", "IN": "8"}, {"SEQ": "9", "FT": "50", "IN": "6"}]
    result = taken(MemoryInventory({"": rows}), mapping)
    assert _spans(result.rows["main"]) == [(0, 15.24, 150, "grey_iron"), (15.24, 45.72, 200, "grey_iron")]


def test_merged_neighbours_keep_the_ids_of_all() -> None:
    mapping = 'main.merge = true\nmain.keep = ["YEAR"]\n' + MAPPING.replace('year = "YEAR"', "")
    result = taken(pipes("0 10 150 CI A1", "10 20 150 CI A2", "20 30 200 CI A3"), mapping)
    assert [(row["to_m"], row["YEAR"]) for row in result.rows["main"]] == [(20, "A1 A2"), (30, "A3")]


def test_a_pipe_shorter_than_the_slip_beside_another_is_left_out_and_told() -> None:
    rows = [{"FROM": "0", "TO": "0.03", "DIAM": "150", "MAT": material} for material in ("CI", "DI")]
    result = taken(MemoryInventory({"": rows}), MAPPING.replace('year = "YEAR"', ""))
    assert [(row["from_m"], row["to_m"]) for row in result.rows["main"]] == [(0.0, 0.03)]
    assert notes(result, "inside")


def test_no_row_is_told() -> None:
    result = taken(MemoryInventory({"": []}))
    assert "main" not in result.rows
    assert notes(result, "nothing")


@given(
    st.lists(
        st.tuples(
            st.floats(0, 500, allow_nan=False).map(lambda value: round(value, 2)),
            st.floats(0, 500, allow_nan=False).map(lambda value: round(value, 2)),
            st.sampled_from(["150", "200", "0", "x", ""]),
            st.sampled_from(["CI", "DI", "??", ""]),
        ),
        max_size=12,
    ),
    st.booleans(),
)
def test_stretches_are_always_contiguous_and_lie_within_what_was_recorded(rows: list[tuple[float, float, str, str]], merge: bool) -> None:
    heads = ("FROM", "TO", "DIAM", "MAT")
    content = [dict(zip(heads, (str(row[0]), str(row[1]), row[2], row[3]), strict=True)) for row in rows]
    mapping = ("main.merge = true\n" if merge else "") + MAPPING.replace('year = "YEAR"', "")
    result = taken(MemoryInventory({"": content}), mapping)
    found = result.rows.get("main", ())
    for before, after in pairwise(found):
        assert before["to_m"] == after["from_m"]
    for row in found:
        assert row["from_m"] < row["to_m"]  # type: ignore[operator]
    real = [(low, high) for low, high in ((min(row[:2]), max(row[:2])) for row in rows) if high > low]
    if real:
        assert found[0]["from_m"] == min(low for low, _ in real)
        assert float(str(found[-1]["to_m"])) == pytest.approx(max(high for _, high in real), abs=0.05)
    else:
        assert found == ()
