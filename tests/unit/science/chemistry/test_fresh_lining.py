"""How long fresh mortar shows in the water."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.science.chemistry.fresh_lining import LONGEST, time_over_high_ph

WEEK = 604800.0


@pytest.mark.outside(
    "Field trials of 1988: pH over 9.5 for years at 10 mg/l, 10 to 11 weeks at 22, up to a month at 35, no effect after a week over 55"
)
@pytest.mark.parametrize(("alkalinity", "least", "most"), [(10, 104, 520), (22, 10, 11), (35, 1, 4.4), (55.5, 0.2, 1)])
def test_the_trials_lie_within_the_stated_uncertainty(alkalinity: float, least: float, most: float) -> None:
    found = time_over_high_ph(alkalinity=alkalinity / 1000.0, contact=3600.0, bore=0.1)
    assert found.low / WEEK <= most
    assert found.high / WEEK >= least
    assert least * 0.99 <= found.middle / WEEK <= most * 1.01


@pytest.mark.outside("Field trials of 1989: 12 weeks at 1 h against 15 at 6 h, and 9 at 1 h against more than 15 at 6 h")
def test_a_longer_stay_lasts_longer() -> None:
    one, six = (time_over_high_ph(alkalinity=0.021, contact=3600.0 * hours, bore=0.1).middle for hours in (1.0, 6.0))
    assert 15.0 / 12.0 <= six / one <= 2.0


@given(st.floats(0.0, 0.5), st.floats(0.0, 0.5), st.floats(60.0, 1e6), st.floats(0.05, 1.0))
def test_harder_water_never_lasts_longer_and_the_order_holds(a: float, b: float, contact: float, bore: float) -> None:
    soft, hard = (time_over_high_ph(alkalinity=value, contact=contact, bore=bore) for value in sorted((a, b)))
    assert hard.middle <= soft.middle * (1.0 + 1e-12)
    for one in (soft, hard):
        assert 0.0 < one.low <= one.middle <= one.high <= LONGEST
