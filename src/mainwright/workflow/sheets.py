"""What a page shows of a job beside its answer: the same texts, tables and figures as on paper, in the language and units of who looks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from mainwright.plan.result import LinedStretch, Plan
    from mainwright.prove.proof import Proof
    from mainwright.prove.valuation import Valuation
    from mainwright.words.wording import Wording
    from mainwright.workflow.desk import Pictures

__all__ = ["Section", "Sheets"]


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a page.

    Attributes
    ----------
    head
        Its heading.
    blocks
        What stands under it, in order: each says its kind, and the rest by name, as the papers' own blocks do.
    folded
        Whether it is closed until somebody asks: reasons, assumptions, sources.
    """

    head: str
    blocks: Sequence[Mapping[str, object]]
    folded: bool = False


class Sheets(Protocol):
    """Sets what was decided into texts, tables and figures."""

    def place(self, place: str, plan: Plan, say: Wording) -> Sequence[Section]:
        """Return what a place of a plan shows, by the place's name in addresses."""
        ...

    def run(self, plan: Plan, run: str, say: Wording) -> Mapping[str, object]:
        """Return the sheet of one run, by its id."""
        ...

    def proof(self, proof: Proof, stretches: Sequence[LinedStretch], say: Wording, pictures: Pictures) -> Sequence[Section]:
        """Return what the records of a job prove."""
        ...

    def valuation(self, made: Valuation, say: Wording) -> Sequence[Section]:
        """Return what is owed, what it is made of, and what is not in the sum."""
        ...

    def run_proof(self, proof: Proof, run: str, stretches: Sequence[LinedStretch], say: Wording, pictures: Pictures) -> Sequence[Section]:
        """Return the evidence of one run, by its id."""
        ...
