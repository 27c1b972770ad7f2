"""Head loss, and its inverses."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.science.hydraulics.friction import reynolds_number
from mainwright.science.hydraulics.head_loss import bore_for_head_loss, flow_for_head_loss, head_loss, velocity

MAURER = "Maurer, Hydraulics and Water Resources: Examples Using R (2023), doi 10.5281/zenodo.7576843"


@pytest.mark.outside(f"{MAURER}, examples 4.1 to 4.3: Re 1 035 465, V 2.12 m/s, h 0.61 m (its hand line 0.061 is a slipped decimal)")
def test_head_loss_from_flow() -> None:
    viscosity = 1.023053e-6
    assert reynolds_number(flow=0.416, bore=0.5, viscosity=viscosity) == pytest.approx(1035465, rel=2e-5)
    assert velocity(flow=0.416, bore=0.5) == pytest.approx(2.12, abs=0.002)
    found = head_loss(flow=0.416, bore=0.5, length=100.0, roughness=0.046e-3, viscosity=viscosity)
    assert found == pytest.approx(0.61, abs=0.005)
    assert found != pytest.approx(0.061, rel=0.5)


@pytest.mark.outside(f"{MAURER}, example 4.4: explicit formula 0.413 m3/s (its package stops early at 0.406)")
def test_flow_from_head_loss() -> None:
    found = flow_for_head_loss(loss=0.6, bore=0.5, length=100.0, roughness=0.046e-3, viscosity=1.023e-6)
    assert found == pytest.approx(0.413, abs=5e-4)


@pytest.mark.outside(f"{MAURER}, example 4.5: D 0.501 m")
def test_bore_from_flow_and_loss() -> None:
    found = bore_for_head_loss(flow=0.416, loss=0.6, length=100.0, roughness=0.046e-3, viscosity=1.023053e-6)
    assert found == pytest.approx(0.501, abs=5e-4)


@pytest.mark.outside(f"{MAURER}, example 4.6: two parallel pipes at 100 degC, 0.15 and 0.35 m3/s, h 30 m")
def test_parallel_pipes() -> None:
    low, high = 1.0, 100.0
    for _ in range(100):
        loss = 0.5 * (low + high)
        flows = [
            flow_for_head_loss(loss=loss, bore=bore, length=length, roughness=0.025e-3, viscosity=2.938e-7)
            for bore, length in ((0.2, 400.0), (0.3, 600.0))
        ]
        low, high = (loss, high) if sum(flows) < 0.5 else (low, loss)
    assert flows == [pytest.approx(0.15, abs=0.005), pytest.approx(0.35, abs=0.005)]
    assert loss == pytest.approx(30.0, abs=0.15)


@pytest.mark.outside("Cengel and Cimbala, 1st ed., example 8-3 p. 360: head loss 9.85 m, 96 536 Pa (V rounded there)")
def test_smooth_steel_pipe() -> None:
    found = head_loss(flow=0.006, bore=0.05, length=60.0, roughness=2e-6, viscosity=0.001138 / 999)
    assert found == pytest.approx(9.85, rel=4e-3)
    assert 999 * 9.81 * found == pytest.approx(96536, rel=4e-3)


@pytest.mark.outside("worked textbook solution, holooly.com: D 1.2 m, k 0.6 mm, S 0.004: 2.363 m/s (2.5 for 2.51 there)")
def test_velocity_for_a_gradient() -> None:
    flow = flow_for_head_loss(loss=0.004, bore=1.2, length=1.0, roughness=0.6e-3, viscosity=1.005e-6)
    assert velocity(flow=flow, bore=1.2) == pytest.approx(2.363, abs=0.003)


@pytest.mark.outside("Subramanya, 1000 Solved Problems in Fluid Mechanics, example 10.19 p. 222: 127.9 l/s")
def test_flow_at_a_given_gradient() -> None:
    flow = flow_for_head_loss(loss=2.5, bore=0.25, length=100.0, roughness=0.15e-3, viscosity=1e-6)
    assert 1e3 * flow == pytest.approx(127.9, rel=2e-3)


@pytest.mark.outside("Subramanya, example 10.20 p. 223: D 38.3 cm")
def test_bore_for_a_head() -> None:
    found = bore_for_head_loss(flow=0.25, loss=15.0, length=1500.0, roughness=0.12e-3, viscosity=1e-6)
    assert 100 * found == pytest.approx(38.3, abs=0.1)


@pytest.mark.outside("Subramanya, example 10.15 p. 220: pumping costs of 10 and 15 cm bores differ 8.42 times (fully rough law, k 0.2 mm)")
def test_ratio_of_losses_in_full_turbulence() -> None:
    losses = [head_loss(flow=50.0, bore=bore, length=1.0, roughness=0.2e-3, viscosity=1e-6) for bore in (0.10, 0.15)]
    assert losses[0] / losses[1] == pytest.approx(8.42, rel=3e-3)


@pytest.mark.outside("fluids 1.3, friction_factor and dP_from_K")
def test_agrees_with_a_general_library() -> None:
    fluids = pytest.importorskip("fluids")
    for flow in (0.001, 0.02, 0.3):
        speed = velocity(flow=flow, bore=0.15)
        factor = fluids.friction_factor(Re=fluids.Reynolds(V=speed, D=0.15, nu=1.3e-6), eD=0.002)
        expected = fluids.head_from_K(K=fluids.K_from_f(fd=factor, L=80.0, D=0.15), V=speed, g=9.80665)
        assert head_loss(flow=flow, bore=0.15, length=80.0, roughness=0.0003, viscosity=1.3e-6) == pytest.approx(expected, rel=1e-9)


@given(st.floats(1e-7, 1.0), st.floats(0.03, 1.0), st.floats(0.0, 0.02))
def test_inverses(flow: float, bore: float, roughness: float) -> None:
    loss = head_loss(flow=flow, bore=bore, length=100.0, roughness=roughness, viscosity=1.3e-6)
    assert flow_for_head_loss(loss=loss, bore=bore, length=100.0, roughness=roughness, viscosity=1.3e-6) == pytest.approx(flow, rel=1e-9)
    assert bore_for_head_loss(flow=flow, loss=loss, length=100.0, roughness=roughness, viscosity=1.3e-6) == pytest.approx(bore, rel=1e-6)


def test_sign_goes_with_the_flow() -> None:
    kind = {"bore": 0.1, "length": 10.0, "roughness": 1e-4, "viscosity": 1e-6}
    assert head_loss(flow=-0.01, **kind) == -head_loss(flow=0.01, **kind)
    assert flow_for_head_loss(loss=-1.0, **kind) == -flow_for_head_loss(loss=1.0, **kind)
    assert head_loss(flow=0.0, **kind) == 0.0
    assert flow_for_head_loss(loss=0.0, **kind) == 0.0


def test_impossible_values_are_told() -> None:
    with pytest.raises(InputError, match=r"roughness is 0\.2 m; allowed: up to the bore"):
        flow_for_head_loss(loss=1.0, bore=0.1, length=10.0, roughness=0.2, viscosity=1e-6)
    with pytest.raises(InputError, match="loss is nan m"):
        flow_for_head_loss(loss=math.nan, bore=0.1, length=10.0, roughness=0.0, viscosity=1e-6)
    with pytest.raises(InputError, match="allowed: that of a bore from"):
        bore_for_head_loss(flow=1e-9, loss=1e9, length=1.0, roughness=0.01, viscosity=1e-6)
