import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.science.hydraulics.head_loss import head_loss
from mainwright.science.hydraulics.link_loss import FLOW_FLOOR, darcy_law, darcy_link, hazen_williams_law, power_link

VISCOSITY = 1.3e-6


def darcy(flow: float, *, bore: float = 0.0514, roughness: float = 2e-5, local: float = 0.0) -> tuple[float, float]:
    law = darcy_law(length=[100.0], bore=[bore], roughness=[roughness], viscosity=VISCOSITY, local=local)
    loss, slope = darcy_link(flow, law.per_flow, law.relative, law.scale, law.local)
    return float(loss[0]), float(slope[0])


@given(st.floats(1e-7, 0.05), st.floats(0.02, 0.4), st.floats(0.0, 2e-3))
def test_darcy_is_the_loss_of_a_single_pipe(flow: float, bore: float, roughness: float) -> None:
    expected = head_loss(flow=flow, bore=bore, length=100.0, roughness=roughness, viscosity=VISCOSITY)
    assert darcy(flow, bore=bore, roughness=roughness)[0] == pytest.approx(expected, rel=1e-11)


@given(st.floats(1e-6, 0.02))
def test_the_slope_is_that_of_the_loss(flow: float) -> None:
    step = 1e-5 * flow
    rise = (darcy(flow + step, local=2.0)[0] - darcy(flow - step, local=2.0)[0]) / (2.0 * step)
    assert darcy(flow, local=2.0)[1] == pytest.approx(rise, rel=2e-4)


@pytest.mark.outside("requirements of the trade, A7: 10.67 L Q^1.852 / (C^1.852 d^4.87), C 140: 3.2, 6.8 and 7.3 m in 150 m")
@pytest.mark.parametrize(("flow", "bore", "expected"), [(0.002, 0.0514, 3.2), (0.003, 0.0514, 6.8), (0.008, 0.0736, 7.3)])
def test_hazen_williams_hand_values(flow: float, bore: float, expected: float) -> None:
    law = hazen_williams_law(length=[150.0], bore=[bore], coefficient=[140.0])
    assert float(power_link(flow, law.resistance, law.exponent, law.local)[0][0]) == pytest.approx(expected, rel=0.012)


def test_water_at_rest_has_no_loss_and_a_slope() -> None:
    for loss, slope in (darcy(0.0), power_link(0.0, 1e5, 1.852, 0.0)):
        assert loss == 0.0
        assert slope > 0.0


def test_the_line_below_the_floor_meets_the_power() -> None:
    under, over = (power_link(FLOW_FLOOR * share, 1e5, 1.852, 0.0)[0] for share in (1.0 - 1e-12, 1.0 + 1e-12))
    assert under == pytest.approx(over, rel=1e-10)


def test_local_losses_are_velocity_heads() -> None:
    speed = 0.002 / (np.pi / 4 * 0.0514**2)
    assert darcy(0.002, local=3.0)[0] - darcy(0.002)[0] == pytest.approx(3.0 * speed**2 / (2 * 9.80665))


def test_bad_numbers_are_refused() -> None:
    with pytest.raises(InputError, match=r"bore\[1\] is 0.0"):
        hazen_williams_law(length=[1.0, 1.0], bore=[0.1, 0.0], coefficient=140.0)
    with pytest.raises(InputError, match=r"roughness\[0\] is 0.2 m; allowed: up to the bore"):
        darcy_law(length=[1.0], bore=[0.1], roughness=[0.2], viscosity=VISCOSITY)
