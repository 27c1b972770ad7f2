"""Things that take a while and are made once: whoever asks first has them made, and everybody sees how far they are."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic, Protocol, TypeVar

from mainwright.errors import MainwrightError

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Hashable

    from mainwright.workflow.ports import Progress

__all__ = ["Background", "Making", "Makings"]

_T = TypeVar("_T")


class Background(Protocol):
    """Does work later, one after the other."""

    def __call__(self, work: Callable[[], None], /) -> None:
        """Take it."""
        ...


@dataclass(frozen=True, slots=True)
class Making:
    """Something that is being made: how far it is, from 0 to 1, and what went wrong, if anything."""

    share: float
    failed: str | None = None


class Makings(Generic[_T]):
    """Keeps what was made, by what it was made from.

    Parameters
    ----------
    background : Background
        Where it is made. [-]
    """

    def __init__(self, background: Background) -> None:
        self._background = background
        self._lock = threading.Lock()
        self._kept: dict[Hashable, _T | Making] = {}

    def get(self, key: Hashable, make: Callable[[Progress | None], _T]) -> _T | Making:
        """Return what was made of a key, or how far it is.

        Parameters
        ----------
        key : hashable
            Everything that it depends on. [-]
        make : callable
            Makes it; told where to report how far it is. [-]

        Returns
        -------
        object or Making
            The same object for as long as it is kept.
        """
        with self._lock:
            kept = self._kept.get(key)
            if kept is not None:
                return kept
            begun = self._kept[key] = Making(0.0)
        self._background(lambda: self._make(key, make))
        with self._lock:
            return self._kept.get(key, begun)

    def peek(self, key: Hashable) -> _T | None:
        """Return what was made of a key, None where it was not; nothing is begun."""
        with self._lock:
            kept = self._kept.get(key)
        return None if isinstance(kept, Making) else kept

    def keep_only(self, keys: Collection[Hashable]) -> None:
        """Forget everything but this, so that nothing grows for ever; what is being made just now stays."""
        with self._lock:
            for key in [one for one, made in self._kept.items() if one not in keys and not isinstance(made, Making)]:
                del self._kept[key]

    def forget(self, key: Hashable) -> None:
        """Forget one thing, so that it is made anew: after a failure, say."""
        with self._lock:
            self._kept.pop(key, None)

    def _make(self, key: Hashable, make: Callable[[Progress | None], _T]) -> None:
        def told(done: int, of: int) -> None:
            with self._lock:
                self._kept[key] = Making(0.0 if of <= 0 else min(done / of, 1.0))

        try:
            made: _T | Making = make(told)
        except MainwrightError as error:
            made = Making(0.0, str(error))
        except BaseException:
            made = Making(0.0, "It could not be made; the log of this program says more.")
            raise
        finally:
            with self._lock:
                self._kept[key] = made
