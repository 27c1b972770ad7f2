"""Following a run: readings come in, state, alarms and screen follow at once, and all of it is on disk before it is acknowledged.

Three stages, each with its own pace: the feeds put readings into an inbox; the engine takes them, applies them to the state of the run and
looks for alarms; the writer appends what the engine gave it and then acknowledges. Each takes all that waits when it is ready.
"""

from __future__ import annotations

import math
import threading
from concurrent.futures import Future
from typing import TYPE_CHECKING, Final

from mainwright.errors import InputError, NotFound
from mainwright.line.alarms import AlarmRules, watch
from mainwright.line.deposit_map import BIN
from mainwright.line.event_codec import from_kept, to_kept
from mainwright.line.events import ChargeTaken, Event, HandMark, ReadingTaken, SignalNoted, SourceNamed, Started
from mainwright.line.notice import Noticer
from mainwright.line.plan_codec import header_document, read_header
from mainwright.line.state import RunState
from mainwright.words.message import Message, message
from mainwright.words.wording import word
from mainwright.workflow.live_commands import TakeCharge, event_of
from mainwright.workflow.live_ports import FeedStatus, LogEntry, Strip
from mainwright.workflow.live_screen import screen_of, strip_of
from mainwright.workflow.live_writer import Writer
from mainwright.workflow.seen import Seen

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from mainwright.line.run_plan import RunPlan
    from mainwright.workflow.live_commands import Command
    from mainwright.workflow.live_ports import Arrival, Clock, FeedReading, Inbox, RunKey, RunLog, Screen, Signal

__all__ = ["LiveRun"]

_MOST_AT_ONCE: Final = 500
"""Readings that the engine takes before it looks at alarms and lets the screen look."""

_MOST_WAITING: Final = 200_000
"""Entries that may wait for the disk: then the engine takes no more, and the feeds hold back."""

_LOOK_EVERY: Final = 0.02
"""Alarms are looked at no more often. [s]"""

_LOOK_STEP: Final = 1.0
"""And at least once in so much time of the readings. [s]"""

_STRIP_EVERY: Final = 0.2
"""The strip is drawn anew no more often. [s]"""

_STARTED_OVER: Final = 10_000
"""A number so far below the greatest, with a later time, is of a sender that counts anew."""


