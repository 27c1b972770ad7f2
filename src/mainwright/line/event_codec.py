"""Events to plain values and back, for whoever keeps them; what an older version wrote is upgraded on reading."""

import re
import types
from collections.abc import Callable, Mapping
from dataclasses import MISSING, Field, fields
from functools import lru_cache
from typing import Final, Literal, TypeAlias, Union, get_args, get_origin, get_type_hints

from mainwright.errors import InputError
from mainwright.line.events import Event, ReadingTaken

__all__ = ["Kept", "Upgrade", "Values", "from_kept", "kind_of", "to_kept"]

Values: TypeAlias = Mapping[str, float | int | str | bool | None]
"""Everything of an event but its kind and its time."""

Upgrade: TypeAlias = Callable[[Values], Values]
"""From the values of one version to those of the next."""

Kept: TypeAlias = tuple[str, float, dict[str, float | int | str | bool | None]]
"""Kind, time [s], values."""


def _kind(event: type) -> str:
    if event is ReadingTaken:
        return "reading"
    return re.sub(r"(?<!^)(?=[A-Z])", "_", event.__name__).lower()


_EVENTS: Final[dict[str, type]] = {_kind(event): event for event in get_args(Event)}
_KINDS: Final[dict[type, str]] = {event: kind for kind, event in _EVENTS.items()}

_VERSIONS: Final[dict[str, int]] = {}
"""Version of each kind that is no longer the first; it stands behind the kind: ``reading.2``."""

_UPGRADES: Final[dict[tuple[str, int], Upgrade]] = {}
"""From kind and version to what makes the next version of it."""


def kind_of(event: Event) -> str:
    """Return how the kind of an event is spelled."""
    kind = _KINDS[type(event)]
    version = _VERSIONS.get(kind, 1)
    return kind if version == 1 else f"{kind}.{version}"


def to_kept(event: Event) -> Kept:
    """Return an event as plain values.

    Parameters
    ----------
    event : Event
        Any event. [-]

    Returns
    -------
    tuple
        Kind with its version, time [s], and the other values by name.
    """
    if isinstance(event, ReadingTaken):
        # By far the most: spelled out, ten times as fast.
        values: dict[str, float | int | str | bool | None] = {
            "number": event.number,
            "odometer": event.odometer,
            "flow": event.flow,
            "pressure": event.pressure,
            "head_air": event.head_air,
            "head_speed": event.head_speed,
            "strokes": event.strokes,
            "source": event.source,
        }
        return "reading", event.time, values
    return kind_of(event), event.time, {one.name: getattr(event, one.name) for one in fields(event) if one.name != "time"}


def from_kept(
    kind: str,
    time: float,
    values: Values,
    *,
    versions: Mapping[str, int] = types.MappingProxyType(_VERSIONS),
    upgrades: Mapping[tuple[str, int], Upgrade] = types.MappingProxyType(_UPGRADES),
) -> Event:
    """Return the event that plain values tell of.

    Parameters
    ----------
    kind : str
        With its version. [-]
    time : float
        Of the event. [s]
    values : mapping
        The others; what belongs to no event is left alone. [-]
    versions, upgrades : mapping
        Version of each kind, and what leads from one to the next. [-]

    Returns
    -------
    Event
        In the form of this version.

    Raises
    ------
    InputError
        If the kind is not known or newer than this program, or a value is missing or of the wrong type.
    """
    if kind == "reading" and "reading" not in versions:
        get = values.get
        number, source = get("number"), get("source")
        if type(number) is int and type(time) is float and (source is None or type(source) is int):
            return ReadingTaken(
                number,
                time,
                _number(get("odometer")),
                _number(get("flow")),
                _number(get("pressure")),
                _number(get("head_air")),
                _number(get("head_speed")),
                _number(get("strokes")),
                source or 0,
            )
    name, _, told = kind.partition(".")
    newest = versions.get(name, 1)
    version = int(told) if told.isdecimal() else 1
    if name not in _EVENTS or version > newest:
        raise InputError("kind of an event", kind, "", f"those that this version knows, to {name}.{newest}; a newer program wrote it")
    while version < newest:
        values = upgrades[name, version](values)
        version += 1
    return _built(name, time, values)


def _number(value: object) -> float | None:
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        raise InputError("value of a reading", value, "", "a number or nothing")
    return float(value)


@lru_cache(maxsize=64)
def _shape(event: type) -> tuple[tuple[Field[object], object], ...]:
    hints = get_type_hints(event)
    return tuple((one, hints[one.name]) for one in fields(event))


def _built(name: str, time: float, values: Values) -> Event:
    event = _EVENTS[name]
    found: dict[str, object] = {}
    for one, hint in _shape(event):
        if one.name == "time":
            found["time"] = _fitted(name, "time", float, time)
        elif one.name in values:
            found[one.name] = _fitted(name, one.name, hint, values[one.name])
        elif one.default is MISSING:
            raise InputError(f"{one.name} of an event {name}", "missing", "", "a value")
    made: Event = event(**found)
    return made


def _fitted(name: str, field: str, hint: object, value: object) -> object:
    """Return a value as its field wants it; a whole number is a number."""
    options = get_args(hint) if get_origin(hint) in (Union, types.UnionType) else (hint,)
    if value is None and type(None) in options:
        return None
    for option in options:
        if get_origin(option) is Literal:
            if value in get_args(option):
                return value
        elif option is float and isinstance(value, (int, float)) and not isinstance(value, bool):
            return float(value)
        elif (option is int and isinstance(value, int) and not isinstance(value, bool)) or (
            option in (str, bool) and type(value) is option
        ):
            return value
    raise InputError(f"{field} of an event {name}", repr(value), "", f"a value of {hint}")
