import math
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from mainwright.errors import InputError
from mainwright.science.hydraulics.link_loss import PowerLaw, darcy_law, hazen_williams_law
from mainwright.science.hydraulics.network import cut_off, link_losses, network, solve_network
from mainwright.science.hydraulics.network_sparse import eliminate
from tests.unit.science.hydraulics.engine import engine_heads
from tests.unit.science.hydraulics.networks import Street, street


@pytest.mark.outside("E. Maurer, Hydraulics and Water Resources: Examples Using R, example 4.7: Hardy Cross after three steps")
def test_looped_network_of_a_textbook() -> None:
    bore = np.array([0.3, 0.2, 0.2, 0.2, 0.2, 0.15, 0.25, 0.15, 0.15, 0.25])
    length = np.array([250.0, 100.0, 125.0, 125.0, 100.0, 100.0, 125.0, 100.0, 100.0, 125.0])
    factor = np.array([0.01879, 0.02075, 0.02075, 0.02075, 0.02075, 0.02233, 0.01964, 0.02233, 0.02233, 0.01964])
    first = np.array([0.04, 0.04, 0.02, -0.02, -0.04, 0.0, 0.0, -0.02, 0.02, 0.0])
    printed = [0.0383, 0.0383, 0.0232, -0.0258, -0.0417, 0.009, 0.0041, -0.0159, 0.0151, -0.0049]
    # The three loops, each written as a round: pipes 1-5, then 4 backwards with 6-8, then 3 backwards with 9, 10 and 6 backwards.
    start = [0, 1, 2, 3, 4, 3, 5, 6, 2, 7]
    end = [1, 2, 3, 4, 0, 5, 6, 4, 7, 5]
    demand = np.bincount(end, first, 8) - np.bincount(start, first, 8)
    law = PowerLaw(8.0 * factor * length / (math.pi**2 * 9.81 * bore**5), 2.0, np.zeros(10))
    assert law.resistance[[0, 5]] == pytest.approx([159.7828, 2430.5356], rel=1e-3)
    found = solve_network(network(nodes=8, start=start, end=end, fixed=[0]), law=law, demand=demand, head=np.full(8, 100.0))
    assert found.flow == pytest.approx(printed, abs=3e-4)
    # Converged by another program, kept with the example.
    converged = [0.03822795828, 0.03822795828, 0.02315271307, -0.02564683859, -0.04177204172, 0.008799551661, 0.003874796867, -0.01612520313, 0.01507524521, -0.004924754794]  # fmt: skip
    assert found.flow == pytest.approx(converged, abs=1e-10)


@pytest.mark.outside("textbook companion 1962, example 9.12, p. 340: three reservoirs, junction at 131.6 m")
def test_three_reservoirs() -> None:
    shape = network(nodes=4, start=[0, 3, 3], end=[3, 1, 2], fixed=[0, 1, 2])
    law = PowerLaw(np.array([0.7594, 36.33, 8.168]), 2.0, np.zeros(3))
    found = solve_network(shape, law=law, demand=np.zeros(4), head=[135.0, 120.0, 112.0, 0.0])
    assert found.head[3] == pytest.approx(131.6, abs=0.05)
    assert found.flow == pytest.approx([2.116, 0.565, 1.549], abs=0.01)
    assert found.flow[0] == pytest.approx(found.flow[1] + found.flow[2], abs=1e-12)


@pytest.mark.outside("US EPA hydraulic engine 2.2 through wntr 1.5.0, constructed branched supply")
def test_branched_supply_against_the_network_engine() -> None:
    length, bore = [120.0, 150.0, 80.0, 100.0], [0.0505, 0.0505, 0.0404, 0.0404]
    law = hazen_williams_law(length=length, bore=bore, coefficient=140.0)
    shape = network(nodes=5, start=[0, 1, 2, 2], end=[1, 2, 3, 4], fixed=[0])
    found = solve_network(shape, law=law, demand=[0.0, 0.0006, 0.0009, 0.0005, 0.0008], head=[40.0, 0.0, 0.0, 0.0, 0.0])
    pressure = found.head[1:] - np.array([2.0, 5.0, 4.0, 7.0])
    assert pressure == pytest.approx([32.73992157, 25.53330994, 26.10544777, 22.2561512], abs=1e-3)


