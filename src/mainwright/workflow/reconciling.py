"""Connections three times over: on the list, seen in the street, seen by the camera. Which are one, and which nobody else knows of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from mainwright.job.survey import Service

__all__ = ["SAME_WITHIN", "Connection", "reconcile"]

SAME_WITHIN: Final = 1.0
"""What is seen no further from a listed connection is that one, where its name does not say otherwise. Practice of the trade: tape and cable counter. [m]"""


@dataclass(frozen=True, slots=True)
class Connection:
    """One connection and where it is known.

    Attributes
    ----------
    chainage
        Of the list, else of the first sighting. [m]
    ref
        Its name, empty where it has none.
    listed
        Whether the survey has it.
    street, camera
        Where it was seen; None where it was not. [m]
    """

    chainage: float
    ref: str
    listed: bool
    street: float | None
    camera: float | None


def reconcile(services: Sequence[Service], sightings: Sequence[Mapping[str, object]]) -> tuple[Connection, ...]:
    """Return every connection of list, street and camera once.

    Parameters
    ----------
    services : sequence of Service
        The list. [-]
    sightings : sequence of mapping
        Rows of ``connections_found``: ``chainage_m``, ``seen_by`` (``street`` or ``camera``), ``ref``. [-]

    Returns
    -------
    tuple of Connection
        In order of chainage.

    Notes
    -----
    A name on both sides decides. Else the nearest pair within `SAME_WITHIN` is one, then the next nearest.
    """
    found = [_Open(one.chainage, one.ref or "", listed=True) for one in services]
    for source in ("street", "camera"):
        seen = [(float(at), str(row.get("ref") or "")) for row in sightings if row.get("seen_by") == source and isinstance(at := row.get("chainage_m"), int | float)]  # fmt: skip
        left = []
        by_name = {one.ref: one for one in found if one.ref}
        for at, ref in seen:
            known = by_name.get(ref) if ref else None
            if known is not None and getattr(known, source) is None:
                setattr(known, source, at)
            else:
                left.append((at, ref))
        pairs = sorted(
            (abs(one.chainage - at), place, number)
            for place, (at, ref) in enumerate(left)
            for number, one in enumerate(found)
            if abs(one.chainage - at) <= SAME_WITHIN and getattr(one, source) is None and not (ref and one.ref and ref != one.ref)
        )
        used: set[int] = set()
        for _, place, number in pairs:
            if place not in used and getattr(found[number], source) is None:
                setattr(found[number], source, left[place][0])
                used.add(place)
        for place, (at, ref) in enumerate(left):
            if place not in used:
                fresh = _Open(at, ref, listed=False)
                setattr(fresh, source, at)
                found.append(fresh)
    return tuple(
        Connection(one.chainage, one.ref, one.listed, one.street, one.camera) for one in sorted(found, key=lambda one: one.chainage)
    )


class _Open:
    """A connection that sightings are still added to."""

    def __init__(self, chainage: float, ref: str, *, listed: bool) -> None:
        self.chainage = chainage
        self.ref = ref
        self.listed = listed
        self.street: float | None = None
        self.camera: float | None = None
