"""Reading goes on while what was read is worked on."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Generator, Iterator

__all__ = ["ahead"]

_T = TypeVar("_T")


def ahead(things: Iterator[_T]) -> Generator[_T]:
    """Give the same things, the next of which is got while the last is worked on.

    Parameters
    ----------
    things : iterator
        What is given; only one thread at a time asks it, and none once this generator is closed. [-]

    Yields
    ------
    object
        Its things, one after the other; what it raises is raised in its turn.
    """
    with ThreadPoolExecutor(1) as reader:
        coming = reader.submit(next, things, None)
        while (thing := coming.result()) is not None:
            coming = reader.submit(next, things, None)
            yield thing