@pytest.mark.parametrize("seed", range(6))
def test_full_and_sparse_and_compiled_agree(seed: int) -> None:
    one = street(nodes=60, loops=5, sources=1 + seed % 3, seed=seed)
    found = solve_network(one.shape, law=one.law(), demand=one.demand, head=one.head)
    order = eliminate(nodes=60, start=one.shape.start.tolist(), end=one.shape.end.tolist(), fixed=one.shape.fixed)
    plain = solve_network(one.shape, law=one.law(), demand=one.demand, head=one.head, order=order, compiled=False)
    assert plain.head == pytest.approx(found.head, abs=1e-8)
    assert plain.flow == pytest.approx(found.flow, abs=1e-10)
    compiled = solve_network(one.shape, law=one.law(), demand=one.demand, head=one.head, order=order, compiled=True)
    assert compiled.head == pytest.approx(found.head, abs=1e-8)
    loss, _ = link_losses(one.law(), found.flow)
    assert loss == pytest.approx(found.head[one.shape.start] - found.head[one.shape.end], abs=1e-7)
    into = np.bincount(one.shape.end, found.flow, 60) - np.bincount(one.shape.start, found.flow, 60)
    free = [node for node in range(60) if node not in one.shape.fixed]
    assert into[free] == pytest.approx(one.demand[free], abs=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_darcy_full_and_sparse_agree(seed: int) -> None:
    one = street(nodes=50, loops=4, sources=2, seed=seed)
    law = darcy_law(length=one.length, bore=one.bore, roughness=2e-5, viscosity=1.3e-6)
    found = solve_network(one.shape, law=law, demand=one.demand, head=one.head)
    order = eliminate(nodes=50, start=one.shape.start.tolist(), end=one.shape.end.tolist(), fixed=one.shape.fixed)
    for compiled in (False, True):
        other = solve_network(one.shape, law=law, demand=one.demand, head=one.head, order=order, compiled=compiled)
        assert other.head == pytest.approx(found.head, abs=1e-7)
    loss, _ = link_losses(law, found.flow)
    assert loss == pytest.approx(found.head[one.shape.start] - found.head[one.shape.end], abs=1e-7)


def test_a_first_guess_from_an_earlier_answer_saves_steps() -> None:
    one = street(nodes=80, loops=6, sources=1, seed=3)
    cold = solve_network(one.shape, law=one.law(), demand=one.demand, head=one.head)
    warm = solve_network(one.shape, law=one.law(), demand=one.demand * 1.05, head=one.head, flow=cold.flow)
    assert warm.steps < cold.steps


def test_water_at_rest() -> None:
    one = street(nodes=30, loops=3, sources=1, seed=1)
    found = solve_network(one.shape, law=one.law(), demand=np.zeros(30), head=one.head)
    assert found.head == pytest.approx(np.full(30, one.head[0]), abs=1e-9)
    assert np.max(np.abs(found.flow)) < 1e-9


def test_flow_between_two_known_heads() -> None:
    shape = network(nodes=2, start=[0], end=[1], fixed=[0, 1])
    found = solve_network(shape, law=PowerLaw(np.array([50.0]), 1.852, np.zeros(1)), demand=[0.0, 0.0], head=[10.0, 4.0])
    assert found.flow[0] == pytest.approx((6.0 / 50.0) ** (1.0 / 1.852), rel=1e-7)


def test_cut_off_nodes_are_named_before_anything_is_solved() -> None:
    shape = network(nodes=5, start=[0, 2, 3], end=[1, 3, 4], fixed=[0])
    assert cut_off(shape).tolist() == [False, False, True, True, True]
    with pytest.raises(InputError, match=r"network is 2, 3, 4 nodes; allowed: nodes that a node of known head can reach"):
        solve_network(shape, law=PowerLaw(np.ones(3), 2.0, np.zeros(3)), demand=np.zeros(5), head=np.zeros(5))


def test_bad_networks_are_refused() -> None:
    with pytest.raises(InputError, match=r"end is 1 to 3; allowed: numbers of nodes, 0 to 2"):
        network(nodes=3, start=[0, 1], end=[1, 3], fixed=[0])
    with pytest.raises(InputError, match="a link between two different nodes"):
        network(nodes=3, start=[0, 1], end=[1, 1], fixed=[0])
    with pytest.raises(InputError, match="finite numbers"):
        solve_network(network(nodes=2, start=[0], end=[1], fixed=[0]), law=PowerLaw(np.ones(1), 2.0, np.zeros(1)), demand=[0.0, math.nan], head=[1.0, 0.0])  # fmt: skip


def _heads_of_engine(one: Street, folder: Path) -> NDArray[np.float64]:
    fixed = set(one.shape.fixed)
    nodes = range(one.shape.nodes)
    lines = ["[JUNCTIONS]"]
    lines += [f"N{node} {one.level[node]:.9g} {one.demand[node] * 1000:.12g}" for node in nodes if node not in fixed]
    lines += ["[RESERVOIRS]", *(f"N{node} {one.head[node]:.12g}" for node in one.shape.fixed), "[PIPES]"]
    pipes = zip(one.shape.start, one.shape.end, one.length, one.bore, one.coefficient, strict=True)
    lines += [f"P{k} N{a} N{b} {long:.12g} {wide * 1000:.12g} {smooth:.12g} 0" for k, (a, b, long, wide, smooth) in enumerate(pipes)]
    lines += ["[OPTIONS]", "UNITS LPS", "HEADLOSS H-W", "ACCURACY 1e-7", "TRIALS 200", "[TIMES]", "DURATION 0", "[END]"]
    return engine_heads(folder, lines, [f"N{node}" for node in nodes])


@pytest.mark.outside("US EPA network engine 2.2, through wntr: heads of random supplies within 1 mm of the same equations")
def test_random_supplies_against_the_network_engine(tmp_path: Path, *, full_size: bool) -> None:
    for seed in range(200 if full_size else 12):
        one = street(nodes=12 + 4 * (seed % 20), loops=(seed % 4) * 2, sources=1 + seed % 3, seed=1000 + seed)
        found = solve_network(one.shape, law=one.law(), demand=one.demand, head=one.head)
        assert float(np.max(np.abs(found.head - _heads_of_engine(one, tmp_path)))) < 1e-3
