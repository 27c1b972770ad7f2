"""What a water does to fresh mortar."""

import csv
import math
from pathlib import Path

import pytest

from mainwright.errors import InputError
from mainwright.job.water import WaterAnalysis
from mainwright.plan.water import WaterAssessment, assess_waters
from mainwright.plan.water_forecast import forecast_ph, longest_stay
from mainwright.standards.published import value
from mainwright.standards.water import CALCITE_EQUIVALENT
from mainwright.words.message import Quantity

_HOUR = 3600.0
_WEEK = 604800.0


def _water(alkalinity: float, *, ph: float | None = 7.5) -> WaterAnalysis:
    """Return a water like those of the trials, from its alkalinity as CaCO3 [mg/l]."""
    charge = 1e-3 * alkalinity / CALCITE_EQUIVALENT
    return WaterAnalysis(temperature=283.15, ph=ph, alkalinity=charge, calcium=0.4 * charge * 0.040078)


def _one(water: WaterAnalysis, *, hours: float = 1.0, lime: float | None = None) -> WaterAssessment:
    return assess_waters([water], stay=hours * _HOUR, bore=0.1, lime=lime)[0]


def _weeks(water: WaterAnalysis, *, hours: float = 1.0) -> tuple[float, float, float]:
    over = _one(water, hours=hours).over_ph_9_5
    assert over is not None
    low, middle, high = (time / _WEEK for time in over)
    return low, middle, high


@pytest.mark.outside("field trials: DWI0785 (10: several years, 35: up to a month, over 55: a first week), DWI0284 (22: 10 to 11 weeks)")
@pytest.mark.parametrize(("alkalinity", "observed"), [(10, 156.0), (22, 10.0), (22, 11.0), (35, 4.3), (56, 1.0)])
def test_the_trials_lie_within_the_stated_uncertainty(alkalinity: float, observed: float) -> None:
    low, middle, high = _weeks(_water(alkalinity))
    assert low < middle < high
    assert low <= observed <= high


@pytest.mark.outside("field trials of DWI0285 (1989): 6 h of contact last longer than 1 h")
def test_softer_water_and_a_longer_stay_last_longer() -> None:
    middles = [_weeks(_water(alkalinity))[1] for alkalinity in (10, 22, 35, 56, 150)]
    assert middles == sorted(middles, reverse=True)
    for alkalinity in (14, 21):
        assert _weeks(_water(alkalinity), hours=6.0)[1] > _weeks(_water(alkalinity))[1]


def test_slag_is_shorter_and_the_cap_holds() -> None:
    slag = assess_waters([_water(10)], stay=_HOUR, bore=0.1, cement="slag")[0].over_ph_9_5
    assert slag is not None
    assert slag[1] / _WEEK < _weeks(_water(10))[1]
    assert _weeks(_water(2)) == pytest.approx((520.0,) * 3) or max(_weeks(_water(2))) == pytest.approx(520.0)


def test_hard_water_keeps_the_first_week_that_the_trials_saw() -> None:
    assert _weeks(_water(250))[2] == pytest.approx(1.0)


def test_aggressive_carbon_dioxide_is_the_capacity_mole_for_mole() -> None:
    soft, hard = _one(_water(20)), _one(_water(250, ph=8.2))
    assert soft.capacity is not None
    assert soft.aggressive is not None
    assert soft.capacity > 0.0
    assert soft.aggressive / soft.capacity == pytest.approx(44.01 / 100.09, rel=1e-4)
    assert hard.capacity is not None
    assert hard.capacity < 0.0
    assert hard.aggressive == 0.0


def test_what_is_not_known_stays_so() -> None:
    nothing = _one(WaterAnalysis())
    assert (nothing.saturation_index, nothing.capacity, nothing.ion_balance, nothing.name, nothing.over_ph_9_5) == (None,) * 5
    alkalinity = _one(WaterAnalysis(alkalinity=0.44))
    assert alkalinity.name == "to_25"
    assert alkalinity.over_ph_9_5 is not None
    assert alkalinity.saturation_index is None
    assert {"{assumed}" in note.text for note in alkalinity.notes} == {True, False}


def test_the_ion_balance_is_told_and_nothing_is_moved() -> None:
    known = {"temperature": 283.15, "ph": 7.8, "alkalinity": 2.0, "calcium": 0.040078, "magnesium": 0.0, "sulfate": 0.0}
    right = _one(WaterAnalysis(**known, sodium=0.02298977, chloride=0.03545))
    assert right.ion_balance == pytest.approx(0.0, abs=1e-9)
    wrong = _one(WaterAnalysis(**known, sodium=0.02298977, chloride=0.0))
    assert wrong.ion_balance == pytest.approx(1.0 / 5.0)
    assert any("anions are missing" in note.text for note in wrong.notes)
    assert wrong.saturation_index is not None
    assert _one(WaterAnalysis(**known, sodium=0.02298977)).ion_balance is None


