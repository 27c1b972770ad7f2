"""A CSV file that another program is writing: followed by its end, through rotation and truncation."""

import csv
import hashlib
import os
import threading
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import BinaryIO, Final

from mainwright.feeds.cutter import Cutter
from mainwright.feeds.decode import Raw, decode
from mainwright.feeds.mapping import CsvSource, FeedMapping, Place
from mainwright.feeds.outlet import Backoff, Desk, Outlet
from mainwright.feeds.runner import Runner
from mainwright.feeds.unreadable import Unreadable
from mainwright.words.message import Message, message
from mainwright.workflow.live_ports import FeedReading

__all__ = ["CsvLines", "CsvTail", "Pace"]

Pace = Callable[[FeedReading, threading.Event], bool]
"""Waits until a reading is due; False where the feed is stopped meanwhile."""

_BLOCK: Final = 256 * 1024
_KNOWN_BY: Final = 4096
"""By so many of its first bytes a file that was begun anew is told from the same file, grown."""
_LONGEST: Final = 64 * 1024
"""A line that is longer [bytes] is no reading; the reader of cells takes twice as much in one."""


class CsvLines:
    """Makes readings of the lines of one CSV file: the first is the header.

    Parameters
    ----------
    mapping : FeedMapping
        What stands in which column.
    decimal : str
        ``comma``, ``point``, or ``auto``: a comma where semicolons or tabs stand between the cells. [-]
    outlet : Outlet
        Where readings and signals go.
    pace : callable, optional
        Called before a reading is handed on; False stops.
    """

    def __init__(self, mapping: FeedMapping, decimal: str, outlet: Outlet, *, pace: Pace | None = None) -> None:
        self._pace = pace
        self._mapping = mapping
        self._decimal = decimal
        self._outlet = outlet
        self._header: dict[str, int] | None = None
        self._absent: set[str] = set()
        self._cutter = Cutter(_LONGEST)
        self._width = 0
        self._delimiter = ","
        self._comma = False
        self._source = ""

    @property
    def read(self) -> int:
        """Return how many bytes of the file were taken."""
        return self._cutter.read

    def take(self, came: bytes, stop: threading.Event) -> bool:
        """Take the next bytes of the file; return False where the feed was stopped before what they say was handed on."""
        return all(self._line(line, place, stop) for place, line in self._cutter.cut(came))

    def end(self, stop: threading.Event, *, whole: bool) -> None:
        """Take what stands after the last line end: a line where the file is ``whole``, else one that was cut off."""
        rest, place = self._cutter.rest, self._cutter.read - len(self._cutter.rest)
        if whole:
            self._line(rest, place, stop)
        elif rest.strip():
            self._unreadable(place, message("the file ends within a line, and another has begun"))

    def _line(self, line: bytes | None, place: int, stop: threading.Event) -> bool:
        text = self._text(line, place)
        if text is None:
            return True
        if self._header is None:
            self._take_header(text)
            return True
        reading = self._reading(text, place, self._header)
        if reading is None:
            return True
        if self._pace is not None and not self._pace(reading, stop):
            return False
        return self._outlet.hand(reading, _nothing, stop)

    def _text(self, line: bytes | None, place: int) -> str | None:
        """Return the text of a line, or None where there is none that could be read."""
        try:
            if line is None:
                raise Unreadable("no line end for too long")
            text = line.decode("utf-8-sig" if self._header is None else "utf-8").rstrip("\r")
            if "\0" in text:
                raise Unreadable("the line holds NUL characters, as after a loss of power")
        except UnicodeDecodeError:
            self._unreadable(place, message("the line is not UTF-8"))
            return None
        except Unreadable as error:
            self._unreadable(place, error.message)
            return None
        return text if text.strip() else None

    def _reading(self, text: str, place: int, header: Mapping[str, int]) -> FeedReading | None:
        cells = _cells(text, self._delimiter)
        if not self._source:
            # Two files of one name are told apart by their first row, which has its time: places begin anew in each.
            self._source = f"{self._mapping.source}:{hashlib.sha256(text.encode()).hexdigest()[:12]}"
        if len(cells) != self._width:
            self._unreadable(place, message("the row has {n} {n:cell/cells} and the header {width}", n=len(cells), width=self._width))
            return None

        def look(where: Place) -> Raw:
            if where.name not in header:
                raise Unreadable("the file has no column {column}", column=where.name)
            return cells[header[where.name]].strip() or None

        made = decode(
            self._mapping,
            look,
            arrived=self._outlet.now(),
            source=self._source,
            number=place,
            has=lambda where: where.name not in self._absent,
            comma=self._comma,
        )
        for what in made.unreadable:
            self._outlet.unreadable(message("byte {place}: {what}", place=place, what=what))
        return made.reading

    def _take_header(self, text: str) -> None:
        self._delimiter = max(",;\t", key=text.count)
        self._comma = self._decimal == "comma" or (self._decimal == "auto" and self._delimiter != ",")
        names = [name.strip() for name in _cells(text, self._delimiter)]
        self._header = {name: index for index, name in enumerate(names)}
        self._width = len(names)
        self._absent = {rule.place.name for rule in self._mapping.channels if rule.optional and rule.place.name not in self._header}
        places = [rule.place for rule in self._mapping.channels if rule.place.name not in self._absent]
        places += [self._mapping.number] if self._mapping.number else []
        places += [self._mapping.time.place] if self._mapping.time else []
        missing = sorted({where.name for where in places if where.name not in self._header})
        if missing:
            what = message("the file has no column {missing}; it has {names}", missing=", ".join(missing), names=", ".join(names)[:500])
            self._outlet.unreadable(what)

    def _unreadable(self, place: int, why: Message) -> None:
        self._outlet.unreadable(message("byte {place}: {why}; the row is left out", place=place, why=why))


