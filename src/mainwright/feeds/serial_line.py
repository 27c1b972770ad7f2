"""A serial line: sentences with a checksum, or lines of text that fit a pattern."""

import re
import threading
from collections.abc import Callable
from typing import Final

from mainwright.feeds.cutter import Cutter
from mainwright.feeds.decode import Raw, decode
from mainwright.feeds.mapping import FeedMapping, Place, SerialSource
from mainwright.feeds.outlet import Desk, Outlet
from mainwright.feeds.runner import Runner
from mainwright.feeds.unreadable import Unreadable
from mainwright.words.message import message

__all__ = ["SerialFeed", "SerialLines", "sentence_fields"]

_LONGEST: Final = 4096
"""A line that is longer [bytes] is noise."""

_SENTENCE: Final = re.compile(r"[$!]([^*$!]*)(?:\*([0-9A-Fa-f]{2}))?")


def sentence_fields(text: str, *, checksum: bool) -> tuple[str, ...]:
    """Return the fields of a sentence such as ``$RGWAY,12.503,m*4F``.

    Parameters
    ----------
    text : str
        The line, without its end. [-]
    checksum : bool
        Whether it must have one; where it has one it is checked in any case. [-]

    Returns
    -------
    tuple of str
        The name first.

    Raises
    ------
    Unreadable
        If it is no sentence, or its checksum is missing or wrong: the exclusive or of all characters between ``$`` and ``*``, as two
        hexadecimal digits.

    Examples
    --------
    >>> sentence_fields("$RGWAY,1.5*5C", checksum=True)
    ('RGWAY', '1.5')
    """
    found = _SENTENCE.fullmatch(text)
    if found is None or not text.isascii():
        raise Unreadable("{line} is no sentence", line=repr(text[:40]))
    body, told = found[1], found[2]
    if told is None:
        if checksum:
            raise Unreadable("{line} has no checksum", line=repr(text[:40]))
        return tuple(body.split(","))
    made = 0
    for character in body.encode():
        made ^= character
    if made != int(told, 16):
        why = "the checksum of {line} is {made}, not {told}"
        raise Unreadable(why, line=repr(text[:40]), made=f"{made:02X}", told=told.upper())
    return tuple(body.split(","))


class SerialLines:
    """Makes readings of the bytes of a line, however they are cut.

    What comes before the first line end is dropped without a word: nobody was there when it began.

    Parameters
    ----------
    mapping : FeedMapping
        What stands in which field or group.
    origin : SerialSource
        How lines look.
    outlet : Outlet
        Where readings and signals go.
    """

    def __init__(self, mapping: FeedMapping, origin: SerialSource, outlet: Outlet) -> None:
        self._mapping = mapping
        self._origin = origin
        self._outlet = outlet
        self._cutter = Cutter(_LONGEST, from_middle=True)

    def take(self, came: bytes, stop: threading.Event) -> bool:
        """Take some bytes; return False where the feed was stopped before what they say was handed on."""
        return all(self._line(line, stop) for _, line in self._cutter.cut(came.replace(b"\r", b"\n")))

    def _line(self, line: bytes | None, stop: threading.Event) -> bool:
        try:
            look = self._look(line)
        except Unreadable as error:
            self._outlet.unreadable(message("{why}; the line is left out", why=error.message))
            return True
        if look is None:
            return True
        made = decode(self._mapping, look, arrived=self._outlet.now(), source=self._mapping.source)
        for what in made.unreadable:
            self._outlet.unreadable(what)
        return made.reading is None or self._outlet.hand(made.reading, _nothing, stop)

    def _look(self, line: bytes | None) -> Callable[[Place], Raw] | None:
        """Return what finds a place in a line, or None where the line is empty or another's; raises `Unreadable` where it is none."""
        if line is None:
            raise Unreadable("no line end within {n} bytes: is the speed of the line right?", n=_LONGEST)
        if not line.strip():
            return None
        try:
            text = line.decode("utf-8").strip()
        except UnicodeDecodeError as error:
            raise Unreadable("the line is no text: is the speed of the line right?") from error
        pattern = self._origin.pattern
        if pattern is not None:
            found = pattern.fullmatch(text)
            if found is None:
                raise Unreadable("{line} does not fit the pattern", line=repr(text[:40]))
            return lambda place: found[place.name]
        fields = sentence_fields(text, checksum=self._origin.checksum == "required")
        if fields[0] != self._origin.sentence:
            return None

        def look(place: Place) -> Raw:
            if place.field >= len(fields):
                raise Unreadable("the sentence has no field {field}", field=place.field)
            return fields[place.field].strip() or None

        return look


class SerialFeed:
    """Listens to a serial line.

    Parameters
    ----------
    mapping : FeedMapping
        With a `SerialSource`.
    origin : SerialSource
        The line.
    desk : Desk
        Where readings and signals go.
    """

    def __init__(self, mapping: FeedMapping, origin: SerialSource, desk: Desk) -> None:
        self._mapping = mapping
        self._origin = origin
        self._outlet = Outlet(mapping.source, mapping.limits, desk)
        self._runner = Runner(self._outlet, self._work)
        self.start = self._runner.start
        self.stop = self._runner.stop

    @property
    def finished(self) -> bool:
        """Whether nothing more will come."""
        return self._runner.finished

    def _work(self, stop: threading.Event, connected: Callable[[], None]) -> None:
        import serial

        bits, parity, stop_bits = self._origin.framing
        # Alone: two who read one line have half of it each.
        with serial.Serial(
            self._origin.port,
            self._origin.baud,
            bytesize=int(bits),
            parity=parity,
            stopbits=int(stop_bits),
            timeout=0.1,
            exclusive=True,
        ) as port:
            connected()
            lines = SerialLines(self._mapping, self._origin, self._outlet)
            while not stop.is_set():
                came = port.read(max(1, port.in_waiting))
                if came and not lines.take(came, stop):
                    return
                self._outlet.tick()


def _nothing() -> None:
    """Acknowledge nothing: a line keeps nothing."""
