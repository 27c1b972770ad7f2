"""Who did what: what people change through the pages, what they were refused, and whom the lead let in. Only added to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Protocol

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

__all__ = ["A_PAGE", "Deed", "DeedKeeper", "KeptDeed", "Wanted"]

A_PAGE: Final = 100
"""Deeds that are given at once."""


@dataclass(frozen=True, slots=True)
class Deed:
    """Something that somebody did.

    Attributes
    ----------
    what
        A word of the list in `mainwright.web.roles.DEEDS`.
    who
        The name that was given; empty where none was.
    role
        ``lead``, ``crew``, ``viewer``; ``nobody`` where no device was known, ``terminal`` for a command.
    device
        Id of the device, ``local`` for the machine itself, empty where none was known.
    where
        Address of the network from which it came.
    job
        Reference of the job, None where it concerns none.
    before, after
        Revisions of the job around it, None where it has none.
    detail
        What else there is to say, as plain text.
    """

    what: str
    who: str
    role: str
    device: str
    where: str = ""
    job: str | None = None
    before: str | None = None
    after: str | None = None
    detail: str = ""


@dataclass(frozen=True, slots=True)
class KeptDeed:
    """A deed as it is kept: its place from 1, and when it was."""

    place: int
    time: datetime
    deed: Deed


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which deeds are wanted; None stands for all.

    Attributes
    ----------
    job
        Reference of a job.
    what
        Words of the list, one of which it must be.
    text
        Stands in the name, the device or the detail, whatever the case of its letters.
    since, until
        Not before, and before.
    below
        Only places below this one.
    """

    job: str | None = None
    what: frozenset[str] | None = None
    text: str = ""
    since: datetime | None = None
    until: datetime | None = None
    below: int | None = None


class DeedKeeper(Protocol):
    """Keeps deeds for ever."""

    def add(self, deed: Deed) -> KeptDeed:
        """Keep a deed, durably; raises ``StoreError``."""
        ...

    def find(self, wanted: Wanted, *, most: int = A_PAGE) -> Sequence[KeptDeed]:
        """Return deeds, the latest first."""
        ...
