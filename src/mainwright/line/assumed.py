"""What following a run takes for granted: limits of the alarms and deviations that no document gives, each with its unit and its meaning."""

from dataclasses import fields
from typing import Final

from mainwright.line.alarms import AlarmRules
from mainwright.line.deposit_map import COUNTED
from mainwright.line.run_plan import UNTESTED
from mainwright.line.senders import HANDOVER
from mainwright.line.state import MARKED
from mainwright.standards.source import Assumed
from mainwright.words.message import Message, message

__all__ = ["assumed_of_run"]

_RULES: Final[dict[str, tuple[str, Message]]] = {
    "slack": ("-", message("Share by which a value must be better than its limit before the alarm comes down: an assumption.")),
    "pressure_share": ("-", message("Share of the greatest pressure at the pump at which a blockage is feared: an assumption.")),
    "head_share": ("-", message("Share of its best air pressure or speed under which the head slows: an assumption.")),
    "stall_speed": ("-", message("Share of the planned speed under which the head stands: an assumption.")),
    "warn_connection": ("s", message("Time before the latest minute of a connection at which it is told: an assumption.")),
    "close_ends_within": (
        "s",
        message("Time after the end of the run in which both ends are closed: an assumption; the document goes first."),
    ),
    "turned_back": ("m", message("Length by which the head may sway back: an assumption.")),
    "silent": ("s", message("Time without a reading while the head goes, after which it is told: an assumption.")),
    "silent_by_hand": ("s", message("The same where marks by hand are the record: an assumption.")),
}


def assumed_of_run(rules: AlarmRules | None = None) -> tuple[Assumed, ...]:
    """Return what was taken for granted while a run was followed.

    Parameters
    ----------
    rules : AlarmRules or None
        As they stand at the head of its log; the usual ones where not given. [-]

    Returns
    -------
    tuple of Assumed
        In the order in which papers show them.
    """
    rules = rules or AlarmRules()
    alarms = [Assumed(f"run.{one.name}", getattr(rules, one.name), *_RULES[one.name]) for one in fields(AlarmRules)]
    return (
        *alarms,
        Assumed(
            "run.marked",
            MARKED,
            "-",
            message("Deviation that marks by hand with a stopwatch add to the flow by length, relative: an assumption."),
        ),
        Assumed(
            "run.counted", COUNTED, "-", message("Deviation of a flow that strokes or litres of a counter tell, relative: an assumption.")
        ),
        Assumed(
            "run.untested",
            UNTESTED,
            "-",
            message("Deviation of a flow that is only the setting of a pump without a test, relative: an assumption."),
        ),
        Assumed("run.handover", HANDOVER, "s", message("Silence of the leading sender after which another one leads: an assumption.")),
    )
