"""Flows and times of flushing against printed tables."""

import pytest

from mainwright.errors import InputError
from mainwright.science.hydraulics.flushing import bore_volume, flush_flow, flush_time
from mainwright.units import from_si, to_si


@pytest.mark.outside(
    "AWWA C651, table 3 in two editions (from memory): gallons a minute at 2.5 and 3.0 ft/s; the table rounds by up to a tenth"
)
@pytest.mark.parametrize(
    ("inches", "slow", "fast"), [(4, 100, 120), (6, 200, 260), (8, 400, 470), (10, 600, 730), (12, 900, 1060), (16, 1600, 1880)]
)
def test_the_flow_of_flushing(inches: float, slow: float, fast: float) -> None:
    bore = to_si(inches, "in")
    assert from_si(flush_flow(bore=bore, velocity=to_si(2.5, "ft_s")), "gpm") == pytest.approx(slow, rel=0.105)
    assert from_si(flush_flow(bore=bore, velocity=to_si(3.0, "ft_s")), "gpm") == pytest.approx(fast, rel=0.025)


@pytest.mark.outside("water in a metre of pipe, exact geometry: DN 80 5.027 l, DN 300 70.686 l, DN 600 282.743 l")
@pytest.mark.parametrize(("millimetres", "litres"), [(80, 5.027), (300, 70.686), (600, 282.743)])
def test_the_water_in_a_metre(millimetres: float, litres: float) -> None:
    assert bore_volume(bore=millimetres / 1000, length=1.0) * 1000 == pytest.approx(litres, abs=0.0006)


@pytest.mark.outside("worked elsewhere: bore 144 mm, 1 m/s, 300 m, three changes: 16.286 l/s, 15 min")
def test_three_changes_of_the_water() -> None:
    flow = flush_flow(bore=0.144, velocity=1.0)
    assert flow * 1000 == pytest.approx(16.286, abs=5e-4)
    assert flush_time(volume=bore_volume(bore=0.144, length=300.0), flow=flow, changes=3.0) == pytest.approx(900.0)
    with pytest.raises(InputError, match="velocity"):
        flush_flow(bore=0.1, velocity=0.0)
