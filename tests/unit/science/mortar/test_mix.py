"""Mortar by absolute volumes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.science.mortar.mix import Mix, bags, batches, mix


def _mix(water: float = 0.4, air: float = 0.02, moisture: float = 0.0, sand: float = 1.0) -> Mix:
    return mix(sand_per_cement=sand, water_per_cement=water, air=air, cement_density=3150.0, sand_density=2650.0, sand_moisture=moisture)


@pytest.mark.outside("trade requirement list, A3: equal masses, w/c 0.40, air 2 % gives 895 / 895 / 358 kg")
def test_a_cubic_metre() -> None:
    made = _mix()
    assert (round(made.cement), round(made.sand), round(made.water)) == (895, 895, 358)


# w/c, air [%], litres by kg of cement, kg of cement in a cubic metre, density [kg/l], litres by bag of 25 kg.
GRID = [
    (0.35, 0, 1.044818808, 957.1037507, 2.249193814, 26.1204702), (0.35, 4, 1.088352925, 918.8196007, 2.159226062, 27.20882313),
    (0.40, 2, 1.117162049, 895.1252872, 2.148300689, 27.92905123), (0.42, 2, 1.137570212, 879.0666187, 2.127341217, 28.43925531),
    (0.45, 4, 1.192519592, 838.5606467, 2.054473584, 29.81298979), (0.50, 4, 1.244602925, 803.4691064, 2.008672766, 31.11507313),
]  # fmt: skip


@pytest.mark.outside("reference grid of 1:1 mortar, computed by others by absolute volumes (densities 3.15, 2.65, 1.0), ten digits")
@pytest.mark.parametrize("row", GRID)
def test_yield_grid(row: tuple[float, ...]) -> None:
    water, air, litres, cement, density, bag = row
    made = _mix(water, air / 100.0)
    assert 1e3 * made.yield_by_cement == pytest.approx(litres, rel=1e-9)
    assert made.cement == pytest.approx(cement, rel=1e-9)
    assert made.density / 1e3 == pytest.approx(density, rel=1e-9)
    assert 25e3 * made.yield_by_cement == pytest.approx(bag, rel=1e-9)


@pytest.mark.outside(
    "ACI 211.1-91, example 1 (from memory): water 300 lb, cement 484 lb, stone 1917 lb, air 1 %: sand 1318 lb in a cubic yard"
)
def test_printed_concrete_example() -> None:
    # The stone is carried as sand of the joint density, for the sum knows only one grain.
    pound, yard = 0.45359237, 0.9144**3
    grains = (1917.0 + 1318.0) * pound
    volume = (1917.0 / 2.68 + 1318.0 / 2.64) * pound / 1000.0
    made = mix(
        sand_per_cement=(1917.0 + 1318.0) / 484.0, water_per_cement=300.0 / 484.0, air=0.01, cement_density=3150.0, sand_density=grains / volume, sand_moisture=0.0
    )  # fmt: skip
    assert made.cement * yard / pound == pytest.approx(484.0, abs=0.5)
    assert made.sand * yard / pound - 1917.0 == pytest.approx(1318.0, abs=3.0)


@pytest.mark.outside("constructed example: 0.2714336 m3 of lining take 247.93 kg of cement (density of cement rounded there)")
def test_cement_of_a_lining() -> None:
    assert 0.2714336053 * _mix(air=0.0).cement == pytest.approx(247.93, abs=0.05)


@given(st.floats(0.0, 4.0), st.floats(0.25, 0.7), st.floats(0.0, 0.2), st.floats(0.0, 0.06))
def test_volumes_fill_the_whole_and_moisture_only_shifts_water(sand: float, water: float, air: float, moisture: float) -> None:
    made = _mix(water, air, moisture, sand)
    assert made.cement / 3150.0 + made.sand / 2650.0 + made.water / 1000.0 + air == pytest.approx(1.0)
    assert made.sand_moist + made.water_added == pytest.approx(made.sand + made.water)
    assert made.water_added == pytest.approx(made.water - moisture * made.sand)


@given(st.floats(0.0, 50.0), st.floats(0.02, 1.0))
def test_batches_make_up_the_volume(volume: float, batch: float) -> None:
    made = batches(volume=volume, batch=batch)
    assert max(made.count - 1, 0) * made.size + made.last == pytest.approx(volume, abs=1e-9)
    assert 0.0 <= made.last <= batch * (1.0 + 1e-6)
    assert made.count == 0 or made.last > 0.0


def test_exact_batches_and_bags() -> None:
    assert batches(volume=3 * 0.24, batch=0.24).count == 3
    assert batches(volume=0.0, batch=0.24).count == 0
    assert bags(mass=250.0, bag=25.0) == 10
    assert bags(mass=250.1, bag=25.0) == 11
    assert bags(mass=0.0, bag=25.0) == 0


def test_sand_too_wet_is_told() -> None:
    with pytest.raises(InputError, match=r"sand_moisture is 0\.5; allowed: up to 0\.4"):
        _mix(moisture=0.5)
    with pytest.raises(InputError, match=r"air is 1\.0; allowed: 0 or more, under 1"):
        _mix(air=1.0)
    with pytest.raises(InputError, match="batch is 0"):
        batches(volume=1.0, batch=0.0)
