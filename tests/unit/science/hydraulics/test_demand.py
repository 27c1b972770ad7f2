import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.science.hydraulics.demand import peak_flow_by_population, peak_flow_by_power, peak_flow_by_root, peak_flow_by_table


@pytest.mark.outside("DIN 1988-300 by the constants of a glossary of building services, worked out with the references of the trade")
@pytest.mark.parametrize(
    ("total", "expected"),
    [(0.2, 0.1500776), (0.5, 0.3573764675), (1, 0.54), (2, 0.7483302995), (5, 1.069398234), (10, 1.352248596), (20, 1.674914026)],
)
def test_dwellings_by_the_german_rule(total: float, expected: float) -> None:
    found = peak_flow_by_power(total / 1000, factor=1.48, exponent=0.19, less=0.94)
    assert 1000 * found == pytest.approx(expected, rel=1e-6)


@pytest.mark.outside("DVGW W 410:2008 (formulas from memory): factors 8.34, 5.66, 3.85 of the peak hour")
@pytest.mark.parametrize(("people", "expected"), [(100, 8.34), (1000, 5.66), (10000, 3.85)])
def test_peak_hour_by_population(people: float, expected: float) -> None:
    found = peak_flow_by_population(people, daily_use=0.125, factor=18.1, exponent=0.1682)
    assert found / (people * 0.125 / 86400) == pytest.approx(expected, abs=0.02)


@given(st.floats(0, 0.5), st.floats(0, 0.5))
def test_more_users_never_draw_less_and_never_more_than_each_alone(one: float, other: float) -> None:
    def peak(total: float) -> float:
        return peak_flow_by_power(total, factor=1.48, exponent=0.19, less=0.94)

    assert max(peak(one), peak(other)) <= peak(one + other) + 1e-12 <= peak(one) + peak(other) + 1e-12 + 0.0005
    assert peak(one) <= one


def test_few_fittings_run_at_once() -> None:
    assert peak_flow_by_root(0.001, fittings=4, factor=0.8) == 0.001
    assert peak_flow_by_root(0.0, fittings=0, factor=0.8) == 0.0
    assert peak_flow_by_root(0.1, fittings=65, factor=0.8) == pytest.approx(0.01)


def test_a_table_ends_where_it_ends() -> None:
    points = [(10.0, 1e-3), (20.0, 1.4e-3)]
    assert peak_flow_by_table(5.0, points) == 0.5e-3
    assert peak_flow_by_table(20.0, points) == 1.4e-3
    with pytest.raises(InputError, match="up to 20, where the table ends"):
        peak_flow_by_table(20.1, points)
    with pytest.raises(InputError, match="points that rise"):
        peak_flow_by_table(30.0, [(10.0, 1.0), (5.0, 2.0)])
