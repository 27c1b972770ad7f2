"""The mapping document: every slip is told, at its key."""

import pytest

from mainwright.errors import FaultyInput
from mainwright.words.wording import Wording
from tests.unit.workflow.helpers import MAPPING, mapped


def _faults(text: str) -> dict[str, str]:
    with pytest.raises(FaultyInput, match="in the input") as caught:
        mapped(text)
    word = Wording().word
    return {fault.key: word(fault.message) for fault in caught.value.faults}  # type: ignore[attr-defined]


def test_a_small_mapping_is_enough() -> None:
    mapping = mapped(MAPPING)
    assert mapping.main.columns["from_m"][0].columns == ("FROM",)
    assert mapping.snap == 0.05
    assert not mapping.merge
    assert mapping.geometry is None


def test_all_faults_at_once() -> None:
    faults = _faults(
        """
        colour = "red"
        [inventory]
        source = 3
        decimal = "dot"
        [main]
        merge = "yes"
        snap_m = -1
        rows = { a = { from = "x" } }
        [main.columns]
        from_m = "FROM"
        dn = { column = "D", unit = "furlong" }
        bore = "B"
        year = { column = "Y", constant = 3 }
        joint_m = { column = "J", pattern = "(" }
        wall_mm = { column = "W", pattern = "x" }
        material = 3
        deposit_mm = { column = "D", values = 3, colour = "red" }
        [[features]]
        table = "f.csv"
        [geometry]
        table = "g.csv"
        """
    )
    assert set(faults) == {
        "colour", "inventory.source", "inventory.decimal", "main.merge", "main.snap_m", "main.rows.a", "main.columns.dn.unit",
        "main.columns.bore", "main.columns.year", "main.columns.joint_m.pattern", "main.columns.wall_mm.pattern", "main.columns.material",
        "main.columns.deposit_mm.values", "main.columns.deposit_mm.colour", "main.columns", "features[0].columns", "geometry",
    }  # fmt: skip
    assert "bore_mm" in faults["main.columns.bore"]
    assert "main.length" in faults["main.columns"]


def test_units_must_be_of_one_kind() -> None:
    faults = _faults(
        MAPPING.replace('"FROM"', '{ column = "FROM", unit = "psi" }').replace('column = "DIAM"', 'column = "DIAM", unit = "in"')
    )
    assert faults["main.columns.from_m.unit"] == "psi cannot become m; one of ft, in, km, m, mi, mm is right"
    assert faults["main.columns.dn.unit"] == "dn has no unit: name what each code is in values"


def test_what_a_stretch_must_have_is_asked_for() -> None:
    assert set(_faults('[main.columns]\nfrom_m = "a"\nto_m = "b"\n')) == {"main.columns.dn", "main.columns.material"}
    assert "main.length" in _faults("main.length = 'L'\n" + MAPPING)
    assert "main.order" in _faults("main.order = 'geometry'\n" + MAPPING)
    assert {"main.columns"} <= set(_faults(""))


def test_a_table_in_place_of_a_list_and_text_in_place_of_a_table() -> None:
    assert mapped(MAPPING + "[features]\ntable = 'f'\n[features.columns]\nkind = 'k'\n").others[0].table == "f"
    assert "features[0]" in _faults("features = 3\n" + MAPPING)
    assert "main" in _faults("main = 3\n")


def test_rules_in_turn_and_sections_are_kept() -> None:
    mapping = mapped(MAPPING + "existing_lining = ['a', { column = 'b', others = '' }]\n[lining]\nnominal_mm = 6.0\n")
    first, second = mapping.main.columns["existing_lining"]
    assert first.columns == ("a",)
    assert second.others == ""
    assert mapping.sections == {"lining": {"nominal_mm": 6.0}}
