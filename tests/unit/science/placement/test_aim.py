"""Aim thickness of a run."""

import math
import random
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, special

from mainwright.errors import InputError
from mainwright.science.placement.aim import aim_thickness
from mainwright.science.placement.confidence import AimLength, run_confidence
from mainwright.science.placement.scatter import Scatter

USUAL = Scatter(flow_bias=0.0, flow=0.03, speed=0.03, bore=0.001, eccentricity=0.0, pit_allowance=0.0, correlation=1.0)
PART = AimLength(length=150.0, bore=0.15, nominal=0.005, minimum=0.005)
NONE = replace(USUAL, flow=0.0, speed=0.0, bore=0.0)


def _coefficients(thickness: float, bore: float, scatter: Scatter) -> tuple[float, float]:
    k = (thickness * (bore - thickness) + bore * scatter.pit_allowance) / (bore - 2 * thickness)
    of_bore = (thickness + scatter.pit_allowance) / (bore - 2 * thickness)
    return k, math.sqrt(k**2 * (scatter.flow**2 + scatter.speed**2) + of_bore**2 * scatter.bore**2)


def _direct(lengths: Sequence[AimLength], thicknesses: Sequence[float], scatter: Scatter) -> float:
    """Return the confidence by adaptive quadrature of the written formula."""

    def keeps(bias: float) -> float:
        total = 0.0
        for part, thickness in zip(lengths, thicknesses, strict=True):
            k, s = _coefficients(thickness, part.bore, scatter)
            count = math.ceil(part.length / scatter.correlation)
            total += count * float(special.log_ndtr((thickness + k * bias - scatter.eccentricity - part.minimum) / s))
        return math.exp(total)

    if scatter.flow_bias == 0.0:
        return keeps(0.0)
    spread = scatter.flow_bias
    edges = np.linspace(-8.5 * spread, 8.5 * spread, 60)
    return math.fsum(
        integrate.quad(
            lambda b: keeps(b) * math.exp(-0.5 * (b / spread) ** 2) / (spread * math.sqrt(2 * math.pi)), low, high, epsabs=1e-13
        )[0]
        for low, high in pairwise(edges)
    )


CASES = [
    ([PART], [0.0059], USUAL),
    ([PART], [0.0059], replace(USUAL, flow_bias=0.02)),
    ([PART], [0.0064], replace(USUAL, flow_bias=0.05, eccentricity=0.0004, pit_allowance=0.0003)),
    ([replace(PART, length=4000.0)], [0.0063], replace(USUAL, flow_bias=0.04, correlation=0.5)),
    ([replace(PART, length=0.5)], [0.0052], replace(USUAL, flow_bias=0.001)),
    ([PART], [0.006], replace(USUAL, flow_bias=0.1, flow=0.002, speed=0.0, bore=0.0)),
    ([PART, replace(PART, length=30.5, bore=0.153), replace(PART, bore=0.147, minimum=0.0048)], [0.006, 0.006, 0.0058], replace(USUAL, flow_bias=0.03)),
]  # fmt: skip


@pytest.mark.outside("scipy.integrate.quad and scipy.special.log_ndtr on the written formula")
@pytest.mark.parametrize(("lengths", "thicknesses", "scatter"), CASES)
def test_confidence_agrees_with_adaptive_quadrature(lengths: list[AimLength], thicknesses: list[float], scatter: Scatter) -> None:
    found = run_confidence(lengths=lengths, thicknesses=thicknesses, scatter=scatter)
    assert found == pytest.approx(_direct(lengths, thicknesses, scatter), abs=1e-9)


def test_confidence_agrees_with_drawing_lots() -> None:
    rng = np.random.default_rng(11)
    scatter = replace(USUAL, flow_bias=0.03, eccentricity=0.0002)
    lengths = [replace(PART, length=40.0), replace(PART, length=25.5, bore=0.16)]
    thickness, runs = 0.0061, 20_000
    bias = scatter.flow_bias * rng.normal(size=runs)
    kept = np.ones(runs, dtype=bool)
    for part, count in zip(lengths, (40, 26), strict=True):
        k, s = _coefficients(thickness, part.bore, scatter)
        drawn = thickness + k * bias[:, None] + s * rng.normal(size=(runs, count)) - scatter.eccentricity
        kept &= drawn.min(axis=1) >= part.minimum
    found = run_confidence(lengths=lengths, thicknesses=[thickness] * 2, scatter=scatter)
    assert 0.2 < found < 0.95
    assert float(kept.mean()) == pytest.approx(found, abs=4.0 * math.sqrt(found * (1 - found) / runs))


