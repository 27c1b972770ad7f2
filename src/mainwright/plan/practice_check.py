"""The contract's numbers beside what the trade reports: a slip or a document that does not belong here shows."""

import re
from collections.abc import Sequence
from typing import Final

from mainwright.job.job import Job
from mainwright.plan.host import Host, HostStretch
from mainwright.plan.result import PlanWarning
from mainwright.standards.lining_practice import Practice, practice
from mainwright.words.message import Quantity, message

__all__ = ["compare_with_practice"]

_FACTORY: Final = re.compile(r"\b(?:en\s*545|iso\s*4179|c\s*104|c\s*205|en\s*10298|din\s*2880|as\s*1281)\b")
"""Standards for lining in a factory. EN 10298:2005 says in its scope that it excludes work in place and rehabilitation; the others
speak of works-applied linings in their titles and scopes (read in catalogues)."""

_SLACK: Final = 1e-9


def compare_with_practice(job: Job, host: Host) -> tuple[PlanWarning, ...]:
    """Return where the contract's document or thickness is not what the trade does in place.

    Parameters
    ----------
    job : Job
        The job. [-]
    host : Host
        Its main, resolved. [-]

    Returns
    -------
    tuple of PlanWarning
        The document first, then by chainage, one for each length of alike stretches. The contract's numbers stand whatever
        is said here: there is no default thickness.
    """
    found = []
    match = _FACTORY.search(job.lining.governing_document.casefold())
    if match is not None:
        text = message(
            "{document} is a standard for lining in a factory and does not cover work in place: ask which document governs here.",
            document=job.lining.governing_document,
        )
        found.append(PlanWarning("factory_document", host.start, host.end, text, "act"))
    for alike in _alike(host.stretches):
        warning = _thickness(alike)
        if warning is not None:
            found.append(warning)
    return tuple(found)


def _alike(stretches: Sequence[HostStretch]) -> list[list[HostStretch]]:
    """Return neighbouring stretches of one size, material and lining together."""
    groups: list[list[HostStretch]] = []
    for one in stretches:
        last = groups[-1][-1] if groups else None
        if last is not None and (last.dn, last.material, last.lining) == (one.dn, one.material, one.lining):
            groups[-1].append(one)
        else:
            groups.append([one])
    return groups


def _range(rows: Sequence[Practice]) -> tuple[float, float] | None:
    least = [row.least for row in rows if row.least is not None]
    greatest = [bound for row in rows for bound in (row.greatest, row.nominal) if bound is not None]
    return (min(least), max(greatest)) if least and greatest else None


def _thickness(alike: Sequence[HostStretch]) -> PlanWarning | None:
    first, last = alike[0], alike[-1]
    if first.material == "other":
        return None  # Nothing is reported for what is not known.
    # What is only remembered is shown in the tables and judges nobody.
    rows = [row for row in practice(dn=first.dn, material=first.material, where="in_place") if row.source.status in ("read", "secondary")]
    reported = _range(rows)
    if reported is None:
        return None
    low, high = reported
    nominal = first.lining.nominal
    if low * (1.0 - _SLACK) <= nominal <= high * (1.0 + _SLACK):
        return None
    text = message(
        "The nominal {nominal} between {start} and {end} is outside everything that is reported for lining in place ({low} to {high}): "
        "check the number and its unit.",
        nominal=Quantity(nominal, "mm", 1),
        start=Quantity(first.start, "m", 1),
        end=Quantity(last.end, "m", 1),
        low=Quantity(low, "mm", 1),
        high=Quantity(high, "mm", 1),
    )
    return PlanWarning("thickness_unusual", first.start, last.end, text, "act")
