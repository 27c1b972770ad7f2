"""What keeping jobs, records and runs needs of the world outside."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Anchor"]


@dataclass(frozen=True, slots=True)
class Anchor:
    """Where a chain ends: written down elsewhere, on paper say, it shows later whether its end was cut off.

    Attributes
    ----------
    count
        How many things the chain holds.
    head
        Hash of the last one, as hexadecimal text.
    """

    count: int
    head: str

    def __str__(self) -> str:
        """Return it as it is printed: the count and the first 16 digits of the hash."""
        return f"{self.count}:{self.head[:16]}"
