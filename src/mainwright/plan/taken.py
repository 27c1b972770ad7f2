"""Where values of a job come from that were taken from a library: as sources of a plan, and entry by entry."""

from collections.abc import Sequence
from dataclasses import dataclass

from mainwright.job.job import Job
from mainwright.job.origins import Origin
from mainwright.standards.source import Source

__all__ = ["Taken", "origin_of", "source_of", "taken_entries", "taken_sources"]


@dataclass(frozen=True, slots=True)
class Taken:
    """One entry of a library in a job.

    Attributes
    ----------
    source
        The entry, as a source.
    standing, changed
        Dotted keys of its values that are as they were taken, and of those that were changed since.
    """

    source: Source
    standing: tuple[str, ...]
    changed: tuple[str, ...]


def source_of(origin: Origin) -> Source:
    """Return an origin as a source: the entry, its revision and day, and where the entry has its values from."""
    day = "" if origin.day is None else origin.day.isoformat()
    number = "" if origin.revision is None else f"{origin.revision}"
    return Source(origin.entry, f"{number} ({day})" if number and day else number or day, origin.origin or "", origin.status or "memory")


def origin_of(job: Job, dotted: str) -> Origin | None:
    """Return where a value of a job comes from; None where nothing is said of it.

    Parameters
    ----------
    job : Job
        The job. [-]
    dotted : str
        The value: ``prices.camera``, ``lining.nominal_mm``. [-]

    Returns
    -------
    Origin or None
        With whether the value still is what was taken.
    """
    return next((one for one in job.origins if one.dotted == dotted and one.stands is not None), None)


def taken_entries(job: Job, tables: Sequence[str] = ()) -> tuple[Taken, ...]:
    """Return the entries whose values stand in a job.

    Parameters
    ----------
    job : Job
        The job. [-]
    tables : sequence of str
        Only values of these tables; without any those of all. [-]

    Returns
    -------
    tuple of Taken
        In the order of the job's rows.
    """
    found: dict[Source, tuple[list[str], list[str]]] = {}
    for one in job.origins:
        if one.stands is not None and (not tables or one.table in tables):
            standing, changed = found.setdefault(source_of(one), ([], []))
            (standing if one.stands else changed).append(one.dotted)
    return tuple(Taken(source, tuple(standing), tuple(changed)) for source, (standing, changed) in found.items())


def taken_sources(job: Job) -> tuple[Source, ...]:
    """Return the entries of which at least one value stands as it was taken."""
    return tuple(one.source for one in taken_entries(job) if one.standing)
