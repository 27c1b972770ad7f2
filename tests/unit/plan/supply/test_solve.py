import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mainwright.constants import STANDARD_GRAVITY
from mainwright.plan.supply.problem import SizeProblem, Stock, groups_of, is_tree
from mainwright.plan.supply.solve import choose_sizes, supplied
from mainwright.science.hydraulics.friction import friction_factor

VISCOSITY = 1.3e-6
SMALL = Stock("32", 0.0262, 2e-5, 3.2, 1e9)
MIDDLE = Stock("63", 0.0514, 2e-5, 6.5, 1e9)
LARGE = Stock("90", 0.0736, 2e-5, 10.5, 1e9)


def loss(stock: Stock, *, length: float, flow: float) -> float:
    speed = flow / (math.pi * stock.bore**2 / 4.0)
    if speed == 0.0:
        return 0.0
    factor = friction_factor(reynolds=speed * stock.bore / VISCOSITY, relative_roughness=stock.roughness / stock.bore)
    return factor * length / stock.bore * speed**2 / (2.0 * STANDARD_GRAVITY)


@st.composite
def trees(draw: st.DrawFn) -> SizeProblem:
    """A tree of up to six links, each with a size of its own, some with little stock."""
    nodes = draw(st.integers(2, 6))
    above = [draw(st.integers(0, node - 1)) for node in range(1, nodes)]
    lengths = [float(draw(st.integers(20, 200))) for _ in above]
    demand = [0.0, *(draw(st.integers(0, 8)) * 1e-4 for _ in above)]
    stock = tuple(
        Stock(one.name, one.bore, one.roughness, one.weight, float(draw(st.sampled_from([1e9, 150.0, 300.0]))))
        for one in (SMALL, MIDDLE, LARGE)
    )
    return SizeProblem(
        start=tuple(above),
        end=tuple(range(1, nodes)),
        length=tuple(lengths),
        group=tuple(range(nodes - 1)),
        demand=tuple(demand),
        least=(-math.inf, *(float(draw(st.integers(5, 30))) for _ in above)),
        feeds=((0, 35.0, math.inf),),
        stock=stock,
        viscosity=VISCOSITY,
    )


def brute_force(problem: SizeProblem) -> float | None:
    """Return the least cost of a tree by trying all, with losses summed along each way by the scalar formula."""
    nodes = len(problem.demand)
    above = dict(zip(problem.end, problem.start, strict=True))
    flow = list(problem.demand)
    for node in range(nodes - 1, 0, -1):
        flow[above[node]] += flow[node]
    best = None
    for choice in itertools.product(range(3), repeat=nodes - 1):
        used = [math.fsum(length for length, one in zip(problem.length, choice, strict=True) if one == kind) for kind in range(3)]
        head = {0: 35.0}
        for node in range(1, nodes):
            stock = problem.stock[choice[node - 1]]
            head[node] = head[above[node]] - loss(stock, length=problem.length[node - 1], flow=flow[node])
        kept = all(head[node] >= problem.least[node] for node in range(nodes))
        if kept and all(one <= stock.length for one, stock in zip(used, problem.stock, strict=True)):
            cost = math.fsum(problem.stock[one].weight * length for one, length in zip(choice, problem.length, strict=True))
            best = cost if best is None else min(best, cost)
    return best


@settings(max_examples=40, deadline=None)
@given(trees())
def test_sizes_of_a_tree_are_those_of_trying_all(problem: SizeProblem) -> None:
    found, least = choose_sizes(problem), brute_force(problem)
    assert is_tree(problem)
    if least is None:
        assert found.supplied.short > 0.0
    else:
        assert found.exact
        assert found.supplied.short == 0.0
        assert found.weight == pytest.approx(least, abs=1e-6)


def looped(lengths: tuple[float, ...], demand: tuple[float, ...], *, heads: tuple[float, float], least: float) -> SizeProblem:
    nodes = len(demand)
    return SizeProblem(
        start=tuple(range(nodes - 1)),
        end=tuple(range(1, nodes)),
        length=lengths,
        group=tuple(range(nodes - 1)),
        demand=demand,
        least=(-math.inf, *[least] * (nodes - 2), -math.inf),
        feeds=((0, heads[0], math.inf), (nodes - 1, heads[1], math.inf)),
        stock=(SMALL, MIDDLE, LARGE),
        viscosity=VISCOSITY,
    )


