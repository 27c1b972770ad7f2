"""The time constant of a hose."""

import math
import random

import pytest

from mainwright.errors import InputError
from mainwright.science.placement.lag import fit_lag

MISRA_X = (77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0)
MISRA_Y = (10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78)


@pytest.mark.outside(
    "NIST StRD, nonlinear regression, data set Misra1a: b1 = 238.94212918, b2 = 5.5015643181e-4, residual sum of squares 0.12455138894"
)
def test_certified_values_of_a_nonlinear_regression() -> None:
    found = fit_lag(MISRA_X, MISRA_Y, begin=0.0)
    assert found.end == pytest.approx(238.94212918, rel=1e-6)
    assert 1.0 / found.lag == pytest.approx(5.5015643181e-4, rel=1e-6)
    assert found.residual == pytest.approx(0.12455138894, rel=1e-8)


@pytest.mark.parametrize("lag", [0.5, 4.0, 30.0])
def test_the_constant_of_a_pressure_that_falls_is_found_through_noise(lag: float) -> None:
    rnd = random.Random(7)
    times = [0.1 * lag * k for k in range(60)]
    values = [2e5 + 10e5 * math.exp(-time / lag) + rnd.gauss(0.0, 5e3) for time in times]
    found = fit_lag(times, values)
    assert found.lag == pytest.approx(lag, rel=0.02)
    assert (found.begin, found.end) == pytest.approx((12e5, 2e5), rel=0.03)


def test_what_shows_no_approach_is_refused() -> None:
    with pytest.raises(InputError, match="four or more"):
        fit_lag([0.0, 1.0, 2.0], [1.0, 2.0, 3.0])
    with pytest.raises(InputError, match="three or more after"):
        fit_lag([0.0, 0.0, 1.0, 2.0], [1.0, 1.0, 2.0, 3.0])
    with pytest.raises(InputError, match="an approach to a level"):
        fit_lag([0.0, 1.0, 2.0, 3.0, 4.0], [0.0, 1.0, 4.0, 9.0, 16.0])
