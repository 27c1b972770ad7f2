"""Why a press of a button in the van was not taken, in the reader's words."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from mainwright.words.message import Message, Quantity, message

if TYPE_CHECKING:
    from mainwright.errors import InputError
    from mainwright.line.run_plan import RunPlan

__all__ = ["FIELDS", "impossible", "not_understood"]

FIELDS: Final = {
    "chainage": message("the chainage"),
    "flow": message("the flow"),
    "volume": message("the volume"),
    "number": message("the number of the batch"),
    "connection": message("the connection"),
    "text": message("the remark"),
    "kind": message("the kind of what happened"),
    "method": message("the way of clearing"),
    "code": message("the alarm"),
    "outcome": message("how the run ended"),
    "pressed_s": message("the time of the press"),
    "what": message("the button"),
    "who": message("the name"),
}
"""What each field of the buttons is called."""


def not_understood(field: str) -> Message:
    """Return that a field of a press is missing or is not what it should be."""
    return message("Not understood: {what}. Nothing was put on record.", what=FIELDS.get(field, field))


def impossible(error: InputError, plan: RunPlan) -> Message:
    """Return why a value cannot be.

    Parameters
    ----------
    error : InputError
        As the run refused it. [-]
    plan : RunPlan
        Of the run. [-]

    Returns
    -------
    Message
        With what would be right.
    """
    if error.name == "who":
        return message("Somebody else has taken charge meanwhile. Nothing was put on record.")
    if error.name == "chainage":
        low, high = sorted((plan.start, plan.end))
        return message(
            "The run goes from {start} to {end}: a mark lies on it. Nothing was put on record.",
            start=Quantity(low, "m", 1),
            end=Quantity(high, "m", 1),
        )
    if error.name.startswith("volume"):
        return message("A volume is more than nothing. Nothing was put on record.")
    if error.name == "flow":
        return message("A flow is nothing or more. Nothing was put on record.")
    return not_understood(error.name)
