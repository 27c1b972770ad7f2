"""Tolerance factors."""

import csv
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from mainwright.errors import InputError
from mainwright.science.measurement.tolerance import one_sided_factor, one_sided_factor_known, two_sided_factor

OUTSIDE = Path(__file__).parents[3] / "data" / "outside"


def _table() -> list[tuple[int, float, float, float]]:
    with (OUTSIDE / "tolerance_one_sided.csv").open(encoding="utf-8") as file:
        rows = list(csv.reader(line for line in file if line[0] != "#"))
    found = []
    for row in rows[1:]:
        for name, value in zip(rows[0][1:], row[1:], strict=True):
            share, confidence = (float(part.split("=")[1]) for part in name[2:-1].split(","))
            found.append((int(row[0]), share, confidence, float(value)))
    return found


@pytest.mark.outside("noncentral t, table recomputed by others to four decimals; Montgomery and Runger (2018), table XII, to three")
def test_one_sided_table(full_size: bool) -> None:
    table = _table()
    assert len(table) > 280
    for count, share, confidence, value in table[:: 1 if full_size else 7]:
        assert one_sided_factor(count=count, share=share, confidence=confidence) == pytest.approx(value, abs=6e-5, rel=2e-6)


@pytest.mark.outside("Montgomery and Runger (2018), table XII: 2.911, 1.926, 2.742")
@pytest.mark.parametrize(
    ("count", "share", "confidence", "value"), [(10, 0.95, 0.95, 2.911), (20, 0.90, 0.95, 1.926), (5, 0.90, 0.90, 2.742)]
)
def test_printed_one_sided(count: int, share: float, confidence: float, value: float) -> None:
    assert one_sided_factor(count=count, share=share, confidence=confidence) == pytest.approx(value, abs=6e-4)


@pytest.mark.outside("NIST/SEMATECH e-Handbook 7.2.6.3, n 43, 90 %, 99 %: exact one-sided 1.8740 (its 1.8752 is Natrella's approximation)")
def test_handbook_factor() -> None:
    assert one_sided_factor(count=43, share=0.90, confidence=0.99) == pytest.approx(1.8740, abs=1e-4)
    # The handbook's two-sided 2.2173 is Howe's approximation: near, not equal.
    assert two_sided_factor(count=43, share=0.90, confidence=0.99) == pytest.approx(2.2173, rel=5e-3)


@pytest.mark.outside("ISO 16269-6:2014, table F.1, 90 %, 90 %, rounded up in the fourth decimal")
@pytest.mark.parametrize(
    ("count", "value"), [(2, 15.5124), (8, 2.7542), (16, 2.2537), (35, 1.9906), (100, 1.8232), (300, 1.7401), (1000, 1.6947)]
)
def test_printed_two_sided(count: int, value: float) -> None:
    assert two_sided_factor(count=count, share=0.90, confidence=0.90) == pytest.approx(value, abs=1.1e-4)


@pytest.mark.outside("scipy.stats.nct")
@pytest.mark.parametrize("count", [3, 12, 60])
def test_one_sided_agrees_with_a_library(count: int) -> None:
    for share, confidence in ((0.75, 0.6), (0.95, 0.75), (0.999, 0.99)):
        expected = stats.nct.ppf(confidence, count - 1, stats.norm.ppf(share) * count**0.5) / count**0.5
        assert one_sided_factor(count=count, share=share, confidence=confidence) == pytest.approx(float(expected), rel=1e-7)


def test_coverage_by_drawing_lots() -> None:
    rng = np.random.default_rng(6)
    drawn = rng.normal(size=(20_000, 12))
    mean, deviation = drawn.mean(axis=1), drawn.std(axis=1, ddof=1)
    k = one_sided_factor(count=12, share=0.9, confidence=0.95)
    assert float((mean - k * deviation <= stats.norm.ppf(0.1)).mean()) == pytest.approx(0.95, abs=0.006)
    known = one_sided_factor_known(count=12, share=0.9, confidence=0.95)
    assert float((mean - known <= stats.norm.ppf(0.1)).mean()) == pytest.approx(0.95, abs=0.006)


def test_a_great_sample_knows_the_deviation() -> None:
    assert one_sided_factor(count=4000, share=0.95, confidence=0.5) == pytest.approx(
        one_sided_factor_known(count=4000, share=0.95, confidence=0.5), abs=1e-3
    )


def test_impossible_values_are_told() -> None:
    with pytest.raises(InputError, match="count is 1; allowed: 2 or more"):
        one_sided_factor(count=1, share=0.9, confidence=0.9)
    with pytest.raises(InputError, match=r"share is 1\.0"):
        two_sided_factor(count=5, share=1.0, confidence=0.9)
    with pytest.raises(InputError, match="less gives no factor over zero"):
        one_sided_factor(count=5, share=0.3, confidence=0.5)
