"""What is owed for what is on record: the part of the place ``money`` that follows from the proof."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.workflow.making import Making

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mainwright.web.place import Visit
    from mainwright.workflow.sheets import Section

__all__ = ["owed"]


def owed(visit: Visit) -> Sequence[Section]:
    """Return what is due, what it is made of, and what is not in the sum.

    Parameters
    ----------
    visit : Visit
        Who looks. [-]

    Returns
    -------
    sequence of Section
        None where nothing is on record, or while the proof is made.
    """
    papers = visit.uses.papers
    proof = papers.proof(visit.at_hand.name, visit.plan)
    if proof is None or isinstance(proof, Making):
        return ()
    made = papers.valuation(visit.at_hand.name, visit.plan)
    return () if made is None else visit.uses.sheets.valuation(made, visit.reader.say)
