"""Alarms, states of a run and signals of a feed, in words."""

from typing import Final

from mainwright.words.message import Message, message

__all__ = ["ALARMS", "ALARM_SHOWN", "PHASES", "SIGNALS"]

PHASES: Final[dict[str, Message]] = {
    "ready": message("ready: the head stands at the cut face"),
    "running": message("running"),
    "stopped": message("stopped"),
    "ended": message("ended"),
}

ALARMS: Final[dict[str, Message]] = {
    "thin": message("Too thin"),
    "thick": message("Too thick"),
    "stall": message("The head stands while the pump runs"),
    "overspeed": message("Too fast"),
    "pressure": message("Pressure near the limit of the hose: a blockage? Never open a coupling under pressure"),
    "old_mortar": message("The mortar at the head is past its usable time"),
    "mortar_short": message("The mortar runs out before the end of the run"),
    "connection_due": message("A connection must be clear soon"),
    "ends_open": message("The ends are not closed: the lining dries"),
    "head_slow": message("The head slows: litres can be right while they lie in the invert"),
    "flow_lost": message("The flow is not read: the pump's setting stands for it"),
    "turned_back": message("The head goes back over fresh lining"),
    "mixer_behind": message("The hopper is empty before the next batch is mixed"),
    "silent": message("No readings come"),
    "odometer_jump": message("The odometer jumped: where is the head?"),
}

ALARM_SHOWN: Final[dict[str, tuple[str, int]]] = {
    "thin": ("mm", 1),
    "thick": ("mm", 1),
    "overspeed": ("m_min", 2),
    "pressure": ("bar", 1),
    "old_mortar": ("minutes", 0),
    "mortar_short": ("m", 1),
    "connection_due": ("minutes", 0),
    "ends_open": ("minutes", 0),
}
"""Unit and digits of the value that raised an alarm, where it says something."""

SIGNALS: Final[dict[str, Message]] = {
    "lost": message("connection lost"),
    "unreadable": message("something cannot be read"),
    "full": message("waits for the disk"),
    "ended": message("at its end"),
    "jump": message("a value jumped"),
    "frozen": message("a value does not change"),
    "impossible": message("an impossible value"),
    "clock": message("its clock is off"),
    "silent": message("silent"),
}
