"""The nouns of what a job may cost: its spread with causes, the tender, and ways beside each other over the years."""

from dataclasses import dataclass

from mainwright.words.message import Message

__all__ = ["BreakEven", "CauseOfCost", "CostSpread", "LifeWay", "Spread", "Tender"]


@dataclass(frozen=True, slots=True)
class Spread:
    """What an amount stays under with 10, 50 and 90 %, and the standard error of these three by the count of draws."""

    low: float
    middle: float
    high: float
    errors: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class CauseOfCost:
    """One cause alone: the whole cost with it at its 10 and at its 90 %, everything else in the middle. In the job's currency."""

    name: str
    text: Message
    low: float
    high: float

    @property
    def swing(self) -> float:
        """How far it moves the cost."""
        return abs(self.high - self.low)


@dataclass(frozen=True, slots=True)
class Tender:
    """The offer: margin on the bill at its rates [-], the price, the chance that the works cost more; margins with their chances."""

    margin: float
    price: float
    chance_of_loss: float
    margins: tuple[tuple[float, float], ...]
    even_margin: float
    safe_margin: float


@dataclass(frozen=True, slots=True)
class CostSpread:
    """What the works may cost and how long they may take.

    Attributes
    ----------
    cost
        In the job's currency.
    curve
        What the cost stays under with 5, 10, ... 95 %: (probability, cost).
    days
        Calendar days from the first to the last day of the programme; None where there is no programme.
    planned_days
        The same by the programme itself.
    causes
        The greatest swing first.
    centre
        Cost with every cause in its middle: about it each of them swings. Rare things are then none, so half of the draws cost more.
    tender
        What margin goes with what chance of loss.
    draws
        How many.
    """

    cost: Spread
    curve: tuple[tuple[float, float], ...]
    days: Spread | None
    planned_days: float | None
    causes: tuple[CauseOfCost, ...]
    centre: float
    tender: Tender
    draws: int


@dataclass(frozen=True, slots=True)
class LifeWay:
    """One way over the years: first cost, pumping energy a year, what both are worth a year and today; None where a price is missing.

    ``sensitivity`` is what it is worth today with one thing changed: (name, value), in the order of `mainwright.plan.cost.whole_life.CHANGES`.
    """

    name: str
    text: Message
    first: float | None
    life: float
    energy: float | None
    yearly: float | None
    worth: float | None
    sensitivity: tuple[tuple[str, float | None], ...]
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BreakEven:
    """The length of one DN from which a run pays against a new pipe: what it costs to set up, by metre, and a new pipe by metre.

    ``saving`` is by how much lining comes under a new pipe with runs as long as the plan's are on average [-]; ``here`` says whether the main
    has this DN: the others of the price list stand beside it to compare.
    """

    dn: int
    set_up: float
    by_length: float
    new_pipe: float
    length: float | None
    saving: float
    here: bool
