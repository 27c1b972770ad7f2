"""What a form of the van's page means: fields to a command."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from mainwright.web.forms import number_in
from mainwright.workflow.live_commands import (
    Acknowledge,
    Clear,
    CloseEnds,
    Command,
    End,
    Lose,
    Mark,
    Note,
    Pour,
    Restart,
    SetFlow,
    SetOdometer,
    Start,
    Stop,
    TakeCharge,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mainwright.words.wording import UnitSystem

__all__ = ["command_in"]

_AT_ONCE: Final = 3.0
"""A press that arrives within so many seconds is one of now. [s]"""

_OLDEST: Final = 86_400.0
"""A press may have waited in a page for so long. [s]"""

_LONGEST: Final = 2000
"""Characters of a remark."""


def command_in(fields: Mapping[str, str], *, units: UnitSystem, now: float) -> Command:  # noqa: C901, PLR0911, PLR0912, PLR0915 - one branch a button
    """Return what somebody wants to be done.

    Parameters
    ----------
    fields : mapping of str to str
        The form: ``what``, its values, and ``pressed_s``, the moment of the press in seconds since 1970 UTC by the clock of this machine. [-]
    units : str
        Of the reader. [-]
    now : float
        Seconds since 1970 UTC. [s]

    Returns
    -------
    Command
        A press that waited keeps its own moment.

    Raises
    ------
    ValueError
        If a field is missing or is not what it should be; its name is the argument.
    """
    pressed = _pressed(fields, now)
    late = pressed if pressed is not None and now - pressed > _AT_ONCE else None

    def number(name: str, unit: str) -> float | None:
        try:
            return number_in(fields, name, unit, units)
        except ValueError as error:
            raise ValueError(name) from error

    def needed(name: str, unit: str) -> float:
        value = number(name, unit)
        if value is None:
            raise ValueError(name)
        return value

    def typed(name: str) -> str:
        return fields.get(name, "")[:_LONGEST]

    match fields.get("what", ""):
        case "start":
            return Start(late)
        case "stop":
            return Stop(typed("why"), late)
        case "restart":
            return Restart(late)
        case "mark":
            return Mark(needed("chainage", "m"), number("flow", "l_min"), pressed)
        case "batch":
            count = fields.get("number", "")
            if count and not (count.isascii() and count.isdigit() and len(count) < 6):
                raise ValueError("number")
            return Pour(int(count) if count else None, None, number("volume", "l"), late)
        case "litres":
            match fields.get("kind"):
                case "purge" | "returned" | "wasted" as kind:
                    return Lose(kind, needed("volume", "l"), late)
            raise ValueError("kind")
        case "clear":
            try:
                place = float(fields.get("connection", ""))
            except ValueError as error:
                raise ValueError("connection") from error
            match fields.get("method"):
                case "air" | "suction" | "ream" | "dig" as method:
                    return Clear(place, method, late)
            raise ValueError("method")
        case "remark":
            if not typed("text"):
                raise ValueError("text")
            match fields.get("kind", "remark"):
                case "remark" | "water_in_invert" | "valve_lets_by" | "hold_point" as said:
                    return Note(typed("text"), said, late)
            raise ValueError("kind")
        case "acknowledge":
            if not fields.get("code"):
                raise ValueError("code")
            return Acknowledge(typed("code"), late)
        case "odometer":
            return SetOdometer(needed("chainage", "m"), typed("why") or "set by hand", late)
        case "flow":
            return SetFlow(needed("flow", "l_min"), None, late)
        case "ends":
            return CloseEnds(late)
        case "end":
            match fields.get("outcome"):
                case "complete" | "aborted" | "split" as outcome:
                    return End(outcome, typed("why"), late)
            raise ValueError("outcome")
        case "charge":
            return TakeCharge(late)
        case _:
            raise ValueError("what")


def _pressed(fields: Mapping[str, str], now: float) -> float | None:
    given = fields.get("pressed_s", "")
    if not given:
        return None
    try:
        value = float(given)
    except ValueError as error:
        raise ValueError("pressed_s") from error
    return min(value, now) if now - _OLDEST <= value <= now + 60.0 else None
