"""What the buttons in the van bring: fields of a form to a command, in the units that the reader sees."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, cast

from mainwright.errors import InputError
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


def command_in(fields: Mapping[str, str], units: UnitSystem) -> Command:  # noqa: C901, PLR0911, PLR0912 - one branch a button
    """Return what a form wants.

    Parameters
    ----------
    fields : mapping of str to str
        The form; ``do`` names the button. [-]
    units : str
        Of the reader. [-]

    Returns
    -------
    Command
        In SI.

    Raises
    ------
    InputError
        If a field is not understood.
    """
    form = _Form(fields, units)
    time = form.time()
    match fields.get("do", ""):
        case "start":
            return Start(time)
        case "stop":
            return Stop(fields.get("why", ""), time)
        case "restart":
            return Restart(time)
        case "mark":
            return Mark(form.number("chainage", "m"), form.maybe("flow", "l_min"), time)
        case "batch":
            return Pour(volume=form.maybe("volume", "l"), time=time)
        case "lose":
            kind = form.choice("kind", ("purge", "returned", "wasted"))
            return Lose(cast("Literal['purge', 'returned', 'wasted']", kind), form.number("volume", "l"), time)
        case "clear":
            method = form.choice("method", ("air", "suction", "ream", "dig"))
            return Clear(form.number("chainage", "m"), cast("Literal['air', 'suction', 'ream', 'dig']", method), time)
        case "acknowledge":
            return Acknowledge(fields.get("code", "")[:100], time)
        case "note":
            text = fields.get("text", "")[:2000]
            kind = form.choice("kind", ("remark", "water_in_invert", "valve_lets_by", "hold_point"))
            if not text and kind == "remark":
                raise InputError("remark", "empty", "", "a text")
            return Note(text, cast("Literal['remark', 'water_in_invert', 'valve_lets_by', 'hold_point']", kind), time)
        case "odometer":
            return SetOdometer(form.number("chainage", "m"), fields.get("why", "") or "set by hand", time)
        case "flow":
            return SetFlow(form.number("flow", "l_min"), None, time)
        case "ends":
            return CloseEnds(time)
        case "end":
            outcome = form.choice("outcome", ("complete", "aborted", "split"))
            return End(cast("Literal['complete', 'aborted', 'split']", outcome), fields.get("why", ""), time)
        case "charge":
            return TakeCharge(time)
        case other:
            raise InputError("button", other[:40] or "none", "", "one of this page")


class _Form:
    def __init__(self, fields: Mapping[str, str], units: UnitSystem) -> None:
        self._fields = fields
        self._units = units

    def maybe(self, name: str, unit: str) -> float | None:
        try:
            return number_in(self._fields, name, unit, self._units)
        except ValueError as error:
            raise InputError(name, str(error)[:60], "", "a number") from None

    def number(self, name: str, unit: str) -> float:
        found = self.maybe(name, unit)
        if found is None:
            raise InputError(name, "empty", "", "a number")
        return found

    def choice(self, name: str, choices: tuple[str, ...]) -> str:
        found = self._fields.get(name, choices[0])
        if found not in choices:
            raise InputError(name, found[:40], "", ", ".join(choices))
        return found

    def time(self) -> float | None:
        """Return when the button was pressed, by the page's own clock; a press that waited for the network keeps its moment."""
        text = self._fields.get("at", "")
        if not text:
            return None
        try:
            found = float(text)
        except ValueError:
            raise InputError("at", text[:40], "", "seconds since 1970") from None
        if not 0.0 < found < 1e11:
            raise InputError("at", text[:40], "", "seconds since 1970")
        return found
