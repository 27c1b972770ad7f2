"""Straight-line calibration, forwards and backwards."""

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.science.measurement.distributions import student_quantile
from mainwright.science.measurement.regression import inverse_prediction, mean_response, prediction, straight_line

OUTSIDE = Path(__file__).parents[3] / "data" / "outside"


@pytest.mark.outside("NIST StRD, Norris: certified intercept, slope, their standard errors, residual deviation and R squared")
def test_certified_line() -> None:
    with (OUTSIDE / "nist_norris.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    line = straight_line(x=[float(row["x"]) for row in rows], y=[float(row["y"]) for row in rows])
    assert line.count == 36
    assert line.intercept == pytest.approx(-0.262323073774029, rel=1e-10)
    assert line.slope == pytest.approx(1.00211681802045, rel=1e-12)
    assert line.intercept_deviation == pytest.approx(0.232818234301152, rel=1e-10)
    assert line.slope_deviation == pytest.approx(0.429796848199937e-3, rel=1e-10)
    assert line.deviation == pytest.approx(0.884796396144373, rel=1e-10)
    assert line.r_squared == pytest.approx(0.999993745883712, abs=1e-12)


THERMOMETER = ([96, 98, 100, 102, 104, 106, 108, 110], [95.71, 98.16, 99.52, 102.09, 103.79, 106.18, 108.14, 110.21])
DIAL = (list(range(0, 101, 10)), [206.36, 225.52, 252.18, 289.33, 318.11, 349.49, 383.03, 410.70, 444.40, 469.14, 501.16])
CRYSTAL = (list(range(2, 29, 2)), [0.08, 1.12, 4.43, 4.98, 4.92, 7.18, 5.57, 8.40, 8.81, 10.81, 11.16, 10.12, 13.12, 15.04])


@pytest.mark.outside("Graybill and Iyer (1994), chapter 6, pp. 431-434: thermometer, dial and crystal, exact limits")
@pytest.mark.parametrize(
    ("points", "y", "confidence", "repeats", "expected", "tolerance"),
    [
        (THERMOMETER, 104.0, 0.95, 1, (103.995, 103.4, 104.6), (6e-4, 0.05, 0.05)),
        (THERMOMETER, 100.0, 0.90, 1, (100.1, 99.63, 100.59), (0.05, 0.006, 0.006)),
        (DIAL, 400.0, 0.99, None, (66.5, 65.07, 68.03), (0.06, 0.006, 0.006)),
        (CRYSTAL, 5.0, 0.90, None, (9.93, 8.65, 11.05), (0.006, 0.006, 0.006)),
    ],
)
def test_printed_inverse_prediction(  # noqa: PLR0917
    points: tuple[list[float], list[float]],
    y: float,
    confidence: float,
    repeats: int | None,
    expected: tuple[float, float, float],
    tolerance: tuple[float, float, float],
) -> None:
    found = inverse_prediction(line=straight_line(x=points[0], y=points[1]), y=y, confidence=confidence, repeats=repeats)
    assert found.bounded
    for value, wanted, within in zip((found.value, found.low, found.high), expected, tolerance, strict=True):
        assert value == pytest.approx(wanted, abs=within)


@pytest.mark.outside(
    "Massart et al., Handbook of Chemometrics and Qualimetrics A (1997), chapter 8, example 7: 6.1 +- 4.9, 43.9 +- 4.9, 43.9 +- 3.2"
)
@pytest.mark.parametrize(("y", "repeats", "value", "half"), [(15.0, 1, 6.1, 4.9), (90.0, 1, 43.9, 4.9), (90.0, 5, 43.9, 3.2)])
def test_printed_repeat_readings(y: float, repeats: int, value: float, half: float) -> None:
    # The book gives the half-width of first order, not Fieller's limits.
    line = straight_line(x=[0, 10, 20, 30, 40, 50], y=[4.0, 21.2, 44.6, 61.8, 78.0, 105.2])
    found = inverse_prediction(line=line, y=y, confidence=0.95, repeats=repeats)
    assert found.deviation is not None
    assert found.value == pytest.approx(value, abs=0.06)
    assert student_quantile(probability=0.975, freedom=4) * found.deviation == pytest.approx(half, abs=0.06)


@pytest.mark.outside("DIN 32645:1994, test data: half-width at 3500 0.07434, critical value 0.0698, both at 1 %")
def test_printed_chemical_calibration() -> None:
    line = straight_line(x=[0.05 * i for i in range(1, 11)], y=[3060, 3522, 3707, 4280, 5058, 5510, 5703, 6205, 7156, 7178])
    found = inverse_prediction(line=line, y=3500.0, confidence=0.99, repeats=1)
    assert found.deviation is not None
    assert student_quantile(probability=0.995, freedom=8) * found.deviation == pytest.approx(0.07434, abs=6e-6)
    blank = inverse_prediction(line=line, y=line.intercept, confidence=0.99, repeats=1)
    assert blank.deviation is not None
    assert student_quantile(probability=0.99, freedom=8) * blank.deviation == pytest.approx(0.0698, abs=6e-5)


@given(st.floats(-50.0, 150.0), st.sampled_from([1, 3, None]))
def test_limits_lie_where_the_band_meets_the_response(y: float, repeats: int | None) -> None:
    line = straight_line(x=DIAL[0], y=[value / 5 for value in DIAL[1]])
    found = inverse_prediction(line=line, y=y, confidence=0.95, repeats=repeats)
    assert found.low is not None
    assert found.high is not None
    assert found.low < found.value < found.high
    for x, side in ((found.low, "high"), (found.high, "low")):
        band = (
            mean_response(line=line, x=x, confidence=0.95)
            if repeats is None
            else prediction(line=line, x=x, confidence=0.95, repeats=repeats)
        )
        assert getattr(band, side) == pytest.approx(y, abs=1e-8)


def test_coverage_by_drawing_lots() -> None:
    rng = np.random.default_rng(5)
    x = [20.0, 30.0, 40.0, 50.0, 60.0, 70.0]
    hits = 0
    for _ in range(2000):
        y = [0.5 * value + 0.4 * float(rng.normal()) for value in x]
        reading = 0.5 * 44.0 + 0.4 * float(rng.normal())
        found = inverse_prediction(line=straight_line(x=x, y=y), y=reading, confidence=0.9, repeats=1)
        assert found.low is not None
        assert found.high is not None
        hits += found.low <= 44.0 <= found.high
    assert hits / 2000 == pytest.approx(0.9, abs=0.027)


def test_two_points_have_no_interval() -> None:
    line = straight_line(x=[20, 80], y=[10.0, 40.0])
    assert line.deviation is None
    assert prediction(line=line, x=50.0, confidence=0.95, repeats=1).low is None
    found = inverse_prediction(line=line, y=25.0, confidence=0.95, repeats=None)
    assert found.value == pytest.approx(50.0)
    assert found.low is None
    assert not found.bounded


def test_a_slope_that_is_not_sure_has_no_interval() -> None:
    line = straight_line(x=[1, 2, 3, 4], y=[1.0, 5.0, 0.0, 3.0])
    assert not inverse_prediction(line=line, y=2.0, confidence=0.95, repeats=1).bounded


def test_a_far_off_zero_costs_no_digits() -> None:
    line = straight_line(x=[1e9 + i for i in range(5)], y=[2.0 * i for i in range(5)])
    assert line.slope == pytest.approx(2.0, rel=1e-12)
    assert max(abs(r) for r in line.residuals) < 1e-9


def test_impossible_points_are_told() -> None:
    with pytest.raises(InputError, match="allowed: at least two different settings"):
        straight_line(x=[3, 3, 3], y=[1, 2, 3])
    with pytest.raises(InputError, match="y is 2 values; allowed: as many as x, 3"):
        straight_line(x=[1, 2, 3], y=[1, 2])
    with pytest.raises(InputError, match="two or more, all finite"):
        straight_line(x=[1, 2], y=[1, math.nan])
    with pytest.raises(InputError, match="a level line says nothing"):
        inverse_prediction(line=straight_line(x=[1, 2, 3], y=[5, 5, 5]), y=5.0, confidence=0.9, repeats=1)
    with pytest.raises(InputError, match="repeats is 0"):
        prediction(line=straight_line(x=[1, 2, 3], y=[5, 6, 8]), x=2.0, confidence=0.9, repeats=0)
