"""What is typed while a run is followed in a terminal: a word, and what belongs to it."""

from typing import Final, Literal, TypeAlias, cast

from mainwright.errors import InputError
from mainwright.units import to_si
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

__all__ = ["WORDS", "command_of"]

_Lost: TypeAlias = Literal["purge", "returned", "wasted"]
_Method: TypeAlias = Literal["air", "suction", "ream", "dig"]
_Outcome: TypeAlias = Literal["complete", "aborted", "split"]

WORDS: Final = {
    "start": "the head moves, the hose is full",
    "stop WHY": "the head is stopped",
    "go": "the head goes on",
    "mark CHAINAGE [L/MIN]": "the head is at this chainage, in metres",
    "batch [LITRES]": "a batch goes into the hopper",
    "purge LITRES, returned LITRES, wasted LITRES": "mortar that does not lie on the wall",
    "clear CHAINAGE air|suction|ream|dig": "a connection is clear",
    "ack ALARM": "an alarm was seen",
    "note TEXT, water TEXT, valve TEXT": "a remark; water in the invert; a valve that lets by",
    "odometer CHAINAGE": "the head is really here: the odometer counts on from there",
    "flow L/MIN": "what the pump gives where it is not measured",
    "charge": "you press the buttons from now on",
    "ends": "both ends are closed",
    "end [aborted|split] [WHY]": "the run is over",
}
"""What may be typed, and what it means."""


def command_of(line: str) -> Command:  # noqa: C901, PLR0911, PLR0912 - one branch a word
    """Return what a typed line wants.

    Parameters
    ----------
    line : str
        A word of `WORDS` with its values. [-]

    Returns
    -------
    Command
        In SI.

    Raises
    ------
    InputError
        If it is not understood.
    """
    word, _, rest = line.strip().partition(" ")
    rest = rest.strip()
    values = rest.split()
    match word.lower():
        case "start":
            return Start()
        case "stop":
            return Stop(why=rest)
        case "go":
            return Restart()
        case "mark" if values:
            return Mark(_number(values[0]), to_si(_number(values[1]), "l_min") if len(values) > 1 else None)
        case "batch":
            return Pour(volume=to_si(_number(values[0]), "l") if values else None)
        case "purge" | "returned" | "wasted" if values:
            return Lose(cast("_Lost", word.lower()), to_si(_number(values[0]), "l"))
        case "clear" if len(values) > 1 and values[1] in ("air", "suction", "ream", "dig"):
            return Clear(_number(values[0]), cast("_Method", values[1]))
        case "ack" if values:
            return Acknowledge(values[0])
        case "note" if rest:
            return Note(rest)
        case "water":
            return Note(rest, kind="water_in_invert")
        case "valve":
            return Note(rest, kind="valve_lets_by")
        case "odometer" if values:
            return SetOdometer(_number(values[0]))
        case "flow" if values:
            return SetFlow(to_si(_number(values[0]), "l_min"))
        case "charge":
            return TakeCharge()
        case "ends":
            return CloseEnds()
        case "end":
            outcome = values[0] if values and values[0] in ("complete", "aborted", "split") else ""
            return End(cast("_Outcome", outcome or "complete"), why=rest.removeprefix(outcome).strip())
    raise InputError("line", repr(line.strip()), "", "; ".join(WORDS))


def _number(text: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise InputError("value", repr(text), "", "a number") from None
