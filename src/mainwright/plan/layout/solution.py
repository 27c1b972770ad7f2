"""What a layout is: openings, runs, what else was possible, and what each limit costs."""

from dataclasses import dataclass

from mainwright.plan.lining import Equipment, RunLining
from mainwright.plan.result import Alternative, Direction, LimitPrice, Opening, PlanWarning
from mainwright.standards.source import Assumed
from mainwright.words.message import Message

__all__ = ["LayoutRun", "LayoutSolution"]


@dataclass(frozen=True, slots=True)
class LayoutRun:
    """One chosen run.

    Attributes
    ----------
    start, end
        Chainage of its two openings. [m]
    direction
        Way of the head. It travels towards the pump, which stands at the end of an increasing run.
    dn
        Nominal size, a label. [-]
    bends_total, bends
        Sum of the bends strictly inside [rad], and how many.
    branches
        Branches lined past, whose lip is cleared while soft.
    limit, limit_text
        Which limit governs the length: what would break first if the run went on to the next candidate.
    cost
        What the run alone costs, openings apart, in the job's currency.
    done
        Lined already: taken as it is.
    """

    start: float
    end: float
    direction: Direction
    dn: int
    bends_total: float
    bends: int
    branches: int
    equipment: Equipment
    lining: RunLining
    limit: str
    limit_text: Message
    cost: float
    done: bool = False

    @property
    def length(self) -> float:
        """Return the length of the run, in metres."""
        return self.end - self.start


@dataclass(frozen=True, slots=True)
class LayoutSolution:
    """The chosen layout, in order of chainage.

    Attributes
    ----------
    total_cost
        Sum of all that depends on the choice of openings, in the job's currency; None where no layout keeps the limits: then there
        are no openings and no runs, and a ``stop`` warning says where and which limit.
    candidates
        How many openings could be chosen from.
    """

    total_cost: float | None
    openings: tuple[Opening, ...]
    runs: tuple[LayoutRun, ...]
    candidates: int
    alternatives: tuple[Alternative, ...]
    limit_prices: tuple[LimitPrice, ...]
    warnings: tuple[PlanWarning, ...]
    assumed: tuple[Assumed, ...]
