"""The carbonate equilibrium of waters."""

import numpy as np
import pytest

from mainwright.science.chemistry.equilibrium import GIVEN, RESULT, solve_waters
from tests.unit.science.chemistry.oracle import by_phreeqc, random_waters

PH, INDEX, CAPACITY, STATUS = (RESULT.index(name) for name in ("ph", "saturation_index", "capacity", "status"))
LIME = GIVEN.index("lime")

pytest.importorskip("phreeqc")


@pytest.mark.outside("PHREEQC 3 (USGS) with phreeqc.dat, package phreeqc: random plausible waters from 0 to 30 degC")
def test_index_and_capacity_are_those_of_the_public_engine(full_size: bool) -> None:
    table = random_waters(500 if full_size else 60, 1)
    found = solve_waters(table, calcite=True, compiled=False)
    assert not found[:, STATUS].any()
    plain, settled = by_phreeqc(table), by_phreeqc(table, calcite=True)
    assert np.abs(found[:, PH] - plain[:, 0]).max() < 5e-3
    assert np.abs(found[:, INDEX] - plain[:, 1]).max() < 5e-3
    far = np.abs(settled[:, 2]) > 1e-5
    assert np.abs(found[far, CAPACITY] / settled[far, 2] - 1.0).max() < 0.02
    assert np.abs(found[~far, CAPACITY] - settled[~far, 2]).max() < 1e-6


@pytest.mark.outside("PHREEQC 3 (USGS) with phreeqc.dat, package phreeqc: Ca(OH)2 taken up, closed to air, nothing precipitated")
@pytest.mark.parametrize("lime", [1e-5, 2e-4, 1.5e-3])
def test_ph_after_lime_is_that_of_the_public_engine(lime: float, full_size: bool) -> None:
    table = random_waters(500 if full_size else 40, 2)
    limed = table.copy()
    limed[:, LIME] = lime
    found = solve_waters(limed, calcite=False, compiled=False)
    assert np.abs(found[:, PH] - by_phreeqc(table, lime=lime)[:, 0]).max() < 5e-3


@pytest.mark.slow
def test_compiled_and_plain_say_the_same() -> None:
    table = random_waters(300, 3)
    plain, compiled = (solve_waters(table, calcite=True, compiled=way) for way in (False, True))
    assert np.allclose(plain, compiled, rtol=1e-9, atol=1e-12, equal_nan=True)


def test_a_water_at_its_own_saturation_neither_dissolves_nor_drops_calcite() -> None:
    table = random_waters(20, 4)
    first = solve_waters(table, calcite=True, compiled=False)
    settled = table.copy()
    moved = first[:, CAPACITY]
    settled[:, GIVEN.index("calcium")] += moved
    settled[:, GIVEN.index("alkalinity")] += 2.0 * moved
    settled[:, GIVEN.index("carbon")] = first[:, RESULT.index("carbon")] + moved
    settled[:, GIVEN.index("ph")] = np.nan
    again = solve_waters(settled, calcite=True, compiled=False)
    assert np.abs(again[:, INDEX]).max() < 1e-6
    assert np.abs(again[:, CAPACITY]).max() < 1e-9


def test_more_lime_never_lowers_the_ph() -> None:
    table = random_waters(10, 5)
    before = solve_waters(table, calcite=False, compiled=False)[:, PH]
    for lime in (1e-5, 1e-4, 1e-3):
        limed = table.copy()
        limed[:, LIME] = lime
        after = solve_waters(limed, calcite=False, compiled=False)[:, PH]
        assert (after > before).all()
        before = after


def test_an_alkalinity_that_the_ph_alone_outweighs_is_told() -> None:
    table = random_waters(1, 6)
    table[0, GIVEN.index("ph")] = 11.5
    table[0, GIVEN.index("alkalinity")] = 1e-4
    found = solve_waters(table, calcite=False, compiled=False)
    assert found[0, STATUS] == 1
    assert np.isnan(found[0, INDEX])


def test_what_is_no_water_has_no_answer_and_spoils_none() -> None:
    table = random_waters(3, 6)
    table[1, GIVEN.index("sodium")] = 60.0
    table[1, GIVEN.index("chloride")] = 60.0
    found = solve_waters(table, calcite=True, compiled=False)
    assert list(found[:, STATUS]) == [0.0, 2.0, 0.0]
    assert np.isnan(found[1, PH])
    assert np.isfinite(found[[0, 2], PH]).all()
