"""Thicknesses that the trade and the factory standards report: to compare with, and to recognise a lining that is there."""

from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Literal

from mainwright.standards.published import Row, table
from mainwright.standards.source import Source

__all__ = ["Practice", "Where", "practice", "recognise"]

Where = Literal["in_place", "factory"]


@dataclass(frozen=True, slots=True)
class Practice:
    """What one document reports for one range of sizes, never a default.

    Attributes
    ----------
    document, edition, where
        Which document, and whether it speaks of work in place or in a factory.
    materials
        Host materials that it speaks of; empty where it names none.
    pipe
        ``old`` or ``new`` pipe where the document tells them apart, else empty.
    dn_from, dn_to
        Range of the nominal size, None where open.
    nominal, minimum, maximum
        Thicknesses. On rows of work in place the last two are the ends of a reported range. [m]
    under, over
        Tolerances about the nominal. [m]
    source
        With its status.
    """

    document: str
    edition: str
    where: Where
    materials: tuple[str, ...]
    pipe: str
    dn_from: int | None
    dn_to: int | None
    nominal: float | None
    minimum: float | None
    maximum: float | None
    under: float | None
    over: float | None
    source: Source

    @property
    def least(self) -> float | None:
        """Smallest thickness [m] that the row allows or reports."""
        if self.minimum is not None:
            return self.minimum
        if self.nominal is not None and self.under is not None:
            return self.nominal - self.under
        return self.nominal

    @property
    def greatest(self) -> float | None:
        """Greatest thickness [m] that the row allows or reports, None where it leaves that open."""
        if self.maximum is not None:
            return self.maximum
        return self.nominal + self.over if self.nominal is not None and self.over is not None else None


def _size(row: Row, name: str) -> int | None:
    found = row.get(name)
    return found if isinstance(found, int) else None


def _made(rows: list[Row]) -> Practice:
    first = rows[0]
    values = {row.text("quantity"): row.published.value for row in rows}
    return Practice(
        document=first.text("document"),
        edition=first.text("edition"),
        where="factory" if first.text("where") == "factory" else "in_place",
        materials=tuple(part for part in first.text("materials").split(",") if part),
        pipe=first.text("pipe"),
        dn_from=_size(first, "dn_from"),
        dn_to=_size(first, "dn_to"),
        nominal=values.get("nominal"),
        minimum=values.get("minimum"),
        maximum=values.get("maximum"),
        under=values.get("under"),
        over=values.get("over"),
        source=first.published.source,
    )


@cache
def _all_practice() -> tuple[Practice, ...]:
    groups: dict[tuple[str, ...], list[Row]] = {}
    for row in table("lining_practice").rows:
        names = ("document", "edition", "where", "materials", "pipe", "dn_from", "dn_to")
        key = (*(row.text(name) for name in names), row.published.source.clause)
        groups.setdefault(key, []).append(row)
    return tuple(_made(rows) for rows in groups.values())


@lru_cache(maxsize=1024)
def practice(*, dn: int, material: str, where: Where | None = None) -> tuple[Practice, ...]:
    """Return every row of the comparison that speaks of this pipe.

    Parameters
    ----------
    dn : int
        Nominal size. [-]
    material : str
        Host material as in ``main.csv``. [-]
    where : Where or None
        ``in_place`` or ``factory``; None for both. [-]

    Returns
    -------
    tuple of Practice
        In the order of the table; rows that name no material speak of each.

    Examples
    --------
    >>> sorted({row.source.status for row in practice(dn=150, material="grey_iron", where="in_place")})
    ['memory', 'read', 'secondary']
    """
    return tuple(
        one
        for one in _all_practice()
        if (where is None or one.where == where)
        and (not one.materials or material in one.materials)
        and (one.dn_from is None or one.dn_from <= dn)
        and (one.dn_to is None or dn <= one.dn_to)
    )


def recognise(*, thickness: float, dn: int, material: str, slack: float = 0.0003) -> tuple[Practice, ...]:
    """Return the factory linings that a measured thickness may be.

    Parameters
    ----------
    thickness : float
        Thickness of the lining found in the pipe. [m]
    dn : int
        Nominal size. [-]
    material : str
        Host material as in ``main.csv``. [-]
    slack : float
        How far outside the row's limits the reading may lie: the reading of a rule. [m]

    Returns
    -------
    tuple of Practice
        Factory rows whose limits hold the reading; a row without an upper limit holds it up to twice what it names.

    Examples
    --------
    >>> "EN 545" in {row.document for row in recognise(thickness=0.004, dn=150, material="ductile_iron")}
    True
    """
    found = []
    for row in practice(dn=dn, material=material, where="factory"):
        least = row.least
        named = row.nominal if row.nominal is not None else least
        if least is None or named is None:
            continue
        greatest = 2 * named if row.greatest is None else row.greatest
        if least - slack <= thickness <= greatest + slack:
            found.append(row)
    return tuple(found)
