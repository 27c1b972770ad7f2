"""What a number carries with it: where it comes from, what was assumed, and why a rule says what it says."""

from dataclasses import dataclass
from typing import Literal

from mainwright.words.message import Message

__all__ = ["Assumed", "Reason", "Source", "Status", "Verdict"]

Status = Literal["read", "secondary", "memory", "practice", "derived"]
"""read: in the source itself; secondary: in something that reports it; memory: remembered, look it up before use;
practice: common practice without a source; derived: computed here from stated inputs."""

Verdict = Literal["suitable", "with_measures", "unsuitable", "unknown"]


@dataclass(frozen=True, slots=True)
class Source:
    """Where a published value stands.

    Attributes
    ----------
    title, edition, clause
        Of the document; edition and clause may be empty where they are not known.
    status
        How the value was come by.
    """

    title: str
    edition: str
    clause: str
    status: Status


@dataclass(frozen=True, slots=True)
class Assumed:
    """A value that nobody gave.

    Attributes
    ----------
    what
        Dotted key or name of the value, as in the job's files.
    value
        The number or text that was taken, in `unit`.
    unit
        Name of the display unit, or empty.
    because
        Where it comes from and why it was needed.
    """

    what: str
    value: float | str | None
    unit: str
    because: Message


@dataclass(frozen=True, slots=True)
class Reason:
    """One rule applied to one thing.

    Attributes
    ----------
    rule, found, limit
        What was asked, what was found, what is allowed.
    source
        Of the rule.
    verdict
        What this rule alone says.
    """

    rule: Message
    found: Message
    limit: Message
    source: Source
    verdict: Verdict
