"""A text and its values: how every floor below the adapters says something to a person."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from datetime import date

__all__ = ["Message", "Quantity", "Value", "message"]


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with the unit in which a metric reader sees it.

    Attributes
    ----------
    value
        In SI.
    unit
        Name of the metric display unit, a key of `mainwright.units.UNITS`.
    digits
        Decimals to show in that unit; None leaves it to the writer.
    """

    value: float
    unit: str
    digits: int | None = None


Value: TypeAlias = "Quantity | str | int | date | Message"
"""What may stand in a message. A plain string is data (a name, a reference) or a code that has a text of its own; a message within a
message is worded by itself, so that each has its own place in the catalogues."""


@dataclass(frozen=True, slots=True)
class Message:
    """An English text with named places, and what stands in them.

    Attributes
    ----------
    text
        English text with ``{name}`` for each value, and ``{name:run/runs}`` for what bends with a count; it is the key of the catalogues.
    values
        Pairs of name and value, in order of the names.
    """

    text: str
    values: tuple[tuple[str, Value], ...] = ()


def message(text: str, **values: Value) -> Message:
    """Return a message.

    Parameters
    ----------
    text : str
        English text with ``{name}`` places; where a value counts, ``{n:run/runs}`` says one and more. [-]
    **values : Quantity, str, int, date or Message
        What stands in the places. [-]

    Returns
    -------
    Message
        The text with its values in order of their names.

    Examples
    --------
    >>> message("{n} {n:opening/openings}", n=3).values
    (('n', 3),)
    """
    return Message(text, tuple(sorted(values.items())))
