"""Numbers, dates, quantities and messages as a person reads them, in a language and a set of units.

The separators and month names of the two languages stand here: importing a library for them would cost more time than the
whole of a short command. A test holds them against the Unicode locale data.
"""

import math
import re
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import Final, Literal

from mainwright.units import UNITS, US_PARTNER, from_si, to_si
from mainwright.words.catalogue import translated
from mainwright.words.codes import CODE_TEXT
from mainwright.words.message import Message, Quantity, Value

__all__ = ["UnitSystem", "Wording", "code_text", "day", "measure", "number", "shown_unit", "unit_label", "word"]

UnitSystem = Literal["metric", "us"]

_SEPARATORS: Final = MappingProxyType({"en": (".", ","), "de": (",", ".")})
_MONTHS: Final = MappingProxyType(
    {
        "en": ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"),
        "de": ("Januar", "Februar", "März", "April", "Mai", "Juni", "Juli", "August", "September", "Oktober", "November", "Dezember"),
    }
)
_SHORT_MONTHS: Final = MappingProxyType(
    {
        "en": ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"),
        "de": ("Jan.", "Feb.", "März", "Apr.", "Mai", "Juni", "Juli", "Aug.", "Sept.", "Okt.", "Nov.", "Dez."),
    }
)
_GROUP_FROM: Final = 10_000
"""Numbers of four digits stay in one piece: 1,234 and 1.234 mean different things to readers of the two languages."""

_DIGITS: Final = MappingProxyType(
    {
        "m": 1, "mm": 1, "km": 3, "m2": 1, "mm2": 0, "cm2": 0, "m3": 2, "l": 0, "l_m": 2, "l_m2": 2, "l_s": 1, "l_min": 1, "m3_s": 3,
        "m_s": 2, "m_min": 2, "s": 0, "minutes": 0, "hours": 1, "days": 1, "weeks": 0, "per_hour": 1, "pa": 0, "pa_s": 2, "kpa": 0,
        "bar": 1, "mpa": 1, "n": 0, "kn": 1, "kg": 0, "t": 2, "kg_m3": 0, "mg_l": 1, "mmol_l": 2, "deg": 1, "c": 1, "pct": 0, "w": 0,
        "kwh": 0, "rpm": 0,
    }
)  # fmt: skip
_PLACE: Final = re.compile(r"\{(\w+)\}")
_FORMS: Final = re.compile(r"\{(\w+):([^{}/]*)/([^{}/]*)\}")


def _language(language: str) -> str:
    return language if language in _SEPARATORS else "en"


def number(value: float, *, language: str, digits: int | None = None) -> str:
    """Return a number as it is printed in a language.

    Parameters
    ----------
    value : float
        Any number; what is not finite is printed as a dash. [-]
    language : str
        Code of the language; an unknown one is printed as English. [-]
    digits : int, optional
        Decimals; without them three significant digits, and never fewer digits before the point than there are. [-]

    Returns
    -------
    str
        The number with the language's decimal sign, groups of thousands from 10,000 on, and a true minus sign.

    Examples
    --------
    >>> number(-1234.5, language="de", digits=1), number(12345.678, language="en", digits=2)
    ('−1234,5', '12,345.68')
    """
    if not math.isfinite(value):
        return "–"
    if digits is None:
        digits = 0 if value == 0.0 else max(0, 2 - math.floor(math.log10(abs(value))))
    point, comma = _SEPARATORS[_language(language)]
    plain = f"{abs(value):.{digits}f}"
    whole, _, fraction = plain.partition(".")
    if int(whole) >= _GROUP_FROM:
        whole = f"{int(whole):,}".replace(",", comma)
    sign = "−" if value < 0 and any(digit in "123456789" for digit in plain) else ""
    return sign + whole + (point + fraction if fraction else "")