class LiveRun:
    """One run, followed from its log, feeds and buttons. All of its methods may be called from any thread.

    Parameters
    ----------
    log : RunLog
        Keeps it.
    key : RunKey
        Names it.
    clock : callable
        The time of day.
    plan : RunPlan or None
        What it was meant to be; of a run that has a log already, what stands there counts.
    inbox : Inbox or None
        Where readings wait; None where there are only marks by hand.
    rules : AlarmRules or None
        When alarms go up.
    bin_length, lag : float
        Of the map [m], of the hose [s].
    author : str
        Who follows it.
    clocks_agree : bool
        Whether the readings' own time can be compared with that of their arrival.
    about : mapping or None
        What else stands at the head of the log: revision of the job, names of pump, hose and head.
    begins : str or None
        Who starts the run with its first reading; None where somebody presses the button.

    Raises
    ------
    NotFound
        If there is no log and no plan.
    InputError
        If a newer program wrote the log.
    """

    def __init__(
        self,
        log: RunLog,
        key: RunKey,
        *,
        clock: Clock,
        plan: RunPlan | None = None,
        inbox: Inbox | None = None,
        rules: AlarmRules | None = None,
        bin_length: float = BIN,
        lag: float = 0.0,
        author: str = "",
        clocks_agree: bool = True,
        about: Mapping[str, str | None] | None = None,
        begins: str | None = None,
    ) -> None:
        self.key = key
        self._log = log
        self._clock = clock
        self._inbox = inbox
        self._begins = begins
        try:
            header = log.header(key)
        except NotFound:
            if plan is None:
                raise
            header = header_document(plan, rules=rules or AlarmRules(), bin_length=bin_length, lag=lag, about=about)
            log.begin(key, header, author=author)
        self.plan, self._rules, bin_length, lag = read_header(header)
        self._state = RunState(self.plan, bin_length=bin_length, lag=lag)
        self._noticer = Noticer(clocks=clocks_agree)
        self._lock = threading.RLock()
        self._seen: dict[int, Seen] = {}
        self._sources: dict[str, int] = {}
        self._presses: dict[str, Future[int]] = {}
        self._signals: dict[str, dict[tuple[str, str | None], Signal]] = {}
        self._connected: dict[str, bool] = {}
        self._entries: list[LogEntry] = []
        self._calls: list[Callable[[], None]] = []
        self._heard: float | None = None
        self._looked = -math.inf
        self._looked_to = -math.inf
        self._strip: tuple[float, int, Strip] = (-math.inf, -1, Strip())
        self._stopping = threading.Event()
        self._died = False
        self._idle = False
        self._count = self._resume()
        self._writer = Writer(log, key, durable=self._count)
        self._engine = threading.Thread(target=self._work, name="run engine", daemon=True)

    def _resume(self) -> int:
        count = 0
        for entry in self._log.entries(self.key):
            event = from_kept(entry.kind, entry.time, entry.values)
            self._state.apply(event)
            count += 1
            if isinstance(event, ReadingTaken):
                self._seen.setdefault(event.source, Seen()).add(event.number)
            elif isinstance(event, SourceNamed):
                self._sources[event.name] = event.source
            press = entry.values.get("press")
            if isinstance(press, str) and press:
                done: Future[int] = Future()
                done.set_result(count)
                self._presses[press] = done
        return count

    @property
    def state(self) -> RunState:
        """Return the state; whoever looks at it while the run is followed holds `lock`."""
        return self._state

    @property
    def lock(self) -> threading.RLock:
        """Return what keeps the state still."""
        return self._lock

    @property
    def durable(self) -> int:
        """Return how many entries are on disk."""
        return self._writer.durable

    @property
    def trouble(self) -> Message | None:
        """Return what stands over everything else: the record cannot be written, or nothing is followed any more."""
        if self._died:
            return message(
                "The run is not followed any more: an unforeseen fault. Start the program again; nothing that was acknowledged is lost."
            )
        return self._writer.trouble

    @property
    def idle(self) -> bool:
        """Return whether the inbox was found empty the last time."""
        return self._idle

    def start(self) -> None:
        """Follow the run: take readings and write."""
        self._writer.start()
        self._engine.start()

    def stop(self, timeout: float = 10.0) -> bool:
        """Take no more readings, write what is there, and return whether all of it is on disk in this time [s]."""
        self._stopping.set()
        if self._engine.is_alive():
            self._engine.join(timeout)
        with self._lock:
            self._hand_over()
        return self._writer.stop(timeout)

    def do(self, command: Command, *, who: str, press: str = "") -> Future[int]:
        """Do what a person wants, at once on the screen; the future holds its place in the log when it is on disk.

        Parameters
        ----------
        command : Command
            What is done. [-]
        who : str
            Who does it. [-]
        press : str
            Names this press of the button for ever: the same once more is the same, and done once. [-]

        Returns
        -------
        Future
            Place in the log, from 1.

        Raises
        ------
        RunError
            If it cannot be done now: nothing is changed.
        InputError
            If somebody else is in charge, or a value is impossible.
        """
        with self._lock:
            if press and press in self._presses:
                return self._presses[press]
            charge = self._state.in_charge
            if charge is not None and charge != who and not isinstance(command, TakeCharge):
                raise InputError("who", who, "", f"{charge}, who is in charge; whoever else wants to do it takes charge first")
            now = self._now()
            event = event_of(command, state=self._state, who=who, now=now)
            if isinstance(event, ChargeTaken) and event.who == "":
                raise InputError("who", "empty", "", "a name")
            for name, value in to_kept(event)[2].items():
                if isinstance(value, float) and not math.isfinite(value):
                    raise InputError(name, value, "", "a finite number")
            self._record(event, press)
            if isinstance(event, HandMark):
                self._heard = now
            done: Future[int] = Future()
            place = self._count
            if press:
                self._presses[press] = done
            self._calls.append(lambda: done.set_result(place))
            self._look(now, always=True)
            self._hand_over()
            return done

    def notice(self, signal: Signal) -> None:
        """Take what a feed tells of itself."""
        with self._lock:
            here = self._signals.setdefault(signal.source, {})
            if signal.kind == "connected":
                self._connected[signal.source] = not signal.over
            elif signal.kind in ("lost", "ended"):
                self._connected[signal.source] = signal.over
            place = (signal.kind, signal.channel)
            if signal.over:
                here.pop(place, None)
            elif signal.kind != "connected":
                here[place] = signal
                if signal.kind == "lost":
                    here.pop(("connected", None), None)
            else:
                here.pop(("lost", None), None)
            why = word(signal.message, language="en", units="metric")
            self._record(SignalNoted(signal.time.timestamp(), signal.source, signal.kind, signal.channel, signal.over, why))
            self._hand_over()

    def screen(self) -> Screen:
        """Return all that the page shows now."""
        with self._lock:
            now = self._now()
            drawn, events, strip = self._strip
            if events != self._state.events and not 0.0 <= now - drawn < _STRIP_EVERY:
                strip = strip_of(self._state)
                self._strip = (now, self._state.events, strip)
            return screen_of(
                self._state, key=self.key, now=now, durable=self.durable, strip=strip, feeds=self._feeds(), trouble=self.trouble
            )

    def _feeds(self) -> list[FeedStatus]:
        names = {name: self._state.sources[index] for name, index in sorted(self._sources.items()) if index in self._state.sources}
        found = []
        for name in sorted({*names, *self._connected, *self._signals}):
            heard = names.get(name)
            found.append(
                FeedStatus(
                    source=name,
                    connected=self._connected.get(name, True if heard is not None and heard.readings else None),
                    latest=None if heard is None else heard.latest,
                    readings=0 if heard is None else heard.readings,
                    signals=tuple(self._signals.get(name, {}).values()),
                )
            )
        return found

    def _now(self) -> float:
        return self._clock().timestamp()

    def _work(self) -> None:
        try:
            while not self._stopping.is_set():
                if self._writer.waiting > _MOST_WAITING or self._writer.failed:
                    self._stopping.wait(0.05)
                    continue
                arrivals = [] if self._inbox is None else self._inbox.take(_MOST_AT_ONCE, timeout=0.1)
                if self._inbox is None:
                    self._stopping.wait(0.1)
                # What is being taken in is not idle, however long it takes.
                self._idle = self._idle and not arrivals
                self.take(arrivals)
                self._idle = not arrivals
        except BaseException:
            self._died = True
            raise

    def take(self, arrivals: list[Arrival]) -> None:
        """Take readings in: the engine's own work, which may be done by hand where no thread was started."""
        with self._lock:
            now = self._now()
            for arrival in arrivals:
                self._arrive(arrival, now)
                # Of many readings that come at once none may hide what was an alarm in between.
                told = arrival.reading.time.timestamp()
                if told - self._looked_to >= _LOOK_STEP:
                    self._looked_to = told
                    self._look(now, always=True)
            self._look(now)
            self._hand_over()

    def _arrive(self, arrival: Arrival, now: float) -> None:
        self._calls.append(arrival.acknowledge)
        told = arrival.reading
        source = self._source(told, now)
        seen = self._seen[source]
        number = told.number
        if number is None:
            number = 0 if seen.greatest is None else seen.greatest + 1
        if not seen.add(number):
            return
        reading = _reading(told, source=source, number=number)
        if self._begins is not None and self._state.phase == "ready" and reading.odometer is not None:
            self._record(Started(reading.time, self._begins))
        for event in self._noticer.notice(self._state, reading, arrived=now):
            self._record(event)
        self._record(reading)
        self._heard = now

    def _source(self, told: FeedReading, now: float) -> int:
        """Return the number of a sender in this run; a sender that counts anew is another one, that goes on from it."""
        source = self._sources.get(told.source)
        if source is not None:
            greatest, latest = self._seen[source].greatest, self._state.sources[source].latest
            if told.number is None or greatest is None or told.number > greatest or latest is None or told.time.timestamp() <= latest:
                return source
            if told.number > 1 and told.number > greatest - _STARTED_OVER:
                return source
        fresh = max(self._state.sources, default=-1) + 1
        self._sources[told.source] = fresh
        self._seen[fresh] = Seen()
        self._record(SourceNamed(now, fresh, told.source, source))
        return fresh

    def _record(self, event: Event, press: str = "") -> None:
        """Apply an event and keep it for the writer; one that cannot be is refused before anything is changed."""
        self._state.apply(event)
        kind, time, values = to_kept(event)
        if press:
            values["press"] = press
        self._entries.append(LogEntry(kind, time, values))
        self._count += 1

    def _look(self, now: float, *, always: bool = False) -> None:
        if not always and 0.0 <= now - self._looked < _LOOK_EVERY:
            return
        self._looked = now
        for event in watch(self._state, now=now, windows=self.plan.windows, rules=self._rules, heard=self._heard):
            self._record(event)

    def _hand_over(self) -> None:
        if self._entries or self._calls:
            self._writer.put(self._entries, self._calls)
            self._entries, self._calls = [], []


def _reading(told: FeedReading, *, source: int, number: int) -> ReadingTaken:
    """Return a reading as an event; what is no number was not told."""
    get = told.values.get

    def known(value: float | None) -> float | None:
        return value if value is not None and math.isfinite(value) else None

    return ReadingTaken(
        number=number,
        time=told.time.timestamp(),
        odometer=known(get("odometer")),
        flow=known(get("flow")),
        pressure=known(get("pressure")),
        head_air=known(get("head_air")),
        head_speed=known(get("head_speed")),
        strokes=known(get("strokes")),
        source=source,
    )
