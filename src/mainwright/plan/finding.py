"""One rule of suitability applied to one stretch, with what would change its answer."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

from mainwright.standards.published import table
from mainwright.standards.source import Reason, Source, Verdict
from mainwright.words.message import Message

__all__ = ["PRACTICE", "VERDICTS", "Finding", "finding", "practice_source", "source_of", "worst"]

VERDICTS: Final[tuple[Verdict, ...]] = ("suitable", "with_measures", "unknown", "unsuitable")
"""From the best to the worst. What is not known may turn out either way, so it counts as worse than what a known measure cures, and
better than what is known to fail: not knowing never makes a verdict better than ``unknown``."""

PRACTICE: Final = Source("Practice of the trade", "", "", "practice")


@dataclass(frozen=True, slots=True)
class Finding:
    """A reason, and the measures that would change it."""

    reason: Reason
    measures: tuple[Message, ...] = ()


def finding(
    *, rule: Message, found: Message, limit: Message, source: Source, verdict: Verdict, measures: Sequence[Message] = ()
) -> Finding:
    """Return one rule applied, with its measures."""
    return Finding(Reason(rule, found, limit, source, verdict), tuple(measures))


def worst(verdicts: Sequence[Verdict]) -> Verdict:
    """Return the worst of some verdicts, ``unknown`` of none.

    Examples
    --------
    >>> worst(["suitable", "unknown", "with_measures"])
    'unknown'
    """
    return max(verdicts, key=VERDICTS.index) if verdicts else "unknown"


@cache
def practice_source(clause: str) -> Source:
    """Return the source of a rule that is common practice and has none."""
    return Source(PRACTICE.title, "", clause, "practice")


@cache
def source_of(name: str, **fields: str) -> Source:
    """Return the source of the row of a shipped table with these fields, or common practice where the table has none."""
    row = table(name).find(**fields)
    return PRACTICE if row is None else row.published.source
