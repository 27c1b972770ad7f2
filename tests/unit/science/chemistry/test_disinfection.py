"""Doses of chlorine against printed examples and tables, and what chemistry demands."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.science.chemistry.disinfection import (
    AGENTS,
    Agent,
    active_share,
    agent_mass,
    chlorine_in_solution,
    decay_rate,
    dosing_flow,
    residual_after,
    slug,
    strength_after,
)
from mainwright.science.hydraulics.flushing import bore_volume
from mainwright.units import from_si, to_si


@pytest.mark.outside(
    "California State Water Resources Control Board, example calculations of chlorine dosage (Feb 2018), example 1: 1.31 mg/l"
)
def test_a_dose_from_the_volume_of_solution() -> None:
    held = chlorine_in_solution(0.005, kind="hypochlorite", density=None)
    dose = to_si(11.0, "gal") * held / to_si(40_000.0, "gal")
    assert from_si(dose, "mg_l") == pytest.approx(1.31, abs=0.005)


@pytest.mark.outside("the same, example 2: 40 ml/min of 0.25 % into 35 gallons a minute gives 0.72 mg/l")
def test_a_dose_from_the_rate_of_feed() -> None:
    held = chlorine_in_solution(0.0025, kind="hypochlorite", density=None)
    flow = to_si(35.0, "gpm")
    dose = 40e-6 / 60.0 * held / flow
    assert from_si(dose, "mg_l") == pytest.approx(0.72, abs=0.005)
    assert dosing_flow(water_flow=flow, dose=dose, chlorine=held) == pytest.approx(40e-6 / 60.0)


@pytest.mark.outside("basic water formulas sheet: 1.5 million gallons a day at 4 mg/l take 50 lb a day")
def test_pounds_a_day() -> None:
    mass = to_si(1.5e6, "gal") * to_si(4.0, "mg_l")
    assert from_si(mass, "lb") == pytest.approx(50.0, abs=0.1)


TABLE_24_1 = [
    (6, 146.9),
    (8, 261.1),
    (10, 408.0),
    (12, 587.5),
    (16, 1044.0),
    (20, 1632.0),
    (24, 2350.0),
    (30, 3672.0),
    (36, 5287.0),
    (48, 9400.0),
]


@pytest.mark.outside("327 IAC 8-3.4-24, table 24-1: gallons in 100 ft of pipe, ten of its twelve rows")
@pytest.mark.parametrize(("inches", "gallons"), TABLE_24_1)
def test_gallons_in_a_hundred_feet(inches: float, gallons: float) -> None:
    found = from_si(bore_volume(bore=to_si(inches, "in"), length=to_si(100.0, "ft")), "gal")
    assert found == pytest.approx(gallons, rel=6e-4)


@pytest.mark.outside("the same table: its rows for 5 in (106.09) and 60 in (11690) are wrong and are not met")
@pytest.mark.parametrize(("inches", "printed", "exact"), [(5, 106.09, 102.0), (60, 11690.0, 14687.97)])
def test_the_wrong_rows_are_not_met(inches: float, printed: float, exact: float) -> None:
    found = from_si(bore_volume(bore=to_si(inches, "in"), length=to_si(100.0, "ft")), "gal")
    assert found == pytest.approx(exact, rel=1e-5)
    assert found != pytest.approx(printed, rel=0.02)


@pytest.mark.outside(
    "Lauer and Sanchez (2006), field guide, slug example: 500 mm, 1000 m, a fifth, 100 mg/l: 39 250 l, 390 l of 1 %, 5.8 kg of 65 %"
)
def test_the_slug_example() -> None:
    found = slug(bore=0.5, length=1000.0, share=0.2, contact=3 * 3600.0)
    assert found.volume * 1000 == pytest.approx(39_250, rel=0.001)
    chlorine = found.volume * to_si(100.0, "mg_l")
    assert chlorine / 10.0 * 1000 == pytest.approx(390, rel=0.01)
    # Its recipe, a pound of 65 % product in 8 gallons, makes 0.97 % where it says 1 %: by chlorine it would be 6.0 kg, and 5.8 is printed.
    recipe = to_si(1.0, "lb") / to_si(8.0, "gal")
    assert chlorine / 10.0 * recipe == pytest.approx(5.8, abs=0.1)
    assert chlorine / 0.65 == pytest.approx(6.04, abs=0.01)
    assert found.length / found.velocity == pytest.approx(3 * 3600.0)


@pytest.mark.outside("the same guide: 2 l/s filling at 100 mg/l take 720 g of chlorine an hour; 20 gpm 24 lb a day")
def test_the_feed_of_a_slug() -> None:
    assert 2e-3 * to_si(100.0, "mg_l") * 3600 == pytest.approx(0.720)
    assert from_si(to_si(20.0, "gpm") * to_si(100.0, "mg_l") * 86400.0, "lb") == pytest.approx(24.0, abs=0.1)
    flow = dosing_flow(water_flow=to_si(25.0, "gpm"), dose=to_si(100.0, "mg_l"), chlorine=10.0)
    assert from_si(flow * 3600.0, "gal") == pytest.approx(15.0, rel=0.01)


@pytest.mark.outside(
    "AWWA C651, chlorine for 25 mg/l by 100 ft (from memory; the table cuts off, up to 5 %), and gallons of a 1 % solution"
)
@pytest.mark.parametrize(
    ("inches", "pounds", "gallons"),
    [(4, 0.013, 0.16), (6, 0.030, 0.36), (8, 0.054, 0.65), (10, 0.085, 1.02), (12, 0.120, 1.44), (16, 0.217, 2.60)],
)
def test_chlorine_by_diameter(inches: float, pounds: float, gallons: float) -> None:
    chlorine = bore_volume(bore=to_si(inches, "in"), length=to_si(100.0, "ft")) * to_si(25.0, "mg_l")
    assert from_si(chlorine, "lb") == pytest.approx(pounds, rel=0.05)
    assert from_si(chlorine, "lb") >= pounds
    held = chlorine_in_solution(0.01, kind="trade", density=None)
    assert from_si(chlorine / held, "gal") == pytest.approx(gallons, rel=0.025)


@pytest.mark.outside(
    "AWWA C651, appendix on disposal (from memory): lb by 100 000 gallons and 1 mg/l; its sulfite and thiosulfate are not stoichiometric"
)
@pytest.mark.parametrize(("agent", "pounds"), [("sulfur_dioxide", 0.8), ("sodium_bisulfite", 1.2), ("ascorbic_acid", 2.1)])
def test_what_takes_chlorine_away(agent: Agent, pounds: float) -> None:
    chlorine = to_si(100_000.0, "gal") * to_si(1.0, "mg_l")
    assert from_si(agent_mass(agent, chlorine=chlorine), "lb") == pytest.approx(pounds, abs=0.06)


@pytest.mark.outside("AWWA field guide, table 7-2: mg of agent by mg of chlorine, from the field; never less than chemistry demands")
@pytest.mark.parametrize(
    ("agent", "field"),
    [
        ("sodium_bisulfite", 1.61),
        ("sodium_metabisulfite", 1.47),
        ("sodium_sulfite", 1.96),
        ("sodium_thiosulfate", 1.9),
        ("ascorbic_acid", 2.5),
        ("sodium_ascorbate", 2.8),
    ],
)
def test_practice_takes_more_than_chemistry(agent: Agent, field: float) -> None:
    assert agent_mass(agent, chlorine=1.0) < field


@pytest.mark.outside("Morris (1966): K = 2.90e-8 at 25 degC")
def test_hypochlorous_acid() -> None:
    share = active_share(ph=-math.log10(2.90e-8), temperature=298.15)
    assert share == pytest.approx(0.5, abs=0.002)
    assert active_share(ph=10.5, temperature=283.15) < 0.002


@given(age=st.floats(0.0, 1e8), halving=st.floats(1e5, 1e8), strength=st.floats(0.01, 0.2))
def test_a_diluted_solution_keeps_longer(age: float, halving: float, strength: float) -> None:
    left = strength_after(strength, age=age, halving=halving)
    assert 0.0 < left <= strength
    # Two steps are one: the halving time of what is left has grown as its strength fell.
    half = strength_after(strength, age=age / 2, halving=halving)
    assert strength_after(half, age=age / 2, halving=halving * strength / half) == pytest.approx(left, rel=1e-9)


def test_decay_and_its_inverse() -> None:
    times = [0.0, 3600.0, 7200.0, 86400.0]
    left = [residual_after(0.05, time=time, bulk_rate=4e-6, wall_rate=1e-7, bore=0.1) for time in times]
    assert decay_rate(times, left) == pytest.approx(4e-6 + 4e-6, rel=1e-9)
    with pytest.raises(InputError, match="at least 2"):
        decay_rate([0.0], [1.0])
    with pytest.raises(InputError, match="spread"):
        decay_rate([1.0, 1.0], [1.0, 1.0])


def test_what_is_refused() -> None:
    with pytest.raises(InputError, match="a fraction"):
        chlorine_in_solution(12.0, kind="trade", density=None)
    with pytest.raises(InputError, match="density"):
        chlorine_in_solution(0.12, kind="mass", density=None)
    assert chlorine_in_solution(0.12, kind="mass", density=1200.0) == pytest.approx(144.0)
    with pytest.raises(InputError, match="agent"):
        agent_mass("salt", chlorine=1.0)  # type: ignore[arg-type]
    with pytest.raises(InputError, match="share"):
        slug(bore=0.1, length=10.0, share=1.5, contact=1.0)
    assert set(AGENTS) >= {"ascorbic_acid", "sodium_thiosulfate"}
