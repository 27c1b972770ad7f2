"""Parts of a proof that other places show too: measured quantities where the money is, water samples where the water is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from mainwright.workflow.making import Making

if TYPE_CHECKING:
    from collections.abc import Collection

    from mainwright.web.place import Visit
    from mainwright.workflow.sheets import Section

__all__ = ["recorded"]


def recorded(visit: Visit, heads: Collection[str]) -> list[Section]:
    """Return the parts of the proof with these headings, in the reader's language.

    Parameters
    ----------
    visit : Visit
        Who looks. [-]
    heads : collection of str
        Headings. [-]

    Returns
    -------
    list of Section
        None where nothing is on record, or while the proof is made.
    """
    proof = visit.uses.papers.proof(visit.at_hand.name, visit.plan)
    if proof is None or isinstance(proof, Making):
        return []
    pictures = visit.uses.papers.pictures(visit.at_hand.name, visit.plan)
    return [one for one in visit.uses.sheets.proof(proof, visit.plan.stretches, visit.reader.say, pictures) if one.head in heads]