@settings(max_examples=60, deadline=None)
@given(
    bore=st.floats(0.08, 0.6),
    length=st.floats(1.0, 2000.0),
    bias=st.sampled_from([0.0, 0.005, 0.03]),
    flow=st.floats(0.0, 0.05),
    speed=st.floats(0.001, 0.05),
    confidence=st.floats(0.6, 0.999),
)
def test_aim_is_the_smallest_that_keeps_the_confidence(
    *, bore: float, length: float, bias: float, flow: float, speed: float, confidence: float
) -> None:
    scatter = replace(USUAL, flow_bias=bias, flow=flow, speed=speed, pit_allowance=0.0002, eccentricity=0.0001)
    part = AimLength(length=length, bore=bore, nominal=0.004, minimum=0.004)
    found = aim_thickness(lengths=[part], scatter=scatter, confidence=confidence)
    assert found.governed_by == "minimum"
    assert found.confidence == pytest.approx(confidence, abs=1e-9)
    thinner = run_confidence(lengths=[part], thicknesses=[found.thickness - 1e-8], scatter=scatter)
    assert thinner < confidence


def test_without_deviation_the_aim_is_the_nominal_or_minimum_and_eccentricity() -> None:
    part = replace(PART, nominal=0.006)
    assert aim_thickness(lengths=[part], scatter=NONE, confidence=0.95).thickness == 0.006
    off_centre = aim_thickness(lengths=[part], scatter=replace(NONE, eccentricity=0.002), confidence=0.95)
    assert off_centre.thickness == pytest.approx(0.007, abs=1e-15)
    assert off_centre.governed_by == "minimum"
    assert off_centre.confidence == 1.0


def test_bias_alone_shifts_the_whole_run() -> None:
    scatter = replace(NONE, flow_bias=0.05)
    short = aim_thickness(lengths=[PART], scatter=scatter, confidence=0.95)
    long = aim_thickness(lengths=[replace(PART, length=5000.0)], scatter=scatter, confidence=0.95)
    assert short.thickness == pytest.approx(long.thickness, abs=1e-11)
    k, _ = _coefficients(short.thickness, 0.15, scatter)
    assert short.thickness - 1.6448536269514722 * 0.05 * k == pytest.approx(0.005, abs=1e-10)


def test_a_long_run_asks_more_and_never_less_than_the_nominal() -> None:
    aims = [
        aim_thickness(lengths=[replace(PART, length=length)], scatter=USUAL, confidence=0.95).thickness for length in (1, 10, 100, 1000)
    ]
    assert aims == sorted(aims)
    assert aims[0] < aims[-1]
    assert aim_thickness(lengths=[replace(PART, nominal=0.0075)], scatter=USUAL, confidence=0.95).governed_by == "nominal"


def test_several_bores_share_one_thickness_and_multiply() -> None:
    lengths = [replace(PART, length=60.0), replace(PART, length=70.0, bore=0.153)]
    scatter = replace(USUAL, flow_bias=0.02)
    found = aim_thickness(lengths=lengths, scatter=scatter, confidence=0.95)
    assert found.thicknesses[0] == found.thicknesses[1]
    assert _direct(lengths, found.thicknesses, scatter) == pytest.approx(0.95, abs=1e-9)


def test_other_minimum_in_part_of_the_run_keeps_one_margin() -> None:
    lengths = [replace(PART, length=60.0), replace(PART, length=70.0, nominal=0.003, minimum=0.003)]
    found = aim_thickness(lengths=lengths, scatter=USUAL, confidence=0.95)
    assert found.thicknesses[0] - 0.005 == pytest.approx(found.thicknesses[1] - 0.003)
    assert found.thickness == found.thicknesses[0]
    assert _direct(lengths, found.thicknesses, USUAL) == pytest.approx(0.95, abs=1e-9)


