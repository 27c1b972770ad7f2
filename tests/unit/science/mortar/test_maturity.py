"""Maturity of mortar: published sums and factors, and what any law must keep."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.science.mortar.maturity import (
    DATUM,
    REFERENCE,
    REFERENCE_US,
    age_factor,
    equivalent_age,
    nurse_saul_maturity,
    strength_share_ec2,
    time_to_age,
)

HOUR = 3600.0
DAY = 86400.0


def fahrenheit(value: float) -> float:
    return (value - 32.0) * 5.0 / 9.0 + 273.15


@pytest.mark.outside(
    "Plowman 1956, told in Neville, Properties of Concrete, chapter on maturity (from memory): 64 degF, datum 11 degF, 28 d"
)
def test_nurse_and_saul_of_28_days() -> None:
    found = nurse_saul_maturity([28 * DAY], [fahrenheit(64.0)], datum=fahrenheit(11.0)) / HOUR
    assert found * 1.8 == pytest.approx(35_600, rel=0.002)
    assert found == pytest.approx(19_800, rel=0.002)


@pytest.mark.outside(
    "EN 1992-1-1:2004, equation (B.10) at 5, 10, 15, 20, 30 degC (from memory); its rounded constant gives 0.998 at 20 degC"
)
@pytest.mark.parametrize(("celsius", "factor"), [(5, 0.479), (10, 0.617), (15, 0.789), (20, 0.998), (30, 1.567)])
def test_the_european_law(celsius: float, factor: float) -> None:
    assert age_factor(celsius + 273.15, activation=4000.0, reference=REFERENCE) == pytest.approx(factor, abs=0.003)


@pytest.mark.outside("ASTM C1074, equation (2) with Q = 5000 K, worked with 30 digits elsewhere")
@pytest.mark.parametrize(
    ("celsius", "at_20", "at_23"),
    [
        (5, 0.3985996854, 0.3353514709),
        (10, 0.5475123366, 0.4606352542),
        (15, 0.7438179569, 0.6257918785),
        (20, 1.0, 0.8413239728),
        (23, 1.188602765, 1.0),
        (30, 1.755282028, 1.476760849),
    ],
)
def test_the_american_law_at_both_references(celsius: float, at_20: float, at_23: float) -> None:
    for reference, expected in ((REFERENCE, at_20), (REFERENCE_US, at_23)):
        assert age_factor(celsius + 273.15, activation=5000.0, reference=reference) == pytest.approx(expected, rel=1e-9)
    assert equivalent_age([72 * HOUR], [283.15], activation=5000.0, reference=REFERENCE) / HOUR == pytest.approx(39.42088824)


@pytest.mark.outside("EN 1992-1-1:2004, 3.1.2(6), s = 0.25 at 1, 3, 7, 14 d (from memory)")
@pytest.mark.parametrize(("days", "share"), [(1, 0.342), (3, 0.598), (7, 0.779), (14, 0.902), (28, 1.0)])
def test_the_growth_of_strength(days: float, share: float) -> None:
    assert strength_share_ec2(days * DAY, cement=0.25) == pytest.approx(share, abs=0.002)
    assert strength_share_ec2(0.0, cement=0.25) == 0.0


STEPS = st.lists(st.tuples(st.floats(0.0, 1e6), st.floats(265.0, 320.0)), min_size=1, max_size=8)


@given(steps=STEPS, age=st.floats(0.0, 3e6))
def test_the_time_to_an_age_is_its_inverse(steps: list[tuple[float, float]], age: float) -> None:
    durations, temperatures = [one[0] for one in steps], [one[1] for one in steps]
    found = time_to_age(age, durations, temperatures, activation=5000.0, reference=REFERENCE)
    if found is None:
        assert temperatures[-1] <= DATUM
        assert equivalent_age(durations, temperatures, activation=5000.0, reference=REFERENCE) < age
        return
    left, used = found, []
    for duration in durations[:-1]:
        used.append(min(duration, left))
        left -= used[-1]
    used.append(left)
    again = equivalent_age(used, temperatures, activation=5000.0, reference=REFERENCE)
    assert again == pytest.approx(age, rel=1e-9, abs=1e-6)


def test_frost_does_not_age_and_a_split_changes_nothing() -> None:
    assert age_factor(273.15, activation=4000.0, reference=REFERENCE) == 0.0
    assert nurse_saul_maturity([DAY], [270.0], datum=DATUM) == 0.0
    one = equivalent_age([DAY], [285.0], activation=4000.0, reference=REFERENCE)
    assert equivalent_age([DAY / 3] * 3, [285.0] * 3, activation=4000.0, reference=REFERENCE) == pytest.approx(one)
    assert time_to_age(1.0, [DAY], [270.0], activation=4000.0, reference=REFERENCE) is None


def test_what_is_refused() -> None:
    with pytest.raises(InputError, match="temperature"):
        age_factor(400.0, activation=4000.0, reference=REFERENCE)
    with pytest.raises(InputError, match="durations"):
        equivalent_age([1.0], [], activation=4000.0, reference=REFERENCE)
    with pytest.raises(InputError, match="duration"):
        nurse_saul_maturity([-1.0], [280.0], datum=DATUM)
    with pytest.raises(InputError, match="at least one"):
        time_to_age(1.0, [], [], activation=4000.0, reference=REFERENCE)
    with pytest.raises(InputError, match="age"):
        strength_share_ec2(math.nan, cement=0.25)
