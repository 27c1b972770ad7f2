"""How the papers of a plan say lengths, money, clock times and sources."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from mainwright.plan.result import Plan, Run
from mainwright.standards.source import Source
from mainwright.words.wording import Wording

__all__ = ["DASH", "Pen", "pen_for", "pump_place"]

DASH = "–"


@dataclass(frozen=True, slots=True)
class Pen:
    """The reader of one job's papers, its currency, and the sources that were named so far.

    Attributes
    ----------
    say
        Wording in the job's language and units, with no-break spaces.
    currency
        Code of the currency; may be empty.
    sources
        In the order of their numbers.
    """

    say: Wording
    currency: str
    sources: list[Source] = field(default_factory=list)

    def optional(self, value: float | None, unit: str, digits: int | None = None) -> str:
        """Return a number without its unit, or a dash."""
        return DASH if value is None else self.say.measure(value, unit, digits)

    def length(self, start: float, end: float) -> str:
        """Return two chainages with their unit."""
        return f"{self.say.measure(start, 'm', 1)}{DASH}{self.say.quantity(end, 'm', 1)}"

    def between(self, start: float, end: float) -> str:
        """Return two chainages without their unit."""
        return f"{self.say.measure(start, 'm', 1)}{DASH}{self.say.measure(end, 'm', 1)}"

    def head(self, name: str, unit: str) -> str:
        """Return the head of a column with its unit."""
        label = self.say.unit(unit)
        return f"{self.say.text(name)} [{label}]" if label else self.say.text(name)

    def money(self, value: float | None) -> str:
        """Return a sum without its currency, or a dash: to the whole unit, for it is an estimate."""
        return DASH if value is None else self.say.number(value, 0)

    def sum(self, value: float | None) -> str:
        """Return a sum with its currency."""
        return self.money(value) if value is None or not self.currency else f"{self.money(value)}{self.say.space}{self.currency}"

    def clock(self, seconds: float | None) -> str:
        """Return minutes and seconds from the start of the head, as they are read off a stopwatch."""
        if seconds is None:
            return DASH
        whole = round(abs(seconds))
        return f"{'−' if seconds < 0 and whole else ''}{whole // 60}:{whole % 60:02d}"

    def source(self, source: Source) -> str:
        """Return the number of a source in the list of sources; a new one is added to it."""
        if source not in self.sources:
            self.sources.append(source)
        return f"[{self.sources.index(source) + 1}]"

    def joined(self, parts: Iterable[str]) -> str:
        """Return parts in one line, those that are empty left out."""
        return ", ".join(part for part in parts if part)


def pen_for(plan: Plan) -> Pen:
    """Return the pen for a plan's papers."""
    info = plan.job.info
    return Pen(Wording(info.language, info.units, "\u00a0"), info.currency, list(dict.fromkeys(plan.sources)))


def pump_place(run: Run) -> float:
    """Return where the pump stands: the head is drawn towards it while it lines."""
    return run.end if run.direction == "increasing" else run.start
