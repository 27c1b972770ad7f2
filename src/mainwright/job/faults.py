"""What may be wrong with a document: values, not exceptions, so that all of them are told at once."""

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Literal

from mainwright.job.column import Plain
from mainwright.words.message import Message, Value, message

__all__ = ["Fault", "Faults", "Row", "Rows", "Severity", "nearest"]

Row = dict[str, Plain]
Rows = list[Row]

Severity = Literal["fault", "warning"]


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong, or looks wrong.

    Attributes
    ----------
    table
        Short name of the table, as in `mainwright.job.columns.TABLES`.
    row
        Place of the row in its table, from 0; None for a table that is one set of keys, or where the whole table is meant.
    column
        Column or key; None where the row or the table is meant.
    message
        What is wrong and what would be right.
    severity
        A fault stops everything; a warning is told and the work goes on.
    """

    table: str
    row: int | None
    column: str | None
    message: Message
    severity: Severity = "fault"


class Faults:
    """A list of faults that is being filled."""

    def __init__(self) -> None:
        self.found: list[Fault] = []

    def fault(self, table: str, row: int | None, column: str | None, text: str, **values: Value) -> None:
        """Add a fault."""
        self.found.append(Fault(table, row, column, message(text, **values)))

    def warn(self, table: str, row: int | None, column: str | None, text: str, **values: Value) -> None:
        """Add a warning."""
        self.found.append(Fault(table, row, column, message(text, **values), "warning"))


def nearest(word: str, known: Sequence[str]) -> str | None:
    """Return the known word that is most like another, or None.

    Parameters
    ----------
    word : str
        What was written. [-]
    known : sequence of str
        What could have been meant. [-]

    Returns
    -------
    str or None
        The nearest known word.

    Examples
    --------
    >>> nearest("gray_iron", ("grey_iron", "steel"))
    'grey_iron'
    """
    plain = word[:64].strip().lower().replace(" ", "_").replace("-", "_")
    found = get_close_matches(plain, known, n=1, cutoff=0.7)
    return found[0] if found else None
