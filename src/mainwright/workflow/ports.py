"""What the use cases need of the world outside: small Protocols, given by bootstrap."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mainwright.job.job import Job
    from mainwright.plan.result import Plan
    from mainwright.workflow.source import Line, SourceTable

__all__ = ["Inventory", "JobRead", "NotKnown", "PaperWriter", "Progress", "ReadFault"]

Progress = Callable[[int, int], None]
"""Called with what is done and of how much; to stop the work, it raises."""


class ReadFault(Protocol):
    """Something that is wrong, or looks wrong, where a person finds it; its text says all of that."""

    @property
    def file(self) -> str:
        """File within the folder."""
        ...

    @property
    def line(self) -> int:
        """Line of the file."""
        ...

    @property
    def column(self) -> str:
        """Column or key, may be empty."""
        ...

    @property
    def text(self) -> str:
        """What is wrong and what would be right."""
        ...


class NotKnown(Protocol):
    """A column, key, table or file that nobody uses; its text says so."""

    @property
    def file(self) -> str:
        """File within the folder."""
        ...

    @property
    def line(self) -> int:
        """Line of the file."""
        ...

    @property
    def name(self) -> str:
        """Column or key, empty for a file."""
        ...

    @property
    def near(self) -> str | None:
        """What may have been meant."""
        ...


class JobRead(Protocol):
    """What was read of a job folder; no job where it has faults."""

    @property
    def job(self) -> Job | None:
        """The job."""
        ...

    @property
    def faults(self) -> Sequence[ReadFault]:
        """What stops everything."""
        ...

    @property
    def warnings(self) -> Sequence[ReadFault]:
        """What is told while the work goes on."""
        ...

    @property
    def unknown(self) -> Sequence[NotKnown]:
        """Columns, keys and files that are kept and not used."""
        ...


class PaperWriter(Protocol):
    """Writes the papers of a plan."""

    def __call__(self, plan: Plan, progress: Progress | None, /) -> Sequence[str]:
        """Write them all, and return their names."""
        ...


class Inventory(Protocol):
    """The tables of a foreign inventory."""

    def table(self, name: str | None, *, only: tuple[str, str] | None, encoding: str, wkt: str) -> SourceTable:
        """Return a table by its name, None for the one that was named first; ``only`` keeps the rows whose column holds a text."""
        ...

    def metric(self, crs: str) -> bool:
        """Return whether the axes of a reference system are metres east and north."""
        ...

    def project(self, points: Sequence[tuple[float, float]], *, crs: str, to: str) -> tuple[Line, str]:
        """Return points in another reference system, and its name; an empty ``to`` takes the zone of UTM in which they lie."""
        ...
