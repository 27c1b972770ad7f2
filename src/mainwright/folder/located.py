"""A fault with the place where a person finds it: file, line and column."""

from dataclasses import dataclass
from typing import Final

from mainwright.job.faults import Severity
from mainwright.units import UNITS, from_si, significant
from mainwright.words.message import Message, Quantity, Value, message
from mainwright.words.wording import Wording

__all__ = ["LocatedFault", "located"]

_ENGLISH: Final = Wording("en", "metric")


@dataclass(frozen=True, slots=True)
class LocatedFault:
    """One fault, or one warning, in a file.

    Attributes
    ----------
    file
        Path within the job folder.
    line
        Line of the file, from 1; 1 where the whole file is meant.
    column
        Column or dotted key; empty where the line or the file is meant.
    message
        What is wrong and what would be right.
    severity
        A fault stops everything; a warning is told and the work goes on.
    """

    file: str
    line: int
    column: str
    message: Message
    severity: Severity = "fault"

    @property
    def text(self) -> str:
        """The message in English, in the units of the files."""
        return _told(self.message)

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}: "
        return place + (f"{self.column}: " if self.column else "") + self.text


def _told(said: Message) -> str:
    return _ENGLISH.sentence(said).format(**{name: _plain(value) for name, value in said.values})


def _plain(value: Value) -> str:
    if isinstance(value, Message):
        return _told(value)
    if isinstance(value, Quantity):
        number = significant(from_si(value.value, value.unit))
        shown = str(int(number)) if number == int(number) and abs(number) < 1e15 else repr(number)
        return f"{shown} {UNITS[value.unit].label}".rstrip()
    return str(value)


def located(file: str, line: int, column: str, text: str, /, **values: Value) -> LocatedFault:
    """Return a fault in a file.

    Parameters
    ----------
    file : str
        Path within the job folder. [-]
    line : int
        Line, from 1. [-]
    column : str
        Column or dotted key, may be empty. [-]
    text : str
        English text with ``{name}`` places. [-]
    **values : Quantity, str, int, date or Message
        What stands in the places. [-]

    Returns
    -------
    LocatedFault
        The fault.
    """
    return LocatedFault(file, line, column, message(text, **values))
