"""The nouns of a temporary supply, in SI."""

from dataclasses import dataclass

from mainwright.standards.source import Assumed, Source
from mainwright.words.message import Message

__all__ = ["ClosedBlock", "Handling", "Part", "SupplyLine", "SupplyPoint", "TemporarySupply", "WithoutSupply"]


@dataclass(frozen=True, slots=True)
class SupplyLine:
    """One length of temporary pipe between two points: bore, roughness, length [m], flow from `start` to `end` [m3/s], loss with its sign [m]."""

    id: str
    start: str
    end: str
    stock: str
    bore: float
    roughness: float
    length: float
    flow: float
    head_loss: float
    crossing: bool


@dataclass(frozen=True, slots=True)
class SupplyPoint:
    """A place on the temporary pipe: what is drawn there at the peak [m3/s], head [m], gauge pressure [Pa], the connections that it feeds.

    Attributes
    ----------
    source
        Whether it is a feed point; `given` is what flows in there, None elsewhere. [m3/s]
    age
        Time that water needs to come here with the mean use of a day; None where nothing is drawn beyond. [s]
    """

    id: str
    chainage: float
    side: str
    demand: float
    head: float
    pressure: float
    feeds: tuple[str, ...]
    source: bool
    given: float | None
    age: float | None


@dataclass(frozen=True, slots=True)
class ClosedBlock:
    """A length of main that is shut off at once: chainages [m], its valves, runs, customers, and for how long [s], None where no programme says."""

    id: str
    start: float
    end: float
    start_valve: str | None
    end_valve: str | None
    runs: tuple[str, ...]
    customers: int
    dwellings: int
    closed: float | None


@dataclass(frozen=True, slots=True)
class WithoutSupply:
    """A customer who is off supply: for how long [s] where it is known, and why."""

    ref: str
    chainage: float
    side: str | None
    use: str | None
    time: float | None
    because: Message


@dataclass(frozen=True, slots=True)
class Part:
    """A line of the parts list: what, of which size, and how many or how many metres."""

    item: str
    size: str
    quantity: float
    unit: str


@dataclass(frozen=True, slots=True)
class Handling:
    """What one size of the pipes asks for: length [m], water in it [m3], chlorine [kg], flush flow [m3/s] and least water flushed [m3].

    Attributes
    ----------
    freezes_after
        Time of standing in the frosty night that is looked at until the water is at freezing point. [s]
    sun_temperature
        To which standing water tends in the sun that is looked at. [K]
    """

    stock: str
    length: float
    volume: float
    chlorine: float
    flush_flow: float
    flush_volume: float
    freezes_after: float
    sun_temperature: float


@dataclass(frozen=True, slots=True)
class TemporarySupply:
    """All of it. Without a network, `lines` and `points` are None.

    Attributes
    ----------
    cost
        Of the pipes, by the stock's prices; None where a size has none. [currency]
    rule
        Name of the rule of peak demand.
    exact
        Whether the sizes are proven the cheapest.
    fire
        Flow for fire at `last` that is in the demand; None where none is asked or it cannot be given. [m3/s]
    fire_most
        Greatest flow for fire there at the wanted pressure, all taps at their peak; None where none is asked. [m3/s]
    wanted
        Least gauge pressure wanted. [Pa]
    warnings
        Code, whether it asks to act, text.
    """

    lines: tuple[SupplyLine, ...] | None
    points: tuple[SupplyPoint, ...] | None
    cost: float | None
    closed_blocks: tuple[ClosedBlock, ...] | None
    without: tuple[WithoutSupply, ...] | None
    rule: str
    exact: bool
    last: str | None
    fire: float | None
    fire_most: float | None
    wanted: float | None
    parts: tuple[Part, ...]
    handling: tuple[Handling, ...]
    assumed: tuple[Assumed, ...]
    sources: tuple[Source, ...]
    warnings: tuple[tuple[str, bool, Message], ...]
