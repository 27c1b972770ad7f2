"""One table of a mapping being read: each key is taken with its rule, and every fault is kept with its dotted key."""

import math
from collections.abc import Iterable, Mapping
from typing import Final, TypeVar

from mainwright.job.faults import nearest
from mainwright.words.message import Value, message
from mainwright.workflow.mapping import MappingFault

__all__ = ["Section"]

_Choice = TypeVar("_Choice", bound=str)
_NONE: Final = object()


class Section:
    """A table of a mapping, whose keys are taken one by one; what nobody took is unknown.

    Parameters
    ----------
    key : str
        Dotted key of the table, empty for the whole file. [-]
    document : mapping
        What it holds. [-]
    faults : list of MappingFault
        Where faults go. [-]
    """

    def __init__(self, key: str, document: Mapping[str, object], faults: list[MappingFault]) -> None:
        self.key = key
        self.document = document
        self.faults = faults
        self._taken: set[str] = set()

    def _path(self, name: str) -> str:
        return f"{self.key}.{name}" if self.key else name

    def fault(self, name: str, text: str, /, **values: Value) -> None:
        """Say what is wrong with a key."""
        self.faults.append(MappingFault(self._path(name), message(text, **values)))

    def _take(self, name: str) -> object:
        self._taken.add(name)
        return self.document.get(name, _NONE)

    def text(self, name: str, *, default: str | None = None) -> str:
        """Return a text; without a default it must be there."""
        value = self._take(name)
        if value is _NONE:
            if default is None:
                self.fault(name, "it is not there: a text is right")
            return default or ""
        if not isinstance(value, str) or (default is None and not value):
            self.fault(name, "{value} is no text: a text in quotation marks is right", value=_shown(value))
            return ""
        return value

    def choice(self, name: str, choices: tuple[_Choice, ...], *, default: _Choice | None = None) -> _Choice:
        """Return one of some words; the empty text where there is a fault."""
        value = self._take(name)
        if value is _NONE and default is not None:
            return default
        for word in choices:
            if value == word:
                return word
        known = ", ".join(choices)
        if value is _NONE:
            self.fault(name, "it is not there: one of {known} is right", known=known)
        else:
            self.fault(name, "{value} is not known: one of {known} is right", value=_shown(value), known=known)
        return "" if default is None else default  # type: ignore[return-value]

    def number(self, name: str, *, default: float, above: float = -math.inf, most: float = math.inf) -> float:
        """Return a number, or the default."""
        found = self.maybe_number(name, above=above, most=most)
        return default if found is None else found

    def maybe_number(self, name: str, *, above: float = -math.inf, most: float = math.inf) -> float | None:
        """Return a number, or None where there is none."""
        value = self._take(name)
        if value is _NONE:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value) or not above < value <= most:
            allowed = "a number"
            if above > -math.inf:
                allowed += f" over {above:g}"
            if most < math.inf:
                allowed += f", at most {most:g}"
            self.fault(name, "{value} is not right: {allowed} is", value=_shown(value), allowed=allowed)
            return None
        return float(value)

    def whole(self, name: str, *, least: int, most: int, default: int | None = None) -> int:
        """Return a whole number; without a default it must be there."""
        value = self._take(name)
        if value is _NONE:
            if default is None:
                self.fault(name, "it is not there: a whole number from {least} to {most} is right", least=least, most=most)
                return least
            return default
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            text = "{value} is not right: a whole number from {least} to {most} is"
            self.fault(name, text, value=_shown(value), least=least, most=most)
            return least
        return value

    def numbers(self, name: str) -> tuple[float, ...]:
        """Return a list of numbers, empty where it is not there."""
        value = self._take(name)
        if value is _NONE:
            return ()
        if not isinstance(value, list) or any(isinstance(item, bool) or not isinstance(item, int | float) for item in value):
            self.fault(name, "{value} is no list of numbers: [65535] is right", value=_shown(value))
            return ()
        return tuple(float(item) for item in value)

    def table(self, name: str, *, required: bool) -> "Section | None":
        """Return a table within this one."""
        value = self._take(name)
        if isinstance(value, Mapping):
            return Section(self._path(name), value, self.faults)
        if value is not _NONE:
            self.fault(name, "{value} is no table: [{key}] is right", value=_shown(value), key=self._path(name))
        elif required:
            self.fault(name, "the table is not there")
        return None

    def tables(self, name: str) -> list["Section"]:
        """Return the tables of a list; at least one must be there."""
        value = self._take(name)
        if not isinstance(value, list) or not value or not all(isinstance(item, Mapping) for item in value):
            self.fault(name, "at least one table [[{key}]] is right", key=self._path(name))
            return []
        return [Section(f"{self._path(name)}.{place}", item, self.faults) for place, item in enumerate(value)]

    def close(self, known: Iterable[str] = ()) -> None:
        """Say which keys nobody took."""
        names = sorted({*self._taken, *known})
        for name in self.document:
            if name in self._taken:
                continue
            near = nearest(name, names)
            if near is None:
                self.fault(name, "the key is not known; known: {known}", known=", ".join(names))
            else:
                self.fault(name, "the key is not known: is {near} meant?", near=near)


def _shown(value: object) -> str:
    return repr(value)[:60]
