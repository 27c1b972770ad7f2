"""Leakage rules against their printed tables, and what the make-up says."""

import math

import numpy as np
import pytest

from mainwright.errors import InputError
from mainwright.science.hydraulics.pressure_test import (
    air_volume,
    leakage_allowance_c600,
    leakage_allowance_rate,
    split_make_up,
    volume_loss_en805,
)
from mainwright.units import from_si, to_si

HOUR = 3600.0


def gallons_an_hour(*, feet: float, inches: float, psi: float, older: bool = False) -> float:
    flow = leakage_allowance_c600(
        length=to_si(feet, "ft"), bore=to_si(inches, "in"), pressure=to_si(psi, "psi"), divisor=133200 if older else 148000
    )
    return from_si(flow * HOUR, "gal")


@pytest.mark.outside("hydrotest procedure citing AWWA C600: gallons an hour by 1000 ft at 150 psi, 4 to 42 in")
@pytest.mark.parametrize(
    ("inches", "printed"),
    [(4, 0.33), (6, 0.50), (8, 0.66), (10, 0.83), (12, 0.99), (16, 1.32), (20, 1.66), (24, 1.99), (30, 2.48), (36, 2.98), (42, 3.48)],
)
def test_the_table_of_the_allowance(inches: float, printed: float) -> None:
    assert gallons_an_hour(feet=1000.0, inches=inches, psi=150.0) == pytest.approx(printed, abs=0.006)


@pytest.mark.outside("State of Colorado mine-permit file, section 331100, citing AWWA C605-05, p. 52")
@pytest.mark.parametrize(("inches", "psi", "printed"), [(10, 100, 0.68), (10, 150, 0.83), (12, 100, 0.81), (12, 150, 0.99)])
def test_the_same_allowance_in_a_contract(inches: float, psi: float, printed: float) -> None:
    assert gallons_an_hour(feet=1000.0, inches=inches, psi=psi) == pytest.approx(printed, abs=0.006)


@pytest.mark.outside("a public web page's example of the same formula, wrong by a factor of ten: 0.0008275")
def test_the_printed_example_that_is_wrong_is_not_met() -> None:
    found = gallons_an_hour(feet=10.0, inches=10.0, psi=150.0)
    assert found == pytest.approx(0.0082753, rel=1e-4)
    assert found != pytest.approx(0.0008275, rel=0.5)


@pytest.mark.outside("older form of C600: 11.65 gallons a day by inch and mile at 150 psi, a town's rule (Michigan)")
def test_the_older_form() -> None:
    assert 24.0 * gallons_an_hour(feet=5280.0, inches=1.0, psi=150.0, older=True) == pytest.approx(11.65, abs=0.005)
    with pytest.raises(InputError, match="148000 or 133200"):
        leakage_allowance_c600(length=1.0, bore=0.1, pressure=1e5, divisor=150000)  # type: ignore[arg-type]


@pytest.mark.outside("formula of EN 805:2000, 11.3.3.4 worked elsewhere: DN 200 ductile iron, 500 m, 6.3 mm, 20 kPa")
def test_the_loss_of_a_sound_main() -> None:
    volume = math.pi / 4 * 0.2**2 * 500.0
    found = volume_loss_en805(volume=volume, drop=2e4, bore=0.2, wall=0.0063, wall_modulus=1.7e11, water_modulus=2.1e9, factor=1.2)
    assert found == pytest.approx(0.2499194156e-3, rel=1e-9)


@pytest.mark.outside("trade reference worked elsewhere: grey iron DN 150, 500 m, 8 mm: 0.137 l; DN 300, 1000 m, 11 mm: 1.23 l")
@pytest.mark.parametrize(("bore", "length", "wall", "litres"), [(0.15, 500.0, 0.008, 0.137), (0.3, 1000.0, 0.011, 1.23)])
def test_old_grey_iron(bore: float, length: float, wall: float, litres: float) -> None:
    volume = math.pi / 4 * bore**2 * length
    found = volume_loss_en805(volume=volume, drop=2e4, bore=bore, wall=wall, wall_modulus=1.1e11, water_modulus=2.1e9, factor=1.2)
    assert found * 1000.0 == pytest.approx(litres, abs=0.005)


@pytest.mark.outside("Indian water supply manual, 6.10.5: 1.5 l by 10 mm, km and 24 h; DN 150, 500 m: 11.3 l")
def test_a_rule_by_bore_and_length() -> None:
    rate = 1.5e-3 / (0.01 * 1000.0 * 24 * HOUR)
    assert leakage_allowance_rate(length=500.0, bore=0.15, rate=rate) * 24 * HOUR * 1000 == pytest.approx(11.3, abs=0.06)


@pytest.mark.outside("worked elsewhere: 1 % air in DN 200, 500 m takes about 0.19 l for 0.2 bar at 12 bar")
def test_air_takes_its_share() -> None:
    volume = math.pi / 4 * 0.2**2 * 500.0
    assert air_volume(removed=0.19e-3, elastic=0.0, pressure=12e5, drop=2e4) == pytest.approx(0.01 * volume, rel=0.05)
    assert air_volume(removed=1e-4, elastic=2e-4, pressure=12e5, drop=2e4) == 0.0
    with pytest.raises(InputError, match="drop"):
        air_volume(removed=1e-4, elastic=0.0, pressure=1e4, drop=2e4)


def test_soaking_and_leak_are_told_apart() -> None:
    rng = np.random.default_rng(4)
    times = [HOUR * hour for hour in (0.5, 1, 2, 3, 4, 6, 8, 12, 18, 24)]
    leak, soak = 0.05e-3 / HOUR, 1.0e-3 / math.sqrt(HOUR)
    volumes = [leak * t + soak * math.sqrt(t) + rng.normal(0.0, 2e-5) for t in times]
    found = split_make_up(times, volumes)
    assert abs(found.leak - leak) < 4.0 * found.leak_deviation
    assert abs(found.soak - soak) < 4.0 * found.soak_deviation
    assert found.scatter == pytest.approx(2e-5, rel=0.6)
    only = split_make_up(times, [soak * math.sqrt(t) for t in times])
    assert only.leak == pytest.approx(0.0, abs=1e-15)
    # What grows faster than time is neither; it is never told as a soaking below nought.
    odd = split_make_up(times, [1e-14 * t**2 for t in times])
    assert odd.soak == 0.0
    assert odd.leak > 0.0


def test_readings_that_say_nothing_are_refused() -> None:
    with pytest.raises(InputError, match="at least 4"):
        split_make_up([1.0, 2.0, 3.0], [0.0, 0.0, 0.0])
    with pytest.raises(InputError, match="rising"):
        split_make_up([1.0, 2.0, 2.0, 3.0], [0.0] * 4)
    with pytest.raises(InputError, match="finite"):
        split_make_up([1.0, 2.0, 3.0, math.inf], [0.0] * 4)