@pytest.mark.parametrize("bias", [0.0, 0.04])
def test_mean_minimum_governs_where_it_is_near_the_nominal(bias: float) -> None:
    scatter = replace(USUAL, flow_bias=bias)
    part = replace(PART, minimum=0.003, mean_minimum=0.005, length=20.0)
    found = aim_thickness(lengths=[part], scatter=scatter, confidence=0.95)
    assert found.governed_by == "mean_minimum"
    k, s = _coefficients(found.thickness, 0.15, scatter)
    deviation = math.sqrt((k * bias) ** 2 + s**2 / 20)
    assert found.thickness - 1.6448536269514722 * deviation == pytest.approx(0.005, abs=1e-10)


def test_limits_that_are_passed_are_named() -> None:
    tight = replace(PART, maximum=0.0055, single_coat_max=0.0052)
    assert aim_thickness(lengths=[tight], scatter=USUAL, confidence=0.95).exceeded == ("maximum", "single_coat")
    wide = replace(PART, maximum=0.009, single_coat_max=0.0058)
    assert aim_thickness(lengths=[wide], scatter=USUAL, confidence=0.95).exceeded == ("single_coat",)
    exact = replace(PART, nominal=0.007, maximum=0.007)
    assert aim_thickness(lengths=[exact], scatter=USUAL, confidence=0.95).exceeded == ()


def test_where_no_thickness_will_do_it_is_said() -> None:
    found = aim_thickness(lengths=[PART], scatter=replace(USUAL, flow=0.4), confidence=0.95)
    assert found.exceeded == ("bore",)
    assert found.thickness == 0.005
    assert found.confidence < 0.95


def test_a_mean_that_the_points_cannot_follow_is_no_aim() -> None:
    # Past a fifth of the bore the scatter outgrows the margin.
    part = AimLength(length=320.0, bore=1.1, nominal=0.027, minimum=0.0, mean_minimum=0.30)
    found = aim_thickness(lengths=[part], scatter=replace(NONE, flow_bias=0.001, speed=0.113), confidence=1.0 - 1e-9)
    assert found.exceeded == ("bore",)
    assert found.thickness == 0.027


def test_length_counts_only_by_its_stretches() -> None:
    first = aim_thickness(lengths=[replace(PART, length=149.2)], scatter=USUAL, confidence=0.95)
    second = aim_thickness(lengths=[replace(PART, length=150.0)], scatter=USUAL, confidence=0.95)
    assert first == second


def test_impossible_values_are_told() -> None:
    with pytest.raises(InputError, match="confidence is 1"):
        aim_thickness(lengths=[PART], scatter=USUAL, confidence=1.0)
    with pytest.raises(InputError, match="lengths is empty"):
        aim_thickness(lengths=[], scatter=USUAL, confidence=0.9)
    with pytest.raises(InputError, match=r"nominal is 0\.08 m"):
        aim_thickness(lengths=[replace(PART, nominal=0.08)], scatter=USUAL, confidence=0.9)
    with pytest.raises(InputError, match="minimum and eccentricity is"):
        aim_thickness(lengths=[replace(PART, minimum=0.07)], scatter=replace(USUAL, eccentricity=0.02), confidence=0.9)


@pytest.mark.parametrize("seed", range(4))
def test_compiled_or_not_the_aim_is_the_same(seed: int) -> None:
    rng = random.Random(seed)
    lengths = [
        AimLength(rng.uniform(3.0, 150.0), rng.choice([0.15, 0.2, 0.3]), 0.005, rng.choice([0.0035, 0.004, 0.005]))
        for _ in range(rng.randint(2, 4))
    ]
    scatter = Scatter(flow_bias=0.02, flow=0.03, speed=0.03, bore=0.001, eccentricity=0.0005, pit_allowance=0.0, correlation=1.0)
    plain = aim_thickness(lengths=lengths, scatter=scatter, confidence=0.95)
    compiled = aim_thickness(lengths=lengths, scatter=scatter, confidence=0.95, compiled=True)
    assert compiled.thicknesses == pytest.approx(plain.thicknesses, rel=1e-12)
    assert compiled.confidence == pytest.approx(plain.confidence, rel=1e-12)
    assert (compiled.governed_by, compiled.exceeded) == (plain.governed_by, plain.exceeded)
