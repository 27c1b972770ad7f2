"""Wires what the pages show of a plan: made once for each reader, kept for as long as it is true."""

from __future__ import annotations

import threading
from collections import OrderedDict
from typing import TYPE_CHECKING, Final, TypeVar, cast

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Mapping, Sequence

    from mainwright.plan.result import LinedStretch, Plan
    from mainwright.prove.proof import Proof
    from mainwright.prove.valuation import Valuation
    from mainwright.words.wording import Wording
    from mainwright.workflow.desk import Pictures
    from mainwright.workflow.sheets import Section

__all__ = ["PaperSheets"]

_T = TypeVar("_T")
_MOST: Final = 200


class PaperSheets:
    """Sets plans as the papers do.

    Everything is kept by the plan itself, language and units; the least used goes when there is too much.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._kept: OrderedDict[Hashable, tuple[object, object]] = OrderedDict()

    def place(self, place: str, plan: Plan, say: Wording) -> Sequence[Section]:
        """Return what a place of a plan shows."""
        from mainwright.paper.place_sections import place_sections

        return self._once((place, id(plan), say), lambda: place_sections(place, plan, say), of=plan)

    def run(self, plan: Plan, run: str, say: Wording) -> Mapping[str, object]:
        """Return the sheet of one run."""
        from mainwright.paper.place_sections import run_section

        return self._once(("run", run, id(plan), say), lambda: run_section(plan, run, say), of=plan)

    def proof(self, proof: Proof, stretches: Sequence[LinedStretch], say: Wording, pictures: Pictures) -> Sequence[Section]:
        """Return what the records of a job prove."""
        from mainwright.paper.place_sections import proof_sections

        key = ("proof", proof.job.revision, proof.issued, proof.records, pictures.stamp, say)
        return self._once(key, lambda: proof_sections(proof, stretches, say, pictures))

    def valuation(self, made: Valuation, say: Wording) -> Sequence[Section]:
        """Return what is owed."""
        from mainwright.paper.valuation_pages import valuation_sections

        key = ("valuation", made.job.revision, made.issued, made.records, made.sums, say)
        return self._once(key, lambda: valuation_sections(made, say))

    def run_proof(self, proof: Proof, run: str, stretches: Sequence[LinedStretch], say: Wording, pictures: Pictures) -> Sequence[Section]:
        """Return the evidence of one run."""
        from mainwright.paper.place_sections import run_proof_sections

        key = ("proof of run", run, proof.job.revision, proof.issued, proof.records, pictures.stamp, say)
        return self._once(key, lambda: run_proof_sections(proof, run, stretches, say, pictures))

    def _once(self, key: Hashable, make: Callable[[], _T], *, of: object = None) -> _T:
        """Return what is kept by a key; what stands in the key by its identity is held beside it."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return cast("_T", self._kept[key][1])
        made = make()
        with self._lock:
            self._kept[key] = (of, made)
            while len(self._kept) > _MOST:
                self._kept.popitem(last=False)
        return made