def test_what_would_close_the_ion_balance_closes_it() -> None:
    known = {"temperature": 283.15, "ph": 7.8, "calcium": 0.060078, "magnesium": 0.004, "sodium": 0.01, "sulfate": 0.02, "chloride": 0.012}
    wrong = _one(WaterAnalysis(**known, alkalinity=1.5))
    note = next(note for note in wrong.notes if "would fit them" in note.text)
    fits = dict(note.values)["fits"]
    assert isinstance(fits, Quantity)
    right = _one(WaterAnalysis(**known, alkalinity=fits.value))
    assert right.ion_balance == pytest.approx(0.0, abs=1e-12)
    assert not any("Ion balance" in one.text for one in right.notes)


def test_too_much_free_carbon_dioxide_is_told_with_what_would_go_together() -> None:
    given = {"temperature": 283.15, "calcium": 0.08}
    wrong = _one(WaterAnalysis(**given, ph=5.0, alkalinity=4.0))
    note = next(note for note in wrong.notes if "free CO2" in note.text)
    told = dict(note.values)
    ph, alkalinity = told["ph"], told["alkalinity"]
    assert isinstance(ph, Quantity)
    assert isinstance(alkalinity, Quantity)
    for close in (
        WaterAnalysis(**given, ph=ph.value + 0.05, alkalinity=4.0),
        WaterAnalysis(**given, ph=5.0, alkalinity=alkalinity.value * 0.9),
    ):
        assert not any("free CO2" in one.text for one in _one(close).notes)


def test_a_ph_that_the_alkalinity_cannot_bear_is_told_with_one_that_it_can() -> None:
    found = _one(_water(10, ph=11.5))
    note = next(note for note in found.notes if "cannot both be right" in note.text)
    most = dict(note.values)["most"]
    assert found.saturation_index is None
    assert found.name == "to_10"
    assert not isinstance(most, str | int)
    assert _one(_water(10, ph=most.value - 0.01)).saturation_index is not None  # type: ignore[union-attr]


def test_the_forecast_falls_and_calcite_lowers_it() -> None:
    series = forecast_ph(_water(22), ages=[_WEEK / 7, _WEEK, 10 * _WEEK, 50 * _WEEK], stay=_HOUR, bore=0.1)
    ph = [one.ph for one in series]
    assert ph == sorted(ph, reverse=True)
    assert all(one.ph_at_calcite <= one.ph for one in series)
    middle = _weeks(_water(22))[1] * _WEEK
    assert forecast_ph(_water(22), ages=[middle], stay=_HOUR, bore=0.1)[0].ph == pytest.approx(9.5, abs=1e-3)


def test_the_longest_stay_meets_the_limit() -> None:
    stay = longest_stay(_water(22), age=20 * _WEEK, bore=0.1)
    soon = longest_stay(_water(22), age=4 * _WEEK, bore=0.1)
    assert soon is not None
    assert stay == math.inf
    assert forecast_ph(_water(22), ages=[4 * _WEEK], stay=soon, bore=0.1)[0].ph == pytest.approx(9.5, abs=1e-3)


def test_lime_that_was_asked_for() -> None:
    assert _one(_water(22), lime=0.0).ph_after_lime == pytest.approx(7.5, abs=1e-6)
    raised = _one(_water(22), lime=0.1).ph_after_lime
    assert raised is not None
    assert raised > 9.5
    with pytest.raises(InputError, match="stay"):
        assess_waters([_water(22)], stay=0.0, bore=0.1)


@pytest.mark.open_data
def test_real_waters_all_have_a_class_and_a_forecast(open_data: Path) -> None:
    with (open_data / "water_quality" / "city_water.csv").open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["carbonate_hardness_mgl_caco3"] and row["ph"] and row["calcium_mgl"]]
    waters = [
        WaterAnalysis(
            temperature=283.15,  # not in the table; without one there is no index
            ph=float(row["ph"]),
            alkalinity=1e-3 * float(row["carbonate_hardness_mgl_caco3"]) / CALCITE_EQUIVALENT,
            calcium=1e-3 * float(row["calcium_mgl"]),
        )
        for row in rows
    ]
    assert len(waters) >= 20
    for one in assess_waters(waters, stay=_HOUR, bore=0.1):
        assert one.saturation_index is not None
        assert -2.0 < one.saturation_index < 1.2
        assert one.over_ph_9_5 is not None
    assert value("leaching", "rate").source.status == "derived"
