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
    """Something that is being made: how far it is, from 0 to 1, what went wrong, if anything, and whether somebody stopped it."""

    share: float
    failed: str | None = None
    stopped: bool = False


class _Stopped(BaseException):
    """Nobody wants it any more; no part of what makes it takes this for a fault of its own."""


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
        self._unwanted: dict[Hashable, bool] = {}

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

    def replace(self, key: Hashable, made: _T) -> bool:
        """Put something better in the place of what was made of a key; return whether there was anything."""
        with self._lock:
            there = self._kept.get(key)
            if there is None or isinstance(there, Making):
                return False
            self._kept[key] = made
            return True

    def keep_only(self, keys: Collection[Hashable]) -> None:
        """Forget everything but this, so that nothing grows for ever; what is being made of the rest ends at its next step."""
        with self._lock:
            for key in [one for one in self._kept if one not in keys]:
                if _going_on(self._kept[key]):
                    self._unwanted[key] = False
                else:
                    del self._kept[key]

    def stop(self, key: Hashable) -> None:
        """Have no more of something made: it ends at its next step, and stands as stopped until it is forgotten."""
        with self._lock:
            if _going_on(self._kept.get(key)):
                self._unwanted[key] = True

    def forget(self, key: Hashable) -> None:
        """Forget one thing if it was stopped or went wrong, so that it is made anew."""
        with self._lock:
            kept = self._kept.get(key)
            if isinstance(kept, Making) and not _going_on(kept):
                del self._kept[key]

    def _make(self, key: Hashable, make: Callable[[Progress | None], _T]) -> None:
        def told(done: int, of: int) -> None:
            with self._lock:
                if key in self._unwanted:
                    raise _Stopped
                self._kept[key] = Making(0.0 if of <= 0 else min(done / of, 1.0))

        made: _T | Making = Making(0.0, stopped=True)
        try:
            told(0, 1)
            made = make(told)
        except _Stopped:
            pass
        except MainwrightError as error:
            made = Making(0.0, str(error))
        except BaseException:
            made = Making(0.0, "It could not be made; the log of this program says more.")
            raise
        finally:
            with self._lock:
                told_of = self._unwanted.pop(key, True)
                self._kept[key] = made
                if isinstance(made, Making) and made.stopped and not told_of:
                    del self._kept[key]


def _going_on(one: object) -> bool:
    return isinstance(one, Making) and one.failed is None and not one.stopped
