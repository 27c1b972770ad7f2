"""Where each number of the page in the van comes from: what somebody is told who touches it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from mainwright.words.message import Message, message

if TYPE_CHECKING:
    from mainwright.words.wording import Wording

__all__ = ["VAN_ORIGINS", "van_told"]

VAN_ORIGINS: Final[tuple[tuple[str, Message, tuple[Message, ...]], ...]] = (
    (
        "thickness",
        message("Thickness now"),
        (
            message("What lies there over the last metre: the mortar that left the head between its readings, times deposit_efficiency of [lining] in job.toml, over the wall that it passed. Where the flow is not read, the pump's setting and its test stand for it."),
            message("Under it minimum, aim and maximum of the plan for this bore."),
            message("±: twice its deviation, from the spread of flow and bore in [lining]; more where the flow was not measured. Trend: against the five metres before."),
        ),
    ),
    (
        "change",
        message("Change speed to"),
        (
            message("The speed that lays the aim with the flow of the last ten seconds: flow times deposit_efficiency, over the area of the ring at the aim. Never over what the head can do."),
            message("Now: way of the odometer over the last five seconds. Band: that of the plan, scaled as the flow is now against the flow of the plan."),
        ),
    ),
    (
        "chainage",
        message("Chainage"),
        (
            message("Where the head is: the end of the run where it set out, and the way of the odometer or of the last mark by hand from there, corrected where somebody said where the head really is."),
            message("The line is the thickness by length, the band about it twice its deviation; behind it minimum, aim and maximum of the plan."),
        ),
    ),
    (
        "end",
        message("To the end"),
        (message("Length of the run in the plan less the way of the head; under it the time that takes at the speed of now."),),
    ),
    (
        "bore",
        message("Next change of bore"),
        (
            message("The next length of the plan with another bore, from main.csv and bore.csv: there the speed changes."),
            message("Under it the flow of the last ten seconds, as it is read; else by the pump's setting and its test, or as somebody measured it by hand."),
        ),
    ),
    (
        "age",
        message("Mortar at the head"),
        (
            message("Time since mixing of the batch that leaves the head now: batches in the order in which they were poured, the hose full, and what was pumped since."),
            message("Under it its usable life by usable_minutes of [mortar] in job.toml at the temperature of the mortar; only where the job gives those minutes itself."),
        ),
    ),
    (
        "batch",
        message("Next batch"),
        (message("The first batch of the plan of which no pouring is on record; its time is that of the plan's clock, counted from the start of the run."),),
    ),
    (
        "stock",
        message("Mortar in stock"),
        (
            message("Batches poured on record, less what fills the hose, what was pumped, and what was wasted or returned on record."),
            message("It runs out where the plan's litres by length have used it up."),
        ),
    ),
    (
        "due",
        message("Next connection"),
        (message("Time left until its latest minute in the plan: when the head passes it, and set_minutes of [mortar] in job.toml at the temperature of the wall, counted from the start of the run. Only connections that are not on record as clear."),),
    ),
    (
        "pressure",
        message("Pressure"),
        (message("The latest reading of the pressure at the pump, as its sender gave it; it is an alarm near the limit of the hose in plant.toml."),),
    ),
)  # fmt: skip
"""By the name of the number on the page: its head, and what is told of it and of what stands under it."""


def van_told(say: Wording) -> list[dict[str, object]]:
    """Return what the page tells of each of its numbers.

    Parameters
    ----------
    say : Wording
        Of the reader. [-]

    Returns
    -------
    list of dict
        Name, head and sentences of each.
    """
    return [{"name": name, "label": say.word(label), "said": [say.word(one) for one in said]} for name, label, said in VAN_ORIGINS]