def day(value: date, *, language: str, short: bool = False) -> str:
    """Return a date that nobody can read as another: the month stands in letters.

    Parameters
    ----------
    value : date
        The day. [-]
    language : str
        Code of the language. [-]
    short : bool
        Whether the month is abbreviated. [-]

    Returns
    -------
    str
        The date.

    Examples
    --------
    >>> day(date(2026, 4, 3), language="en"), day(date(2026, 4, 3), language="de")
    ('3 April 2026', '3. April 2026')
    """
    known = _language(language)
    month = (_SHORT_MONTHS if short else _MONTHS)[known][value.month - 1]
    return f"{value.day}{'.' if known == 'de' else ''} {month} {value.year}"


def shown_unit(unit: str, units: UnitSystem) -> str:
    """Return the name of the display unit that a reader of these units sees for a metric one.

    Parameters
    ----------
    unit : str
        Name of the metric display unit. [-]
    units : str
        ``metric`` or ``us``. [-]

    Returns
    -------
    str
        Name of the unit shown.

    Examples
    --------
    >>> shown_unit("mm", "us"), shown_unit("minutes", "us")
    ('in', 'minutes')
    """
    return US_PARTNER.get(unit, unit) if units == "us" else unit


def unit_label(unit: str, *, language: str, units: UnitSystem) -> str:
    """Return how the unit is printed, for the head of a column or beside a number.

    Parameters
    ----------
    unit : str
        Name of the metric display unit. [-]
    language : str
        Code of the language. [-]
    units : str
        ``metric`` or ``us``. [-]

    Returns
    -------
    str
        The label; empty for a plain number.
    """
    label = UNITS[shown_unit(unit, units)].label
    return translated(label, language) if label else ""


def _digits(unit: str, digits: int | None, units: UnitSystem, value: float) -> int | None:
    """Return the decimals in the unit shown; a US value keeps the metric resolution, or up to twice it."""
    chosen = _DIGITS.get(unit) if digits is None else digits
    shown = shown_unit(unit, units)
    if chosen is not None and shown != unit:
        step = 10.0**-chosen * UNITS[unit].factor / UNITS[shown].factor
        chosen = max(0, math.ceil(-math.log10(step) - 0.3))
    if digits is None and chosen is not None:
        size = abs(from_si(value, shown))
        if 0.0 < size < 0.5 * 10.0**-chosen:
            return None  # rounded to nothing it would be a lie
    return chosen


def measure(value: float, *, unit: str, language: str, units: UnitSystem, digits: int | None = None) -> str:
    """Return an SI value as a number in the unit that the reader sees, without its label.

    Parameters
    ----------
    value : float
        In SI. [SI]
    unit : str
        Name of the metric display unit. [-]
    language : str
        Code of the language. [-]
    units : str
        ``metric`` or ``us``. [-]
    digits : int, optional
        Decimals in the metric unit; without them what is usual for the unit. [-]

    Returns
    -------
    str
        The number.

    Examples
    --------
    >>> measure(0.006, unit="mm", language="en", units="metric"), measure(0.006, unit="mm", language="en", units="us")
    ('6.0', '0.236')
    """
    return number(from_si(value, shown_unit(unit, units)), language=language, digits=_digits(unit, digits, units, value))


def code_text(code: str, language: str) -> str:
    """Return what a reader sees for a code; a string that is no code comes back as it is.

    Parameters
    ----------
    code : str
        A code of the files, or data. [-]
    language : str
        Code of the language. [-]

    Returns
    -------
    str
        The text.

    Examples
    --------
    >>> code_text("grey_iron", "en"), code_text("Mill Lane", "de")
    ('grey iron', 'Mill Lane')
    """
    text = CODE_TEXT.get(code)
    return code if text is None else translated(text, language)


