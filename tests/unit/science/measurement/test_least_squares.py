"""Least squares with several unknowns."""

import csv
from pathlib import Path

import numpy as np
import pytest

from mainwright.errors import InputError
from mainwright.science.measurement.least_squares import least_squares, polynomial

OUTSIDE = Path(__file__).parents[3] / "data" / "outside"


def _read(name: str) -> list[dict[str, float]]:
    with (OUTSIDE / f"nist_{name}.csv").open(encoding="utf-8") as file:
        return [{key: float(value) for key, value in row.items()} for row in csv.DictReader(line for line in file if line[0] != "#")]


@pytest.mark.outside("NIST StRD, Longley: certified coefficients, standard errors, residual deviation and R squared")
def test_certified_ill_conditioned() -> None:
    rows = _read("longley")
    names = ("GNPDEFL", "GNP", "UNEMP", "ARMED", "POP", "YEAR")
    fit = least_squares(rows=[[1.0, *(row[name] for name in names)] for row in rows], y=[row["TOTEMP"] for row in rows])
    certified = (
        -3482258.63459582, 15.0618722713733, -0.358191792925910e-1, -2.02022980381683, -1.03322686717359, -0.511041056535807e-1, 1829.15146461355,
    )  # fmt: skip
    errors = (
        890420.383607373, 84.9149257747669, 0.334910077722432e-1, 0.488399681651699, 0.214274163161675, 0.226073200069370, 455.478499142212,
    )  # fmt: skip
    assert fit.coefficients == pytest.approx(certified, rel=1e-9)
    assert fit.deviations == pytest.approx(errors, rel=1e-9)
    assert fit.deviation == pytest.approx(304.854073561965, rel=1e-9)
    assert fit.r_squared == pytest.approx(0.995479004577296, abs=1e-10)
    assert fit.freedom == 9


@pytest.mark.outside("NIST StRD, Wampler1: polynomial of fifth degree, all certified coefficients 1")
def test_certified_polynomial() -> None:
    rows = _read("wampler1")
    fit = least_squares(rows=polynomial(x=[row["x"] for row in rows], degree=5), y=[row["y"] for row in rows])
    assert fit.coefficients == pytest.approx((1.0,) * 6, abs=1e-8)


@pytest.mark.outside("numpy.linalg.lstsq")
def test_agrees_with_a_general_library() -> None:
    rng = np.random.default_rng(8)
    rows, y = rng.normal(size=(40, 5)), rng.normal(size=40)
    expected = np.linalg.lstsq(rows, y, rcond=None)[0]
    fit = least_squares(rows=rows.tolist(), y=y.tolist())
    assert fit.coefficients == pytest.approx(tuple(expected.tolist()), rel=1e-11)
    covariance = np.linalg.inv(rows.T @ rows) * float(fit.deviation or 0.0) ** 2
    assert fit.deviations == pytest.approx(tuple(np.sqrt(np.diag(covariance)).tolist()), rel=1e-9)


def test_as_many_unknowns_as_observations_leave_no_freedom() -> None:
    fit = least_squares(rows=[[1.0, 2.0], [1.0, 5.0]], y=[3.0, 9.0])
    assert fit.coefficients == pytest.approx((-1.0, 2.0))
    assert fit.deviation is None


def test_columns_that_say_the_same_are_told() -> None:
    with pytest.raises(InputError, match="column is 2; allowed: not a combination of the columns before it"):
        least_squares(rows=[[1.0, 2.0], [1.0, 2.0], [1.0, 2.0]], y=[1.0, 2.0, 3.0])
    with pytest.raises(InputError, match="column is 1; allowed: not all zero"):
        least_squares(rows=[[0.0, 2.0], [0.0, 3.0]], y=[1.0, 2.0])
    with pytest.raises(InputError, match="observations is 1"):
        least_squares(rows=[[1.0, 2.0]], y=[1.0])
    with pytest.raises(InputError, match="degree is -1"):
        polynomial(x=[1.0], degree=-1)
