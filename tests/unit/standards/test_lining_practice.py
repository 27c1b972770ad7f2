"""Thicknesses for comparison."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.standards.lining_practice import practice, recognise
from mainwright.standards.published import table


def test_sources_of_work_in_place_disagree_and_all_are_shown() -> None:
    rows = practice(dn=150, material="grey_iron", where="in_place")
    nominal = {round(row.nominal * 1000, 1) for row in rows if row.nominal is not None}
    least = {round(row.minimum * 1000, 1) for row in rows if row.minimum is not None}
    assert {4.0, 4.8, 3.2} <= nominal
    assert {3.0, 4.0, 5.0, 6.0} <= least


def test_rows_from_memory_say_so() -> None:
    for row in practice(dn=150, material="grey_iron"):
        if row.document == "AWWA C602":
            assert row.source.status == "memory"


def test_documents_that_could_not_be_read_are_named() -> None:
    assert {"DVGW W 343", "AS 1516"} <= {gap.title for gap in table("lining_practice").unseen}


def test_steel_rows_are_not_iron_rows() -> None:
    assert not {row.document for row in practice(dn=300, material="ductile_iron", where="factory")} & {"AWWA C205"}
    steel = {row.document: row for row in practice(dn=300, material="steel", where="factory")}
    assert steel["AWWA C205"].least == pytest.approx(0.0079 - 0.0016)
    assert steel["AWWA C205"].greatest == pytest.approx(0.0079 + 0.0032)


@pytest.mark.outside("AWWA C104-90 double thickness, 4 to 12 inch: 1/8 inch; as quoted in a public bid")
def test_a_factory_lining_is_recognised() -> None:
    found = {row.document for row in recognise(thickness=0.0032, dn=200, material="ductile_iron")}
    assert "AWWA C104, double thickness" in found


def test_a_thin_coat_is_no_factory_lining() -> None:
    assert recognise(thickness=0.0005, dn=150, material="ductile_iron") == ()


@given(st.integers(min_value=40, max_value=2600), st.floats(min_value=0.0, max_value=0.05))
def test_what_is_recognised_is_a_row_for_that_pipe(dn: int, thickness: float) -> None:
    rows = practice(dn=dn, material="ductile_iron", where="factory")
    for row in recognise(thickness=thickness, dn=dn, material="ductile_iron"):
        assert row in rows
        assert row.least is not None
        assert row.least <= thickness + 0.0004
