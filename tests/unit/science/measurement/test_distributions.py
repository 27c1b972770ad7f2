"""Normal and Student t distributions against a statistics library."""

import math

import pytest
from scipy import special, stats

from mainwright.errors import InputError
from mainwright.science.measurement.distributions import (
    chi_square_exceeds,
    incomplete_beta,
    log_normal_probability,
    normal_density,
    normal_probability,
    normal_quantile,
    student_probability,
    student_quantile,
)

POINTS = [-200.0, -40.0, -30.0, -29.9, -10.0, -3.0, -1.0, -0.99, -0.1, 0.0, 0.3, 1.0, 3.0, 6.0, 9.0, 37.0]
CHANCES = [1e-300, 1e-12, 1e-6, 0.001, 0.025, 0.3, 0.5, 0.6, 0.9, 0.95, 0.999, 1.0 - 1e-12]


@pytest.mark.outside("scipy.special.log_ndtr and ndtr")
@pytest.mark.parametrize("z", POINTS)
def test_normal_probability(z: float) -> None:
    assert log_normal_probability(z) == pytest.approx(float(special.log_ndtr(z)), rel=2e-14)
    assert normal_probability(z) == pytest.approx(float(special.ndtr(z)), rel=2e-14)


@pytest.mark.outside("scipy.special.ndtri")
@pytest.mark.parametrize("chance", CHANCES)
def test_normal_quantile(chance: float) -> None:
    assert normal_quantile(chance) == pytest.approx(float(special.ndtri(chance)), rel=1e-13, abs=1e-15)


def test_density_is_the_slope_of_the_probability() -> None:
    for z in (-2.0, 0.0, 0.7):
        assert (normal_probability(z + 1e-5) - normal_probability(z - 1e-5)) / 2e-5 == pytest.approx(normal_density(z), rel=1e-8)


@pytest.mark.outside("scipy.special.betainc")
@pytest.mark.parametrize(("a", "b"), [(0.5, 0.5), (0.5, 8.0), (20.0, 0.5), (300.0, 4.0)])
def test_incomplete_beta(a: float, b: float) -> None:
    for x in (0.0, 1e-9, 0.1, 0.5, 0.93, 1.0):
        assert incomplete_beta(a=a, b=b, x=x) == pytest.approx(float(special.betainc(a, b, x)), rel=1e-11, abs=1e-300)


@pytest.mark.outside("scipy.special.chdtrc")
@pytest.mark.parametrize("freedom", [1.0, 2.0, 7.0, 60.0, 1000.0])
def test_chi_square(freedom: float) -> None:
    for share in (1e-4, 0.2, 0.9, 1.0, 1.3, 4.0):
        expected = float(special.chdtrc(freedom, share * freedom))
        assert chi_square_exceeds(value=share * freedom, freedom=freedom) == pytest.approx(expected, rel=1e-10, abs=1e-300)
    assert chi_square_exceeds(value=-1.0, freedom=freedom) == 1.0


@pytest.mark.outside("scipy.stats.t")
@pytest.mark.parametrize("freedom", [1.0, 2.0, 3.0, 4.5, 10.0, 34.0, 1000.0])
def test_student(freedom: float) -> None:
    for chance in CHANCES[1:]:
        expected = float(stats.t.ppf(chance, freedom))
        assert student_quantile(probability=chance, freedom=freedom) == pytest.approx(expected, rel=1e-10, abs=1e-12)
        assert student_probability(t=expected, freedom=freedom) == pytest.approx(chance, rel=1e-10)


@pytest.mark.outside("printed table of Student's t, two-sided 95 %: 12.706, 4.303, 2.776, 2.228, 2.042")
@pytest.mark.parametrize(("freedom", "value"), [(1, 12.706), (2, 4.303), (4, 2.776), (10, 2.228), (30, 2.042)])
def test_printed_table(freedom: int, value: float) -> None:
    assert student_quantile(probability=0.975, freedom=freedom) == pytest.approx(value, abs=0.0006)


def test_a_chance_of_one_is_refused() -> None:
    with pytest.raises(InputError, match=r"probability is 1\.0; allowed: over 0 and under 1"):
        normal_quantile(1.0)
    with pytest.raises(InputError, match="freedom is 0"):
        student_quantile(probability=0.9, freedom=0.0)
    with pytest.raises(InputError, match="x is nan"):
        incomplete_beta(a=1.0, b=1.0, x=math.nan)