def _nothing() -> None:
    """Acknowledge nothing: the file stays, and a row has the same number whenever it is read."""


class CsvTail:
    """Follows a CSV file.

    A row counts once its line end is there. The file is read from its beginning: a row is numbered by the byte at which it begins and named by
    its file's first row, so that one that was read before is the same reading again. Another file of that name (rotation), or the same file
    begun anew (truncation), is read from its beginning too; what the old one still had is read first.

    Parameters
    ----------
    mapping : FeedMapping
        With a `CsvSource`.
    origin : CsvSource
        The file.
    desk : Desk
        Where readings and signals go.
    """

    def __init__(self, mapping: FeedMapping, origin: CsvSource, desk: Desk) -> None:
        self._mapping = mapping
        self._origin = origin
        self._rotated = False
        self._outlet = Outlet(mapping.source, mapping.limits, desk)
        # A file that is not there yet costs nothing to look for.
        self._runner = Runner(self._outlet, self._work, backoff=Backoff(origin.poll, max(origin.poll, 1.0)))
        self.start = self._runner.start
        self.stop = self._runner.stop

    @property
    def finished(self) -> bool:
        """Whether nothing more will come."""
        return self._runner.finished

    def _work(self, stop: threading.Event, connected: Callable[[], None]) -> None:
        while not stop.is_set():
            with Path(self._origin.path).open("rb") as stream:
                connected()
                if self._rotated:
                    self._outlet.tell("rotated", message("the new file is read"), over=True)
                self._rotated = self._follow(stream, stop)

    def _follow(self, stream: BinaryIO, stop: threading.Event) -> bool:
        """Read one file until it is another's turn; False where the feed is stopped before."""
        lines, first = CsvLines(self._mapping, self._origin.decimal, self._outlet), b""
        while not stop.is_set():
            # First who has the name, then the rest: what the old file gained until the change is not lost.
            replaced = self._replaced(stream)
            if os.fstat(stream.fileno()).st_size < lines.read or _begin(stream, len(first)) != first:
                self._outlet.tell("rotated", message("the file was begun anew"))
                return True
            block = stream.read(_BLOCK)
            first += block[: _KNOWN_BY - len(first)]
            if block:
                lines.take(block, stop)
            elif replaced:
                lines.end(stop, whole=False)
                self._outlet.tell("rotated", message("another file has this name now"))
                return True
            else:
                self._outlet.tick()
                stop.wait(self._origin.poll)
        return False

    def _replaced(self, stream: BinaryIO) -> bool:
        try:
            there = Path(self._origin.path).stat()
        except FileNotFoundError:
            # Between two files, or taken away: the open one is followed until another comes.
            return False
        ours = os.fstat(stream.fileno())
        return (there.st_dev, there.st_ino) != (ours.st_dev, ours.st_ino)


def _begin(stream: BinaryIO, size: int) -> bytes:
    """Return the first bytes of a file, without moving on in it."""
    place = stream.tell()
    stream.seek(0)
    found = stream.read(size)
    stream.seek(place)
    return found


def _cells(text: str, delimiter: str) -> list[str]:
    """Return the cells of a line, none where it cannot be cut into any."""
    try:
        return next(csv.reader([text], delimiter=delimiter), [])
    except csv.Error:
        return []
