"""Sentences of a plan, and how a value that nobody gave is read."""

import pytest

from mainwright.plan.sentences import assumed_value
from mainwright.standards.source import Assumed
from mainwright.words.message import message
from mainwright.words.wording import Wording


@pytest.mark.parametrize(
    ("what", "value", "unit", "metric", "us"),
    [
        ("main.bore_mm[1110-1236]", 150.0, "mm", "150 mm", "150 mm"),
        ("cleaning.rope_mass", 0.65, "kg", "0.65 kg", "1.43 lb"),
        ("cleaning.tanker", 8.0, "m3", "8 m³", "2113 gal"),
        ("money.life_lined_years", 50.0, "years", "50 years", "50 years"),
        ("plant.hose", "H1", "", "H1", "H1"),
        ("prices.camera", None, "", "–", "–"),
    ],
)
def test_a_key_with_its_unit_stands_as_typed_and_others_as_read(
    what: str, value: float | str | None, unit: str, metric: str, us: str
) -> None:
    one = Assumed(what, value, unit, message("Not given."))
    assert assumed_value(one, Wording()) == metric
    assert assumed_value(one, Wording("en", "us")) == us
