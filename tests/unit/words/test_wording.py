"""Numbers, dates and messages as they are read."""

from datetime import date

import pytest
from babel.dates import format_date
from babel.numbers import format_decimal
from hypothesis import given
from hypothesis import strategies as st

from mainwright.units import UNITS, US_PARTNER, from_si, to_si
from mainwright.words.message import Message, Quantity, message
from mainwright.words.wording import Wording, code_text, day, measure, number, shown_unit, unit_label, word

LOCALES = {"en": "en_GB", "de": "de_DE"}


@pytest.mark.outside("Unicode Common Locale Data Repository, locales en_GB and de_DE, through Babel")
@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("value", [0.0, 0.25, -3.5, 999.875, 12345.625, -1234567.5])
def test_separators_are_those_of_the_language(language: str, value: float) -> None:
    expected = format_decimal(value, format="#,##0.000", locale=LOCALES[language]).replace("-", "−")
    assert number(value, language=language, digits=3) == expected


@pytest.mark.outside("Unicode Common Locale Data Repository, locales en_GB and de_DE, through Babel")
@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("month", range(1, 13))
def test_months_are_those_of_the_language(language: str, month: int) -> None:
    value = date(2026, month, 3)
    assert day(value, language=language) == format_date(value, format="long", locale=LOCALES[language])
    short = day(value, language=language, short=True).split(" ")[1]
    assert short.removesuffix(".") == format_date(value, format="MMM", locale=LOCALES[language]).removesuffix(".").replace(
        "Sept", "Sep" if language == "en" else "Sept"
    )


def test_four_digits_stay_in_one_piece() -> None:
    assert number(9999.5, language="en", digits=1) == "9999.5"
    assert number(9999.96, language="en", digits=1) == "10,000.0"


def test_what_rounds_to_nothing_has_no_sign() -> None:
    assert number(-0.001, language="en", digits=2) == "0.00"


def test_a_number_that_is_none_is_a_dash() -> None:
    assert number(float("nan"), language="en") == "–"


@given(st.floats(min_value=1e-6, max_value=1e12), st.sampled_from(["en", "de"]))
def test_three_digits_can_be_read_back(value: float, language: str) -> None:
    shown = number(value, language=language)
    plain = shown.replace(",", "") if language == "en" else shown.replace(".", "").replace(",", ".")
    assert float(plain) == pytest.approx(value, rel=0.005)


@given(st.sampled_from(sorted(set(UNITS) & set(US_PARTNER))), st.floats(min_value=1.0, max_value=1e5))
def test_us_units_keep_the_resolution(unit: str, shown: float) -> None:
    value = to_si(shown, unit)
    digits = 1
    back = to_si(
        float(measure(value, unit=unit, language="en", units="us", digits=digits).replace(",", "").replace("−", "-")), US_PARTNER[unit]
    )
    assert abs(from_si(back, unit) - shown) <= 2.0 * 10.0**-digits * 0.5 + 1e-9


def test_a_small_value_is_not_rounded_to_nothing() -> None:
    assert measure(0.00001234, unit="mm", language="en", units="metric") == "0.0123"
    assert measure(0.00001234, unit="mm", language="en", units="metric", digits=1) == "0.0"


def test_units_follow_the_reader() -> None:
    assert shown_unit("l_min", "us") == "gpm"
    assert unit_label("l_min", language="en", units="metric") == "l/min"
    assert unit_label("weeks", language="de", units="metric") == "Wochen"
    assert Wording("en", "us").quantity(to_si(10.0, "c"), "c") == "50.0 °F"
    assert Wording("de").quantity(0.05, "pct") == "5 %"
    assert Wording("en").quantity(0.05, "pct") == "5%"
    assert Wording("en").quantity(to_si(22.5, "deg"), "deg") == "22.5°"
    assert Wording("en", space="\u00a0").quantity(1.0, "m") == "1.0\u00a0m"


def test_a_message_is_worded_with_its_values() -> None:
    said = message(
        "{who}: {n} of {material} on {day}, {aim}",
        who="R-1",
        n=12500,
        material="grey_iron",
        day=date(2026, 4, 13),
        aim=Quantity(0.006, "mm", 1),
    )
    assert word(said, language="en", units="metric") == "R-1: 12,500 of grey iron on 13 April 2026, 6.0 mm"
    assert word(said, language="de", units="metric") == "R-1: 12.500 of Grauguss on 13. April 2026, 6,0 mm"
    assert word(said, language="en", units="us").endswith("0.236 in")


def test_a_value_is_never_read_as_a_place() -> None:
    assert word(message("{a} {b}", a="{b}", b="{0.__class__}"), language="en", units="metric") == "{b} {0.__class__}"


def test_a_place_without_a_value_shows() -> None:
    assert word(Message("{lost} text"), language="en", units="metric") == "{lost} text"


@given(st.text(), st.text())
def test_no_text_makes_it_fail(text: str, value: str) -> None:
    assert isinstance(word(message(text, value=value), language="de", units="us"), str)


def test_codes_have_texts() -> None:
    assert code_text("gate_valve", "en") == "gate valve"
    assert code_text("R-01", "de") == "R-01"


def test_a_message_within_a_message_is_worded_by_itself() -> None:
    inner = message("aim {aim}", aim=Quantity(0.0063, "mm", 1))
    assert word(message("first {a}, then {b}", a=inner, b=inner), language="de", units="metric") == "first aim 6,3 mm, then aim 6,3 mm"


def test_the_units_that_are_paid_by_time_are_worded() -> None:
    assert [Wording("de").bill_unit(unit) for unit in ("hour", "day", "each", "m2")] == ["h", "Tag", "St.", "m²"]
    assert [Wording("en").code(unit) for unit in ("hour", "day")] == ["hour", "day"]


def test_a_given_value_stays_as_given_for_who_reads_its_unit() -> None:
    assert Wording("de").as_given(0.65, "kg") == "0,65 kg"
    assert Wording("en", "us").as_given(0.65, "kg") == "1.43 lb"
    assert Wording("de", "us").as_given(150.0, "l_min") == "39,6 gpm"
    assert Wording("en", "us").as_given(3.0, "") == "3"
    assert Wording("en", "us").as_given(-2.5, "NTU") == "−2.5 NTU"
    assert Wording("de").as_given(50.0, "years") == "50 Jahre"
