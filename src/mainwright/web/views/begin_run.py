"""A run that is not followed now: how it stands, and how it can be followed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from fastapi import HTTPException

from mainwright.words.message import Message, message

if TYPE_CHECKING:
    from mainwright.web.place import Visit

__all__ = ["STANDINGS", "begin_view"]

STANDINGS: Final = {
    "new": message("This run has not begun."),
    "open": message("This run has begun and is not followed now. What was recorded stands; it goes on from there."),
    "broken_off": message("This run was broken off. What is left of it is the next part."),
    "complete": message("This run is complete, and its record stands."),
}
"""What is said of each standing."""

_RECORDED: Final = message("This run is on record as lined, and was not followed here. To follow it now begins a record beside that one.")

_UNSEEN: Final = message("This run is not followed here: where it is, says the program that follows it.")


def begin_view(visit: Visit, run: str) -> dict[str, object]:
    """Return what the page shows: how the run stands, and what it can be followed by.

    Parameters
    ----------
    visit : Visit
        Who looks. [-]
    run : str
        Id of the run. [-]

    Returns
    -------
    dict
        The run, its standing with a sentence, and the names of the feeds.

    Raises
    ------
    HTTPException
        If there is no such run.
    """
    found = next((one for one in visit.plan.runs if one.id == run), None)
    if found is None:
        raise HTTPException(404)
    standing = visit.uses.live.standing(visit.at_hand.name, visit.plan, run)
    sentence: Message = _UNSEEN if standing is None else STANDINGS[standing.state]
    if found.done and standing is not None and standing.state == "new":
        sentence = _RECORDED
    return {
        "run": found,
        "standing": standing,
        "sentence": visit.reader.say.word(sentence),
        "feeds": visit.uses.live.feeds(),
        "base": f"/jobs/{visit.at_hand.name}/runs/{run}",
    }
