"""Local losses."""

import math

import pytest

from mainwright.errors import InputError
from mainwright.science.hydraulics.head_loss import head_loss
from mainwright.science.hydraulics.local import expansion_coefficient, local_loss

FOOT, PSI = 0.3048, 6894.757


@pytest.mark.outside("Cengel and Cimbala, 1st ed., example 8-8 p. 377: friction and five fittings, upper level 31.8 to 31.9 m")
def test_friction_and_fittings() -> None:
    friction = head_loss(flow=0.006, bore=0.05, length=89.0, roughness=0.26e-3, viscosity=0.001307 / 999.7)
    level = 4.0 + friction + local_loss(flow=0.006, bore=0.05, coefficient=0.5 + 0.3 + 0.3 + 0.2 + 1.06)
    assert level == pytest.approx(31.85, abs=0.1)


@pytest.mark.outside("Cengel and Cimbala, 1st ed., example 8-6 p. 370: gradual expansion, K 0.133, 7 m/s: 0.3322 m")
def test_gradual_expansion() -> None:
    assert local_loss(flow=7 * 0.25 * math.pi * 0.06**2, bore=0.06, coefficient=0.133) == pytest.approx(0.3322, abs=2e-4)


@pytest.mark.outside(
    "Munson, Young and Okiishi, example 8.8 p. 451: friction adds 10.6 psi to 10.7, the fittings 9.2 more (21.3 and 30.5 psi)"
)
def test_plumbing_line() -> None:
    density, bore, flow = 1.94 * 515.378818, 0.0625 * FOOT, 0.0267 * FOOT**3
    # Basement to faucet: four elbows, a valve, the faucet.
    fittings = density * 9.80665 * local_loss(flow=flow, bore=bore, coefficient=4 * 1.5 + 10 + 2) / PSI
    assert fittings == pytest.approx(30.5 - 21.3, abs=0.1)


@pytest.mark.outside("White, Fluid Mechanics, section 6.9: the outlet into a reservoir has K = 1 whatever its shape")
def test_outlet() -> None:
    assert expansion_coefficient(bore=0.1, wider=1e6) == pytest.approx(1.0)
    assert expansion_coefficient(bore=0.1, wider=0.1) == 0.0
    assert expansion_coefficient(bore=0.1, wider=0.05) == 0.0


def test_sign_goes_with_the_flow() -> None:
    assert local_loss(flow=-0.01, bore=0.1, coefficient=2.0) == -local_loss(flow=0.01, bore=0.1, coefficient=2.0)
    with pytest.raises(InputError, match=r"coefficient is -1\.0"):
        local_loss(flow=0.01, bore=0.1, coefficient=-1.0)
