"""What was made for pages and may be asked for again: as much of it as there is room for."""

from __future__ import annotations

import threading
from collections import OrderedDict
from typing import TYPE_CHECKING, Generic, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable

__all__ = ["Kept"]

_T = TypeVar("_T")


class Kept(Generic[_T]):
    """Keeps things by what they were made from; what nobody asked for longest goes first.

    Parameters
    ----------
    most : int
        How large all of them together may be. [-]
    size : callable
        How large one is, in the same measure. [-]
    """

    def __init__(self, most: int, size: Callable[[_T], int]) -> None:
        self._most = most
        self._size = size
        self._all = 0
        self._lock = threading.Lock()
        self._kept: OrderedDict[Hashable, tuple[object, _T]] = OrderedDict()

    def get(self, key: Hashable, make: Callable[[], _T], *, of: object = None) -> _T:
        """Return what was made of a key, made now where it is not kept.

        Parameters
        ----------
        key : hashable
            Everything that it depends on. [-]
        make : callable
            Makes it; two who ask at once may both make it. [-]
        of : object, optional
            What stands in the key by its identity: it is held for as long as the thing is kept. [-]

        Returns
        -------
        object
            The thing.
        """
        with self._lock:
            found = self._kept.get(key)
            if found is not None:
                self._kept.move_to_end(key)
                return found[1]
        made = make()
        with self._lock:
            before = self._kept.pop(key, None)
            self._kept[key] = (of, made)
            self._all += self._size(made) - (0 if before is None else self._size(before[1]))
            while self._all > self._most and len(self._kept) > 1:
                self._all -= self._size(self._kept.popitem(last=False)[1][1])
        return made
