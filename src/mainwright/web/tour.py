"""The tour: one hint for each place, in the order of the work, until somebody ends it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from mainwright.words.message import message

if TYPE_CHECKING:
    from collections.abc import Mapping

    from mainwright.words.message import Message

__all__ = ["HINTS", "Hint", "hint_at"]


@dataclass(frozen=True, slots=True)
class Hint:
    """What the tour says at a place: the step's number, its text, and the place that comes next, empty at the end."""

    number: int
    text: Message
    after: str


HINTS: Final[Mapping[str, Message]] = {
    "jobs": message("Here are all jobs, the most urgent first. Open one to see its places; each place answers one question, and its first sentence is the answer."),
    "survey": message("Everything begins with the long section. Type or paste it table by table; each fault stands at its cell, and every save is a revision that can be taken up again."),
    "lining": message("Here stands whether each stretch can be lined and how thick the mortar must be. What is assumed is marked; the reasons and their sources are folded at the end."),
    "layout": message("Move, fix or rule out an opening on the ribbon or in the table: price and limits follow at once. With the keyboard: Tab to the ribbon, then the arrows."),
    "runs": message("Each run has one sheet for the crew, for paper and for the phone. From its sheet a run is followed live."),
    "proof": message("What the records prove of each run, and what is still missing. It grows with every record."),
    "water": message("How customers keep their water meanwhile, and when the main may be given back."),
    "programme": message("Who does what on which day, and which permits that needs."),
    "money": message("What it costs, and what was measured with its evidence."),
    "documents": message("Everything on paper and as files. This is the end of the tour; it can be started again under How it is shown."),
}  # fmt: skip
"""The hint of each place, in the order of the tour."""


def hint_at(place: str) -> Hint | None:
    """Return what the tour says at a place; None where it says nothing."""
    if place not in HINTS:
        return None
    names = list(HINTS)
    number = names.index(place)
    return Hint(number + 1, HINTS[place], names[number + 1] if number + 1 < len(names) else "")
