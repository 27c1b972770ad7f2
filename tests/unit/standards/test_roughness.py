"""Roughness by material and condition."""

import pytest

from mainwright.standards.published import table
from mainwright.standards.roughness import Condition, roughness

BARE: tuple[Condition, ...] = ("new", "good", "normal", "poor")


@pytest.mark.outside("US EPA network hydraulics manual 2.2, roughness of new pipe: cast iron 0.85e-3 ft")
def test_new_cast_iron() -> None:
    found = roughness(material="grey_iron", condition="new")
    assert found is not None
    assert found.value == pytest.approx(0.85e-3 * 0.3048)


@pytest.mark.outside("Wallingford table 5 as reproduced in a stormwater design manual: relined pipe 0.15 / 0.3 / 0.6 mm")
def test_lined() -> None:
    found = roughness(material="steel", condition="lined")
    assert found is not None
    assert found.value == pytest.approx(0.00015)
    assert found.high == pytest.approx(0.0006)
    assert found == roughness(material="grey_iron", condition="lined")


@pytest.mark.outside("Wallingford table 5 as reproduced in a stormwater design manual: tuberculated mains")
def test_tuberculated() -> None:
    rows = [row.published for row in table("roughness").rows if row.text("surface").startswith("tuberculated")]
    assert [(one.low, one.value, one.high) for one in rows] == [
        pytest.approx(row) for row in ((6e-4, 1.5e-3, 3e-3), (1.5e-3, 3e-3, 6e-3), (6e-3, 15e-3, 30e-3), (15e-3, 30e-3, 60e-3))
    ]


@pytest.mark.parametrize("material", ["grey_iron", "ductile_iron", "steel", "asbestos_cement", "concrete"])
def test_worse_is_rougher(material: str) -> None:
    values = [found.value for found in (roughness(material=material, condition=one) for one in BARE) if found is not None]
    assert len(values) == 4
    assert values == sorted(set(values))


def test_what_no_table_has_is_none() -> None:
    assert roughness(material="other", condition="normal") is None
