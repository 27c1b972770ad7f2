"""The table's guess of a bore."""

import pytest

from mainwright.errors import InputError
from mainwright.standards.bores import table_bore
from mainwright.standards.published import table


@pytest.mark.outside("ISO 2531:1998 / EN 545:2007 class K9, DN 150: outside 170 mm, wall 6.0 mm; DN 600: 635 mm, 9.9 mm")
def test_ductile_iron_is_the_outside_less_two_walls() -> None:
    for dn, outside, wall in ((150, 0.170, 0.0060), (600, 0.635, 0.0099)):
        found = table_bore(dn=dn, material="ductile_iron")
        assert found is not None
        assert found.value == pytest.approx(outside - 2 * wall)


@pytest.mark.outside("K9 wall is 9 (0.5 + 0.001 DN) mm and at least 6 mm: ISO 2531:1998")
def test_ductile_walls_follow_their_own_formula() -> None:
    outside = {200: 222, 250: 274, 300: 326, 400: 429, 500: 532, 600: 635, 800: 842, 1000: 1048}
    for dn, diameter in outside.items():
        found = table_bore(dn=dn, material="ductile_iron")
        assert found is not None
        wall = (diameter / 1000 - found.value) / 2
        assert wall == pytest.approx(max(6.0, 9 * (0.5 + 0.001 * dn)) / 1000, abs=0.00006)


def test_every_bore_is_near_its_name_and_inside_its_range() -> None:
    for row in table("bores").rows:
        dn, found = row.get("dn"), row.published
        if row.get("rule"):
            continue
        assert isinstance(dn, int)
        assert found.unit == "mm"
        assert 0.95 * dn / 1000 < found.value < 1.13 * dn / 1000
        assert found.low is not None
        assert found.high is not None
        assert found.low <= found.value <= found.high


def test_bore_grows_with_size() -> None:
    for material in {row.text("material") for row in table("bores").rows}:
        bores = [row.published.value for row in table("bores").all(material=material) if not row.get("rule")]
        assert bores == sorted(bores)
        assert len(set(bores)) == len(bores)


def test_what_no_table_knows_is_not_guessed() -> None:
    assert table_bore(dn=150, material="pvc") is None
    assert table_bore(dn=151, material="steel") is None
    with pytest.raises(InputError, match="dn"):
        table_bore(dn=0, material="steel")


def test_a_size_without_a_row_takes_its_name_where_pipe_is_named_by_its_bore() -> None:
    found = table_bore(dn=152, material="grey_iron")
    assert found is not None
    assert found.value == pytest.approx(0.152)
    assert found.low == pytest.approx(0.98 * 0.152)
    assert found.source.status == "practice"
