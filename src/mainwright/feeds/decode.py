"""What a sender said, place by place, to a reading in SI: what cannot be read is left out and told, never guessed."""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final

from mainwright.feeds.mapping import FeedMapping, Place, TimeRule
from mainwright.feeds.unreadable import Unreadable
from mainwright.words.message import Message, message
from mainwright.workflow.live_ports import Channel, FeedReading

__all__ = ["Decoded", "Raw", "decode", "identity", "number_in", "time_in"]

Raw = str | float | None
"""A text, a number, or None where the place is empty."""

_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)
_POINT: Final = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Decoded:
    """A reading, where there is one, and what could not be read."""

    reading: FeedReading | None
    unreadable: tuple[Message, ...]


def number_in(text: str, *, comma: bool) -> float:
    """Return the number in a text.

    Parameters
    ----------
    text : str
        Digits with a decimal point, or with a decimal comma. [-]
    comma : bool
        Whether a decimal comma is allowed; a point is too, never both. [-]

    Returns
    -------
    float
        The number.

    Raises
    ------
    Unreadable
        If it is none, or not finite. Thousands separators are not understood: 1.234,5 is refused, not guessed.

    Examples
    --------
    >>> number_in(" 12,5 ", comma=True)
    12.5
    """
    plain = text.strip()
    if comma and "." not in plain:
        plain = plain.replace(",", ".", 1)
    if _POINT.fullmatch(plain) is None or not math.isfinite(float(plain)):
        raise Unreadable("{written} is no number", written=_shown(text))
    return float(plain)


def time_in(raw: str | float, rule: TimeRule, *, comma: bool = False) -> datetime:
    """Return the time that a sender gives.

    Parameters
    ----------
    raw : str or float
        As it came.
    rule : TimeRule
        How it is written.
    comma : bool
        Whether a decimal comma is allowed. [-]

    Returns
    -------
    datetime
        Aware, UTC.

    Raises
    ------
    Unreadable
        If it is no time, or does not say its offset from UTC and the rule does not either.
    """
    try:
        if rule.format == "iso":
            found = datetime.fromisoformat(str(raw).strip())
            if found.tzinfo is None:
                if rule.zone is None:
                    raise Unreadable("{written} does not say its offset from UTC", written=_shown(raw))
                found = found.replace(tzinfo=rule.zone)
            return found.astimezone(UTC)
        seconds = number_in(raw, comma=comma) if isinstance(raw, str) else raw
        return datetime.fromtimestamp(seconds / 1000.0 if rule.format == "unix_ms" else seconds, UTC)
    except Unreadable:
        raise
    except (ValueError, OverflowError, OSError) as error:
        raise Unreadable("{written} is no time", written=_shown(raw)) from error


def decode(
    mapping: FeedMapping,
    look: Callable[[Place], Raw],
    *,
    arrived: datetime,
    source: str,
    number: int | None = None,
    has: Callable[[Place], bool] = lambda place: True,
    comma: bool = False,
) -> Decoded:
    """Return the reading in what a sender said.

    Parameters
    ----------
    mapping : FeedMapping
        What stands where.
    look : callable
        Gives what stands at a place; raises `Unreadable` where the place is not there.
    arrived : datetime
        When it came: the time of the reading where the sender gives none.
    source : str
        Name of the source in the reading. [-]
    number : int, optional
        Number where the mapping has none. [-]
    has : callable
        Whether a place belongs to what was said at all. [-]
    comma : bool
        Whether a decimal comma is allowed. [-]

    Returns
    -------
    Decoded
        The reading, None where not one channel or the time or number could not be read; and what could not be read.
    """
    unreadable: list[Message] = []
    time, counted, whole = arrived, number, True
    try:
        if mapping.time is not None and has(mapping.time.place):
            raw = look(mapping.time.place)
            time = time_in("" if raw is None else raw, mapping.time, comma=comma)
    except Unreadable as error:
        unreadable.append(message("time: {why}; the reading is left out", why=error.message))
        whole = False
    try:
        if whole and mapping.number is not None and has(mapping.number):
            counted = identity(time, _count(look(mapping.number), comma=comma))
    except Unreadable as error:
        unreadable.append(message("number: {why}; the reading is left out", why=error.message))
        whole = False
    values = _values(mapping, look, has, unreadable, comma=comma)
    return Decoded(FeedReading(time, counted, values, source) if whole and values else None, tuple(unreadable))


def _values(
    mapping: FeedMapping, look: Callable[[Place], Raw], has: Callable[[Place], bool], unreadable: list[Message], *, comma: bool
) -> dict[Channel, float]:
    values: dict[Channel, float] = {}
    for rule in mapping.channels:
        if not has(rule.place):
            continue
        try:
            raw = look(rule.place)
            if raw is None:
                continue
            plain = number_in(raw, comma=comma) if isinstance(raw, str) else raw
            if plain in rule.absent:
                continue
            value = rule.si(plain)
            if not math.isfinite(value):
                raise Unreadable("{written} is no finite number", written=_shown(raw))
            values[rule.channel] = value
        except Unreadable as error:
            unreadable.append(message("{channel}: {why}; it is left out", channel=rule.channel, why=error.message))
    return values


def identity(time: datetime, number: int) -> int:
    """Return what names a reading within its source for ever.

    Parameters
    ----------
    time : datetime
        The sender's. [-]
    number : int
        The sender's. A counter begins anew where the sender's power failed, and what it counts then is not what it counted before: so that
        the time belongs to the name. [-]

    Returns
    -------
    int
        Whole seconds since 1970, and the last 31 bits of the number: within 63 bits, and numbers of one second stay neighbours.

    Raises
    ------
    Unreadable
        If the time is before 1970 or after 2105.

    Examples
    --------
    >>> identity(datetime(1970, 1, 1, 0, 0, 1, tzinfo=UTC), 7) == 2**31 + 7
    True
    """
    seconds = (time - _EPOCH) // timedelta(seconds=1)
    if not 0 <= seconds < 2**32:
        raise Unreadable("{written} is no time of a run", written=time.isoformat())
    return seconds << 31 | number & 0x7FFFFFFF


def _count(raw: Raw, *, comma: bool) -> int:
    plain = number_in(raw, comma=comma) if isinstance(raw, str) else raw
    if plain is None or not math.isfinite(plain) or plain != int(plain) or abs(plain) > 2**53:
        raise Unreadable("{written} is no whole number", written=_shown(raw))
    return int(plain)


def _shown(raw: Raw) -> str:
    return repr(raw)[:40]
