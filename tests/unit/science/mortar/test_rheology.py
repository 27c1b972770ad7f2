"""Constants of the mortar from the gauge."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize

from mainwright.errors import InputError
from mainwright.science.mortar.hose import hose_pressure
from mainwright.science.mortar.rheology import MortarReading, calibrate


def _shown(yield_stress: float, viscosity: float, flows: list[float], bore: float = 0.038) -> list[MortarReading]:
    return [
        MortarReading(
            flow, length, hose_pressure(flow=flow, length=length, bore=bore, yield_stress=yield_stress, plastic_viscosity=viscosity)
        )
        for flow, length in zip(flows, (50.0, 60.0, 50.0, 70.0, 50.0), strict=False)
    ]


@given(st.floats(5.0, 800.0), st.floats(0.1, 8.0), st.lists(st.floats(5.0, 60.0), min_size=2, max_size=4))
def test_constants_come_back(yield_stress: float, viscosity: float, litres: list[float]) -> None:
    flows = [value / 60e3 for value in (*litres, 2.5 * max(litres))]
    found = calibrate(readings=_shown(yield_stress, viscosity, flows), bore=0.038)
    assert found.yield_stress == pytest.approx(yield_stress, rel=1e-5)
    assert found.plastic_viscosity == pytest.approx(viscosity, rel=1e-5)
    assert not found.at_limit


@pytest.mark.outside("scipy.optimize.least_squares with bounds")
@pytest.mark.parametrize("seed", range(8))
def test_noisy_readings_agree_with_a_general_solver(seed: int) -> None:
    rng = np.random.default_rng(seed)
    flows = [value / 60e3 for value in (10.0, 20.0, 30.0, 40.0, 50.0)]
    readings = [MortarReading(r.flow, r.length, r.pressure * (1 + 0.1 * float(rng.normal()))) for r in _shown(150.0, 2.0, flows)]
    found = calibrate(readings=readings, bore=0.038)

    def misfit(x: np.ndarray) -> list[float]:
        return [
            (hose_pressure(flow=r.flow, length=r.length, bore=0.038, yield_stress=100 * x[0], plastic_viscosity=x[1]) - r.pressure) / 1e5
            for r in readings
        ]

    general = optimize.least_squares(misfit, [1.0, 1.0], bounds=([0.0, 0.0], [np.inf, np.inf]), xtol=1e-12, ftol=1e-12, gtol=1e-12)
    ours = sum((r / 1e5) ** 2 for r in found.residuals)
    assert ours <= 2.0 * general.cost * (1.0 + 1e-6)
    assert found.deviation == pytest.approx(1e5 * (ours / 3) ** 0.5)


def test_pressure_that_falls_with_flow_is_told() -> None:
    found = calibrate(readings=[MortarReading(2e-4, 50.0, 20e5), MortarReading(6e-4, 50.0, 15e5)], bore=0.038)
    assert found.at_limit
    assert found.plastic_viscosity == 0.0
    assert found.residuals[0] == pytest.approx(-found.residuals[1])
    assert found.deviation is None


def test_one_flow_is_not_enough() -> None:
    with pytest.raises(InputError, match="two or more, at two or more different flows"):
        calibrate(readings=[MortarReading(2e-4, 50.0, 20e5), MortarReading(2e-4, 60.0, 22e5)], bore=0.038)
    with pytest.raises(InputError, match="pressure of reading 2 is 0"):
        calibrate(readings=[MortarReading(2e-4, 50.0, 20e5), MortarReading(3e-4, 60.0, 0.0)], bore=0.038)
