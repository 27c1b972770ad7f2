"""Who reads: language, units and light of a page. Asked of the browser, and kept in a cookie only where somebody chooses."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final, Literal

from mainwright.words.catalogue import LANGUAGES
from mainwright.words.wording import UnitSystem, Wording

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = ["CHOICES", "COOKIE", "Light", "Reader", "chosen", "reader_of"]

Light = Literal["auto", "light", "dark"]

COOKIE: Final = "mainwright_look"
"""Holds language, units and light, and nothing of the reader."""

CHOICES: Final[Mapping[str, tuple[str, ...]]] = {"language": LANGUAGES, "units": ("metric", "us"), "light": ("auto", "light", "dark")}


@dataclass(frozen=True, slots=True)
class Reader:
    """One reader.

    Attributes
    ----------
    language, units
        As in `Wording`.
    light
        ``auto`` follows the machine.
    """

    language: str = "en"
    units: UnitSystem = "metric"
    light: Light = "auto"

    @property
    def say(self) -> Wording:
        """How texts and numbers are worded."""
        return Wording(self.language, self.units, "\u00a0")

    @property
    def cookie(self) -> str:
        """What the cookie holds."""
        return f"{self.language}.{self.units}.{self.light}"


def reader_of(cookie: str, accepts: str) -> Reader:
    """Return who reads.

    Parameters
    ----------
    cookie : str
        What was chosen, empty where nothing was. [-]
    accepts : str
        Languages that the browser asks for. [-]

    Returns
    -------
    Reader
        What was chosen; else the browser's first language that we speak, and metric units.

    Examples
    --------
    >>> reader_of("", "fr, de-AT;q=0.8, en;q=0.7").language, reader_of("en.us.dark", "de").units
    ('de', 'us')
    """
    reader = Reader(_asked(accepts))
    for name, value in zip(CHOICES, cookie.split("."), strict=False):
        reader = chosen(reader, name, value)
    return reader


def chosen(reader: Reader, name: str, value: str) -> Reader:
    """Return a reader with one choice changed; what is no choice changes nothing."""
    if value not in CHOICES.get(name, ()):
        return reader
    match name, value:
        case "units", "metric" | "us":
            return replace(reader, units=value)
        case "light", "auto" | "light" | "dark":
            return replace(reader, light=value)
        case _:
            return replace(reader, language=value)


def _asked(accepts: str) -> str:
    asked: list[tuple[float, int, str]] = []
    for place, part in enumerate(accepts.split(",")[:20]):
        tag, _, weight = part.strip().partition(";q=")
        try:
            share = float(weight) if weight else 1.0
        except ValueError:
            share = 0.0
        if share > 0.0:
            asked.append((-share, place, tag.partition("-")[0].lower()))
    return next((tag for _, _, tag in sorted(asked) if tag in LANGUAGES), LANGUAGES[0])
