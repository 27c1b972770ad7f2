"""The terms of the trade as the pages use them: one word for one thing, in both languages."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from mainwright.words.message import message
from mainwright.words.wording import Wording

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from mainwright.words.message import Message

__all__ = ["GROUPS", "glossary_view", "term_places"]

GROUPS: Final[Sequence[tuple[Message, Sequence[tuple[str, Message, Message]]]]] = (
    (
        message("The main"),
        (
            ("main", message("Main"), message("The pipe under the street that is to be lined.")),
            ("host-pipe", message("Host pipe"), message("The old pipe, which carries the lining and all loads.")),
            ("chainage", message("Chainage"), message("Distance along the main from its zero; everything hangs on it.")),
            ("stretch", message("Stretch"), message("A length of one nominal size, material and bore.")),
            ("bore", message("Bore of the clean main"), message("The real inside diameter of the clean pipe; it is measured, while DN is only a label.")),
            ("roughness", message("Roughness"), message("Height of sand grains that would brake the water as this wall does.")),
            ("deposits", message("Deposits"), message("What has grown or settled on the wall: rust, soft iron and manganese, lime.")),
            ("fitting", message("Fitting"), message("What sits in the main: bend, tee, valve, hydrant, branch, end.")),
            ("connection", message("Connection"), message("The pipe from the main to a property.")),
        ),
    ),
    (
        message("The work"),
        (
            ("lining", message("Lining"), message("The skin of cement mortar inside the main.")),
            ("governing-document", message("Governing document"), message("The specification that the contract names; its numbers come before all others.")),
            ("nominal", message("Nominal thickness"), message("The thickness that the document names.")),
            ("minimum", message("Minimum thickness"), message("The least thickness that is allowed at any single point.")),
            ("aim", message("Aim"), message("The mean thickness that the plan steers to, so that no point falls under the minimum.")),
            ("coat", message("Coat"), message("One layer, laid in one pass of the head.")),
            ("opening", message("Opening"), message("A hole in the road down to the main, with the main cut there.")),
            ("run", message("Run"), message("One pass of the head between two openings.")),
            ("layout", message("Layout"), message("Which openings and which runs are chosen.")),
            ("limit", message("Limit"), message("What keeps a run from being longer: hose, time of the mortar, bends, rope, shift.")),
            ("lining-head", message("Lining head"), message("The turning spreader that throws the mortar on the wall.")),
            ("travel-speed", message("Travel speed"), message("How fast the head moves; with the pump's output it sets the thickness.")),
            ("speed-card", message("Speed card"), message("The speed for each length of one bore, and where the head must be when.")),
            ("batch", message("Batch"), message("One mix of mortar.")),
            ("usable-time", message("Usable time"), message("From mixing until the mortar must have left the head.")),
            ("set-time", message("Set time"), message("From placing until a connection can no longer be cleared through the lining.")),
            ("deposit-efficiency", message("Deposit efficiency"), message("The share of the pumped mortar that stays on the wall.")),
            ("clearing", message("Clearing"), message("Blowing or sucking a connection open after the head has passed.")),
            ("closing", message("Closing"), message("The time for which a connection is off the main.")),
            ("hold-point", message("Hold point"), message("Work goes no further until someone has released it.")),
            ("obstruction", message("Obstruction"), message("What stops a tool in the main.")),
        ),
    ),
    (
        message("Water and customers"),
        (
            ("temporary-supply", message("Temporary supply"), message("Pipes on the ground that feed the customers meanwhile.")),
            ("feed", message("Feed"), message("Where the temporary supply takes its water.")),
            ("curing", message("Curing"), message("Keeping the lining moist until it is strong.")),
            ("block", message("Block"), message("What is closed and given back as a whole, between valves that hold.")),
            ("gate", message("Gate"), message("A hold in giving the main back: signed, or refused with its reason.")),
            ("residual", message("Residual"), message("The chlorine that is left at the end of its contact time.")),
            ("contact-time", message("Contact time"), message("How long the water touches the fresh lining.")),
        ),
    ),
    (
        message("Office and proof"),
        (
            ("job", message("Job"), message("Everything that a plan is made from.")),
            ("revision", message("Revision"), message("The job at one moment, named by the hash of what it says.")),
            ("record", message("Record"), message("Something that happened, written down once, with who and when.")),
            ("proof", message("Proof"), message("What plan and records show together; acceptance is the client's signature.")),
            ("permit", message("Permit"), message("Leave to occupy the road.")),
            ("measured-quantities", message("Measured quantities"), message("The bill as done, each line with its record.")),
            ("deviation", message("Deviation"), message("The standard deviation of a number, or a departure from the plan in a report.")),
            ("assumed", message("Assumed"), message("A value that nobody gave: the program says which it took, and from where.")),
        ),
    ),
)  # fmt: skip
"""Groups of terms: each with its place on the page, the term and what it means."""


def glossary_view(say: Wording) -> dict[str, Any]:
    """Return what the page shows.

    Parameters
    ----------
    say : Wording
        How the reader reads. [-]

    Returns
    -------
    dict
        Groups with their terms: place, term, the word in the other language with that language's code, and the meaning.
    """
    other = Wording("en" if say.language == "de" else "de", say.units)
    groups = [
        (say.word(head), [(place, say.word(term), other.word(term), say.word(meaning)) for place, term, meaning in terms])
        for head, terms in GROUPS
    ]
    return {
        "answer": [
            say.text("One thing has one word here."),
            say.text("Where a heading is underlined with dots it leads to its meaning on this page."),
        ],
        "groups": groups,
        "other": other.language,
    }


def term_places(say: Wording) -> Mapping[str, str]:
    """Return the place of each term by the term as the reader reads it, in small letters."""
    return {say.word(term).casefold(): place for _, terms in GROUPS for place, term, _ in terms}
