"""Flow at equal head, power and energy."""

import pytest

from mainwright.errors import InputError
from mainwright.science.hydraulics.capacity import Bore, capacity_gain, pump_power, pumping_energy
from mainwright.science.hydraulics.head_loss import head_loss

FOOT, GPM, HORSE = 0.3048, 231 * 0.0254**3 / 60, 745.69987


@pytest.mark.outside(
    "Subramanya, example 10.18 p. 222: 1.5 m main with k 15 mm, lined 10 mm with k 0.2 mm, 4 m3/s: 162.3 kW saved a kilometre"
)
def test_power_saved_by_a_lining() -> None:
    losses = [
        head_loss(flow=4.0, bore=bore, length=1000.0, roughness=rough, viscosity=1e-6) for bore, rough in ((1.5, 0.015), (1.48, 2e-4))
    ]
    saved = pump_power(flow=4.0, head=losses[0] - losses[1], density=9790 / 9.80665, efficiency=1.0)
    assert saved / 1e3 == pytest.approx(162.3, rel=5e-3)


@pytest.mark.outside("Subramanya, example 10.19 p. 222: 127.9 l/s over 2.5 m take 3.13 kW")
def test_power_at_a_gradient() -> None:
    assert pump_power(flow=0.1279, head=2.5, density=9790 / 9.80665, efficiency=1.0) / 1e3 == pytest.approx(3.13, rel=3e-3)


@pytest.mark.outside("Cengel and Cimbala, 1st ed., example 8-3 p. 360: 579 W")
def test_power_of_a_smooth_pipe() -> None:
    assert pump_power(flow=0.006, head=96536 / (999 * 9.80665), density=999.0, efficiency=1.0) == pytest.approx(579, rel=4e-3)


@pytest.mark.outside(
    "Technical Paper 410, example 7.34: 700 gpm, 428 ft, 0.707 x 0.95 x 0.96, 8000 h at 0.12: 83 970 a year (rounded constants)"
)
def test_yearly_cost() -> None:
    energy = pumping_energy(flow=700 * GPM, head=428 * FOOT, density=999.0, efficiency=0.707 * 0.95 * 0.96, duration=8000 * 3600.0)
    assert 0.12 * energy / 3.6e6 == pytest.approx(83970, rel=2e-3)


@pytest.mark.outside(
    "Moran et al., Introduction to Thermal Systems Engineering, example 12.7 p. 285: 10 hp lift 2 ft3/s by 30 ft and 14.1 ft of loss"
)
def test_head_from_power() -> None:
    power = pump_power(flow=2 * FOOT**3, head=(30 + 14.07) * FOOT, density=62.4 * 0.45359237 / FOOT**3, efficiency=1.0)
    assert power / HORSE == pytest.approx(10.0, abs=0.02)


@pytest.mark.outside("constructed: 12 l/s, 6.4 m, 0.65, one year: 10 153.6 kWh with g 9.81")
def test_energy_of_a_year() -> None:
    energy = pumping_energy(flow=0.012, head=6.4, density=1000.0, efficiency=0.65, duration=8760 * 3600.0)
    assert energy / 3.6e6 * 9.81 / 9.80665 == pytest.approx(10153.62166, rel=1e-9)


def test_gain_is_the_flow_that_loses_the_same_head() -> None:
    before, after = Bore(0.13, 3e-3), Bore(0.142, 1e-4)
    gain = capacity_gain(flow=0.008, before=before, after=after, viscosity=1.3e-6)
    losses = [
        head_loss(flow=flow, bore=pipe.diameter, length=7.0, roughness=pipe.roughness, viscosity=1.3e-6)
        for flow, pipe in ((0.008, before), (0.008 * gain, after))
    ]
    assert gain > 1.0
    assert losses[0] == pytest.approx(losses[1], rel=1e-9)
    assert capacity_gain(flow=0.008, before=before, after=before, viscosity=1.3e-6) == pytest.approx(1.0, rel=1e-9)


def test_impossible_efficiency_is_told() -> None:
    with pytest.raises(InputError, match=r"efficiency is 0\.0; allowed: over 0, up to 1"):
        pump_power(flow=1.0, head=1.0, density=1000.0, efficiency=0.0)
