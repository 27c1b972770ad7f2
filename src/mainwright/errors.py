"""The whole error tree.

::

    MainwrightError
    ├─ InputError(ValueError)        impossible, or outside a stated range: keeps name, value, unit, allowed
    ├─ FaultyInput(ValueError)       a document with faults: keeps them all
    ├─ SolveError(ArithmeticError)   an iteration did not converge: keeps residual and count
    ├─ RunError                      an event is not allowed in this state of a run
    ├─ StoreError                    disk, database or connection failed, or what is kept cannot be used
    │  ├─ NotFound(LookupError)      it is not kept
    │  ├─ Conflict                   something else is kept already
    │  └─ SchemaTooNew               a newer program made it
    └─ MissingExtra(ImportError)     says which extra to install
"""

import math
from collections.abc import Sequence

__all__ = [
    "Conflict",
    "FaultyInput",
    "InputError",
    "MainwrightError",
    "MissingExtra",
    "NotFound",
    "RunError",
    "SchemaTooNew",
    "SolveError",
    "StoreError",
    "require_not_negative",
    "require_positive",
    "require_within",
]


class MainwrightError(Exception):
    """Root of every error that this package raises on purpose."""


class InputError(MainwrightError, ValueError):
    """A value is impossible, or outside the range that a formula states.

    Attributes
    ----------
    name, value, unit, allowed
        What was given, with its unit, and what is allowed.
    """

    def __init__(self, name: str, value: object, unit: str, allowed: str) -> None:
        self.name = name
        self.value = value
        self.unit = unit
        self.allowed = allowed
        shown = f"{value} {unit}" if unit not in ("", "-") else f"{value}"
        super().__init__(f"{name} is {shown}; allowed: {allowed}")


class FaultyInput(MainwrightError, ValueError):
    """A document has faults; nothing was made of it.

    Attributes
    ----------
    faults
        Every fault that was found, in the order of the document.
    """

    def __init__(self, faults: Sequence[object]) -> None:
        self.faults = tuple(faults)
        super().__init__(f"{len(self.faults)} faults in the input" if len(self.faults) != 1 else "1 fault in the input")


class SolveError(MainwrightError, ArithmeticError):
    """An iteration did not converge.

    Attributes
    ----------
    residual, count
        What was left over, and after how many steps.
    """

    def __init__(self, what: str, residual: float, count: int) -> None:
        self.residual = residual
        self.count = count
        super().__init__(f"{what} did not converge: residual {residual:g} after {count} steps")


class RunError(MainwrightError):
    """An event is not allowed in the state that a run is in.

    Attributes
    ----------
    event, phase, allowed
        What was tried, in which phase, and in which it is allowed.
    """

    def __init__(self, event: str, phase: str, allowed: str) -> None:
        self.event = event
        self.phase = phase
        self.allowed = allowed
        super().__init__(f"{event} is not allowed while the run is {phase}; allowed: while it is {allowed}")


class StoreError(MainwrightError):
    """What keeps jobs and runs failed: disk, database, connection; or what it holds cannot be used."""


class NotFound(StoreError, LookupError):
    """It is not kept."""


class Conflict(StoreError):
    """Something else is kept already: nothing was added."""


class SchemaTooNew(StoreError):
    """A newer program made it."""


class MissingExtra(MainwrightError, ImportError):
    """A part that is installed only on request is needed."""

    def __init__(self, extra: str, purpose: str) -> None:
        self.extra = extra
        super().__init__(f"{purpose} needs the extra '{extra}': pip install 'mainwright[{extra}]'")


def require_positive(name: str, value: float, unit: str) -> None:
    """Refuse a number that is not finite and over zero.

    Parameters
    ----------
    name : str
        What the number is. [-]
    value : float
        The number. [unit]
    unit : str
        Unit for the message. [-]

    Raises
    ------
    InputError
        If it is zero, negative, infinite or no number.
    """
    if not 0.0 < value < math.inf:
        raise InputError(name, value, unit, "a finite number over zero")


def require_not_negative(name: str, value: float, unit: str) -> None:
    """Refuse a number that is not finite, or under zero.

    Parameters
    ----------
    name : str
        What the number is. [-]
    value : float
        The number. [unit]
    unit : str
        Unit for the message. [-]

    Raises
    ------
    InputError
        If it is negative, infinite or no number.
    """
    if not 0.0 <= value < math.inf:
        raise InputError(name, value, unit, "a finite number, zero or more")


def require_within(name: str, value: float, unit: str, *, above: float, below: float) -> None:
    """Refuse a number that does not lie strictly between two others.

    Parameters
    ----------
    name : str
        What the number is. [-]
    value : float
        The number. [unit]
    unit : str
        Unit for the message. [-]
    above, below : float
        The limits, neither of them allowed. [unit]

    Raises
    ------
    InputError
        If it does not.
    """
    if not above < value < below:
        raise InputError(name, value, unit, f"over {above:g} and under {below:g}")