@dataclass(frozen=True, slots=True)
class Wording:
    """How one reader reads: language, units, and what stands between a number and its unit.

    Attributes
    ----------
    language
        Code of the language; an unknown one reads English.
    units
        ``metric`` or ``us``.
    space
        A plain space for terminals and files; paper and pages take a no-break space.
    """

    language: str = "en"
    units: UnitSystem = "metric"
    space: str = " "

    def text(self, text: str) -> str:
        """Return an English text of the program in the reader's language."""
        return translated(text, self.language)

    def code(self, code: str) -> str:
        """Return what the reader sees for a code of the files."""
        return code_text(code, self.language)

    def number(self, value: float, digits: int | None = None) -> str:
        """Return a plain number."""
        return number(value, language=self.language, digits=digits)

    def measure(self, value: float, unit: str, digits: int | None = None) -> str:
        """Return an SI value in the reader's unit, without the label."""
        return measure(value, unit=unit, language=self.language, units=self.units, digits=digits)

    def unit(self, unit: str) -> str:
        """Return the label of the reader's unit."""
        return unit_label(unit, language=self.language, units=self.units)

    def unit_as_written(self, unit: str) -> str:
        """Return the label of a unit for a value that stays as it was written, whatever the reader's units; text that is no unit stays."""
        return self.text(UNITS[unit].label) if unit in UNITS and UNITS[unit].label else "" if unit in UNITS else unit

    def as_given(self, value: float, unit: str) -> str:
        """Return a number that somebody gave in a unit, with its label: as it was given, or to three digits in the reader's unit where that is another."""
        shown = shown_unit(unit, self.units)
        if unit not in UNITS or shown == unit:
            number_ = f"{value:.10g}".replace("-", "−")
            return f"{number_.replace('.', ',') if _language(self.language) == 'de' else number_}{self.space}{self.unit_as_written(unit)}".rstrip()
        return f"{self.number(from_si(to_si(value, unit), shown))}{self.space}{self.unit(unit)}"

    def bill_unit(self, unit: str) -> str:
        """Return how a unit of the bill is printed: a piece, an hour, a square metre; what is none of ours stays as it was written."""
        return self.unit_as_written(unit) if unit in UNITS else self.code(unit)

    def quantity(self, value: float, unit: str, digits: int | None = None) -> str:
        """Return an SI value in the reader's unit with its label."""
        shown = self.measure(value, unit, digits)
        label = self.unit(unit)
        tight = label == "°" or (label == "%" and _language(self.language) == "en")
        return f"{shown}{'' if tight or not label else self.space}{label}"

    def day(self, value: date, *, short: bool = False) -> str:
        """Return a date."""
        return day(value, language=self.language, short=short).replace(" ", self.space)

    def value(self, value: Value) -> str:
        """Return what stands in a place of a message."""
        if isinstance(value, Quantity):
            return self.quantity(value.value, value.unit, value.digits)
        if isinstance(value, Message):
            return self.word(value)
        if isinstance(value, date):
            return self.day(value)
        if isinstance(value, int):
            return self.number(value, 0)
        return self.code(value)

    def sentence(self, message: Message) -> str:
        """Return the reader's text of a message with its places open and the forms chosen that its counts ask for.

        ``{n:run/runs}`` is the first form where `n` is the whole number one, and the second elsewhere. Both our languages say 0 as they say 2.
        """
        values = dict(message.values)
        return _FORMS.sub(
            lambda found: (found[2] if values[found[1]] == 1 else found[3]) if found[1] in values else found[0], self.text(message.text)
        )

    def word(self, message: Message) -> str:
        """Return a message; a place without a value stays as it is, so that a slip shows."""
        values = dict(message.values)
        return _PLACE.sub(lambda place: self.value(values[place[1]]) if place[1] in values else place[0], self.sentence(message))


def word(message: Message, *, language: str, units: UnitSystem) -> str:
    """Return a message as a reader reads it.

    Parameters
    ----------
    message : Message
        The text and its values in SI. [-]
    language : str
        Code of the language; what the catalogue lacks stays English. [-]
    units : str
        ``metric`` or ``us``. [-]

    Returns
    -------
    str
        Plain text.

    Examples
    --------
    >>> from mainwright.words.message import message
    >>> word(message("aim {aim}", aim=Quantity(0.0063, "mm", 1)), language="de", units="metric")
    'aim 6,3 mm'
    """
    return Wording(language, units).word(message)