@settings(max_examples=25, deadline=None)
@given(
    st.tuples(*[st.integers(20, 200).map(float)] * 3),
    st.tuples(st.integers(1, 15), st.integers(1, 15)),
    st.sampled_from([(30.0, 30.0), (33.0, 28.0), (26.0, 34.0)]),
)
def test_sizes_between_two_feeds_are_those_of_trying_all(
    lengths: tuple[float, float, float], draws: tuple[int, int], heads: tuple[float, float]
) -> None:
    """The chain is solved here by halving the flow of its first feed; a feed lets nothing back."""
    problem = looped(lengths, (0.0, draws[0] * 2e-4, draws[1] * 2e-4, 0.0), heads=heads, least=15.0)

    def chain(choice: tuple[int, ...]) -> float:
        def fall(first: float) -> tuple[float, list[float]]:
            flows = [first, first - problem.demand[1], first - problem.demand[1] - problem.demand[2]]
            head, heads_ = heads[0], []
            for flow, one, length in zip(flows, choice, lengths, strict=True):
                head -= math.copysign(loss(problem.stock[one], length=length, flow=abs(flow)), flow)
                heads_.append(head)
            return head, heads_

        total = problem.demand[1] + problem.demand[2]
        low, high = 0.0, total
        # A check valve holds where its feed would take water: then the other one gives all.
        if fall(0.0)[0] <= heads[1]:
            first = heads[1]
            back = [first - loss(problem.stock[choice[2]], length=lengths[2], flow=total)]
            back.append(back[0] - loss(problem.stock[choice[1]], length=lengths[1], flow=problem.demand[1]))
            return min(back)
        if fall(total)[0] >= heads[1]:
            return min(fall(total)[1][:2])
        for _ in range(80):
            middle = (low + high) / 2.0
            low, high = (middle, high) if fall(middle)[0] > heads[1] else (low, middle)
        return min(fall(low)[1][:2])

    costs = [
        math.fsum(problem.stock[one].weight * length for one, length in zip(choice, lengths, strict=True))
        for choice in itertools.product(range(3), repeat=3)
        if chain(choice) >= 15.0
    ]
    found = choose_sizes(problem)
    assert found.exact
    assert found.weight == pytest.approx(min(costs), abs=1e-6)


def test_a_feed_lets_nothing_back() -> None:
    problem = looped((50.0, 50.0), (0.0, 1e-4, 0.0), heads=(30.0, 10.0), least=5.0)
    got = supplied(problem, (2, 2))
    assert got.inflow == pytest.approx((1e-4, 0.0))
    assert got.head[2] > 29.0


def test_large_loops_are_searched_and_keep_what_is_asked() -> None:
    draws = tuple(1e-4 * (1 + number % 5) for number in range(20))
    problem = looped((40.0,) * 21, (0.0, *draws, 0.0), heads=(30.0, 29.0), least=15.0)
    found = choose_sizes(problem)
    assert not found.exact
    assert found.supplied.short == 0.0
    everything_large = sum(problem.length) * LARGE.weight
    assert found.weight < everything_large
    for group, one in enumerate(found.size):
        for smaller in range(one):
            size = (*found.size[:group], smaller, *found.size[group + 1 :])
            assert supplied(problem, size).short > 0.0


def test_what_cannot_be_kept_is_told_with_the_least_that_is_missed() -> None:
    problem = looped((500.0, 500.0), (0.0, 2e-2, 0.0), heads=(20.0, 20.0), least=18.0)
    found = choose_sizes(problem)
    assert found.supplied.short > 0.0
    assert found.size == (2, 2)


def test_groups_end_at_junctions_and_feeds() -> None:
    start, end = (0, 1, 2, 3, 2), (1, 2, 3, 4, 5)
    assert groups_of(start, end, nodes=6, kept=(0,), most=1) == (0, 0, 1, 1, 2)
    assert groups_of(start, end, nodes=6, kept=(0,), most=2) == (0, 1, 2, 3, 4)


@settings(max_examples=15, deadline=None)
@given(st.lists(st.integers(0, 2), min_size=40, max_size=40), st.integers(0, 39), st.integers(1, 2))
def test_flows_looked_for_from_a_neighbour_are_those_looked_for_afresh(sizes: list[int], group: int, other: int) -> None:
    problem = chain(40)
    near = list(sizes)
    near[group] = (near[group] + other) % 3
    fresh = supplied(problem, tuple(sizes))
    found = supplied(problem, tuple(sizes), near=supplied(problem, tuple(near)))
    assert found.head == pytest.approx(fresh.head, abs=1e-6)
    assert found.inflow == pytest.approx(fresh.inflow, abs=1e-9)
    assert found.short == pytest.approx(fresh.short, abs=1e-4)


def chain(links: int) -> SizeProblem:
    """A long pipe with three feeds, of which one stands lower than the others, and taps all along."""
    feeds = ((0, 40.0, math.inf), (links // 2, 31.0, math.inf), (links, 40.0, math.inf))
    return SizeProblem(
        start=tuple(range(links)),
        end=tuple(range(1, links + 1)),
        length=tuple(20.0 + number % 7 for number in range(links)),
        group=tuple(range(links)),
        demand=tuple(0.0 if number in {0, links // 2, links} else 1e-4 for number in range(links + 1)),
        least=(20.0,) * (links + 1),
        feeds=feeds,
        stock=(SMALL, MIDDLE, LARGE),
        viscosity=VISCOSITY,
    )
