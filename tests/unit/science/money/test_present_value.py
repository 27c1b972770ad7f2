"""What money is worth at another time."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError, SolveError
from mainwright.science.money.present_value import (
    annuity_future_value,
    annuity_present_value,
    capital_recovery,
    gradient_present_value,
    growing_annuity_present_value,
    internal_rate_of_return,
    present_value,
    sinking_fund_payment,
)

BOOK = "Panneerselvam, Engineering Economics, by a published companion of its examples"


@pytest.mark.outside(f"{BOOK}: example 4.1, p. 44")
@pytest.mark.parametrize(("first", "yearly", "worth"), [(1.2e6, 4e5, 476988.834), (2e6, 6e5, 515483.251), (1.8e6, 5e5, 296236.043)])
def test_three_alternatives(first: float, yearly: float, worth: float) -> None:
    assert annuity_present_value(yearly, rate=0.2, years=10) - first == pytest.approx(worth, abs=1.0)


@pytest.mark.outside(f"{BOOK}: example 7.1, p. 89; 15.251 % there is a straight line between 15 and 18 %")
def test_rate_of_return() -> None:
    for rate, worth in ((0.10, 13723.603), (0.15, 564.653), (0.18, -6184.869)):
        assert annuity_present_value(30000, rate=rate, years=5) - 100000 == pytest.approx(worth, abs=0.01)
    assert internal_rate_of_return([-100000, *[30000] * 5]) == pytest.approx(0.15251, abs=0.0006)


@pytest.mark.outside(f"{BOOK}: examples 3.3, 3.4 and 3.6")
def test_annuities() -> None:
    assert annuity_future_value(10000, rate=0.2, years=25) == pytest.approx(4719810.832, abs=1.0)
    assert sinking_fund_payment(500000, rate=0.18, years=15) == pytest.approx(8201.391, abs=1.0)
    assert capital_recovery(1e6, rate=0.18, years=15) == pytest.approx(196403, abs=2.0)


@pytest.mark.outside(f"{BOOK}: example 10.1, p. 138")
def test_benefit_over_cost() -> None:
    cost = 4e6 + annuity_present_value(150000, rate=0.12, years=15)
    benefit = annuity_present_value(600000, rate=0.12, years=15) + gradient_present_value(50000, rate=0.12, years=15)
    assert cost == pytest.approx(5021629.673, abs=2.0)
    assert benefit == pytest.approx(5782527.265, abs=5.0)
    assert benefit / cost == pytest.approx(1.152, abs=0.0006)


@given(st.floats(-0.5, 1.0), st.integers(1, 80))
def test_annuity_is_the_sum_of_its_payments(rate: float, years: int) -> None:
    summed = sum(present_value(1.0, rate=rate, years=year) for year in range(1, years + 1))
    assert annuity_present_value(1.0, rate=rate, years=years) == pytest.approx(summed, rel=1e-9)
    assert capital_recovery(summed, rate=rate, years=years) == pytest.approx(1.0, rel=1e-9)


def test_prices_that_rise_with_the_interest_are_worth_their_count() -> None:
    assert growing_annuity_present_value(100.0, rate=0.03, growth=0.03, years=40) == pytest.approx(4000.0)
    assert growing_annuity_present_value(100.0, rate=0.03, growth=0.0, years=40) == pytest.approx(
        annuity_present_value(100.0, rate=0.03, years=40)
    )


def test_what_cannot_be() -> None:
    with pytest.raises(InputError, match="more than -1"):
        present_value(1.0, rate=-1.0, years=2)
    with pytest.raises(InputError, match="at least 0"):
        present_value(1.0, rate=0.1, years=-2)
    with pytest.raises(InputError, match="more than 0"):
        capital_recovery(1.0, rate=0.1, years=0)
    with pytest.raises(InputError, match="more than 0"):
        sinking_fund_payment(1.0, rate=0.1, years=0)
    with pytest.raises(InputError, match="more than -1"):
        growing_annuity_present_value(1.0, rate=0.1, growth=-1.0, years=3)
    with pytest.raises(InputError, match="one change of sign"):
        internal_rate_of_return([-1.0, 3.0, -1.0])
    with pytest.raises(SolveError, match="rate of return"):
        internal_rate_of_return([-1.0, 1e6])
