"""What the page in the van says of a run, in the words, units and clock of one reader. The numbers are the run's; nothing is computed here but their places in a picture."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Final

from mainwright.figures.place import ticks
from mainwright.units import from_si, to_si
from mainwright.words.message import Message, message
from mainwright.words.wording import shown_unit

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import tzinfo

    from mainwright.line.run_plan import RunPlan
    from mainwright.web.reader import Reader
    from mainwright.workflow.live_ports import BatchOnScreen, Screen

__all__ = ["ALARMS", "PHASES", "VanView", "van_view"]

_NOTHING: Final = "–"

PHASES: Final[Mapping[str, Message]] = {
    "ready": message("ready"),
    "running": message("running"),
    "stopped": message("stopped"),
    "ended": message("ended"),
}

ALARMS: Final[Mapping[str, tuple[Message, str | None, int | None]]] = {
    "thin": (message("Too thin"), "mm", 1),
    "thick": (message("Too thick"), "mm", 1),
    "stall": (message("The head stands while the pump runs"), None, None),
    "overspeed": (message("The head is too fast"), "m_min", 2),
    "pressure": (message("Pressure near the limit of the hose: a blockage?"), "bar", 1),
    "old_mortar": (message("The mortar at the head is past its usable time"), "minutes", 0),
    "mortar_short": (message("The mortar runs out before the end, at"), "m", 1),
    "connection_due": (message("A connection must be clear soon"), None, None),
    "ends_open": (message("The ends are not closed"), None, None),
    "head_slow": (message("The head slows: the mortar may lie in the invert"), None, None),
    "flow_lost": (message("The flow is not read: the pump's setting stands for it"), None, None),
    "turned_back": (message("The head goes back over fresh lining"), None, None),
    "mixer_behind": (message("The hopper is empty before the next batch is mixed"), None, None),
    "silent": (message("No readings arrive"), None, None),
    "odometer_jump": (message("The odometer jumped: where is the head?"), None, None),
}
"""Each alarm in words, and the unit in which its number is told where it has one that helps."""

_ROOM_OVER: Final = 1.25
"""The picture reaches so far over the greatest thickness that is asked or lies there."""


@dataclass(frozen=True, slots=True)
class VanView:
    """The parts of the page, each sent again only where it changed.

    Attributes
    ----------
    texts
        Text of each place of the page, by its name.
    states
        State of a place, by its name: its words say the same.
    alarms, connections, batches, feeds
        Lists of the page.
    frame, strip
        The picture along the run: what stands still, and what moves; in the reader's units.
    """

    texts: Mapping[str, str]
    states: Mapping[str, str]
    alarms: list[dict[str, object]]
    connections: list[dict[str, object]]
    batches: list[dict[str, object]]
    feeds: list[dict[str, object]]
    frame: Mapping[str, object]
    strip: Mapping[str, object]
    gauge: Mapping[str, object]


def van_view(screen: Screen, plan: RunPlan, reader: Reader, zone: tzinfo) -> VanView:
    """Return what the page shows.

    Parameters
    ----------
    screen : Screen
        The run at one moment. [-]
    plan : RunPlan
        What it was meant to be. [-]
    reader : Reader
        Who reads. [-]
    zone : tzinfo
        Of the clock. [-]

    Returns
    -------
    VanView
        In the reader's words.
    """
    return _Van(screen, plan, reader, zone).view()


class _Van:
    def __init__(self, screen: Screen, plan: RunPlan, reader: Reader, zone: tzinfo) -> None:
        self._screen = screen
        self._plan = plan
        self._say = reader.say
        self._units = reader.units
        self._zone = zone

    def view(self) -> VanView:
        return VanView(
            texts=self._texts(),
            states=self._states(),
            alarms=self._alarms(),
            connections=self._connections(),
            batches=self._batches(),
            feeds=self._feeds(),
            frame=self._frame(),
            strip=self._strip(),
            gauge=self._gauge(),
        )

    def _clock(self, time: float | None, *, seconds: bool = False) -> str:
        if time is None:
            return _NOTHING
        return datetime.fromtimestamp(time, UTC).astimezone(self._zone).strftime("%H:%M:%S" if seconds else "%H:%M")

    def _quantity(self, value: float | None, unit: str, digits: int | None = None) -> str:
        return _NOTHING if value is None else self._say.quantity(value, unit, digits)

    def _measure(self, value: float | None, unit: str, digits: int | None = None) -> str:
        return _NOTHING if value is None else self._say.measure(value, unit, digits)

    def _span(self, seconds: float | None) -> str:
        """Return a duration as minutes and seconds, or hours and minutes."""
        if seconds is None:
            return _NOTHING
        whole = round(abs(seconds))
        sign = "−" if seconds < 0 and whole else ""
        if whole < 3600:
            return f"{sign}{whole // 60}:{whole % 60:02d}\u00a0min"
        return f"{sign}{whole // 3600}:{whole % 3600 // 60:02d}\u00a0h"

    def _texts(self) -> dict[str, str]:
        screen, say = self._screen, self._say
        advice = screen.advice
        due = [one for one in screen.connections if one.cleared is None and one.latest is not None]
        next_due = min(due, key=lambda one: one.latest or 0.0, default=None)
        batch = next((one for one in screen.batches if one.mixing is None), None)
        open_ = [one for one in screen.connections if one.cleared is None]
        return {
            "run": screen.key.run,
            "phase": say.word(PHASES[screen.phase]),
            "clock": self._clock(screen.now, seconds=True),
            "lasted": _NOTHING if screen.started is None else self._span((screen.ended or screen.now) - screen.started),
            "charge": screen.in_charge or say.text("nobody"),
            "disk": say.text("all on disk")
            if screen.durable >= screen.event
            else say.word(message("{n} not on disk yet", n=screen.event - screen.durable)),
            "trouble": "" if screen.trouble is None else say.word(screen.trouble),
            "chainage": self._quantity(None if advice is None else advice.chainage, "m", 1),
            "thickness": self._measure(None if advice is None else advice.thickness, "mm", 1),
            "band": self._band(),
            "sure": self._sure(),
            "trend": self._trend(),
            "change": self._measure(None if advice is None else advice.change_to, "m_min", 2),
            "speed": self._quantity(None if advice is None else advice.speed, "m_min", 2),
            "do": self._what_to_do(),
            "speeds": _NOTHING
            if advice is None or advice.speed_low is None or advice.speed_high is None
            else f"{self._measure(advice.speed_low, 'm_min', 2)} – {self._quantity(advice.speed_high, 'm_min', 2)}",
            "bore": say.text("none ahead")
            if advice is not None and advice.to_next_bore is None
            else self._quantity(None if advice is None else advice.to_next_bore, "m", 1),
            "end": self._quantity(None if advice is None else advice.to_end, "m", 1),
            "end-in": self._span(None if advice is None else advice.end_in),
            "age": _NOTHING if screen.age_at_head is None else self._span(screen.age_at_head),
            "usable": say.text("life not tested")
            if screen.usable is None
            else say.word(message("of {life}", life=self._span(screen.usable))),
            "batch": _NOTHING if batch is None else say.word(message("No {n}", n=batch.number)),
            "batch-due": self._batch_due(batch),
            "stock": self._quantity(screen.in_stock, "l", 0),
            "dry": self._dry(),
            "due": _NOTHING if next_due is None or next_due.latest is None else self._span(next_due.latest - screen.now),
            "due-at": (say.text("all clear") if screen.connections and not open_ else say.text("none timed"))
            if next_due is None
            else say.word(
                message("by {time}, at {place}", time=self._clock(next_due.latest), place=self._quantity(next_due.chainage, "m", 1))
            ),
            "pressure": self._quantity(screen.pressure, "bar", 1),
            "flow": self._quantity(None if advice is None else advice.flow, "l_min", 1),
            "cover": say.text("the head's air or speed is read")
            if screen.cover_proved
            else say.text("the head's air or speed is not read: cover is not proved by this record"),
            "feeds": self._feeds_in_short(),
            "spoken": self._spoken(),
        }

    def _batch_due(self, batch: BatchOnScreen | None) -> str:
        if batch is None:
            return self._say.text("none left")
        if batch.due is not None and batch.due < self._screen.now and self._screen.phase in ("running", "stopped"):
            return self._say.word(message("due since {time}", time=self._clock(batch.due)))
        return self._clock(batch.due)

    def _up(self, *codes: str) -> bool:
        """Return whether one of these alarms is up, seen or not."""
        return any(one.active and one.code in codes for one in self._screen.alarms)

    def _band(self) -> str:
        advice = self._screen.advice
        if advice is None:
            return _NOTHING
        aim = self._quantity(advice.aim, "mm", 1)
        low = self._measure(advice.minimum, "mm", 1)
        if advice.maximum is None:
            return self._say.word(message("at least {low}, aim {aim}", low=low, aim=aim))
        return self._say.word(message("{low} to {high}, aim {aim}", low=low, high=self._measure(advice.maximum, "mm", 1), aim=aim))

    def _trend(self) -> str:
        trend = None if self._screen.advice is None else self._screen.advice.trend
        if trend is None:
            return _NOTHING
        sign, arrow = ("+", "↗") if trend > 0 else ("", "↘")
        if abs(trend) < 0.0001:
            sign, arrow = "", "→"
        return f"{arrow} {sign}{self._quantity(trend, 'mm', 1)}"

    def _sure(self) -> str:
        """Return what the thickness at the head is open by: twice its deviation."""
        found = self._screen.strip.deviations
        return f"± {self._quantity(2.0 * found[-1], 'mm', 1)}" if found else _NOTHING

    def _way(self) -> str:
        """Return whether the head should be faster, slower or as it is."""
        advice = self._screen.advice
        if (
            advice is None
            or advice.speed is None
            or advice.speed_low is None
            or advice.speed_high is None
            or self._screen.phase != "running"
        ):
            return ""
        return "faster" if advice.speed < advice.speed_low else "slower" if advice.speed > advice.speed_high else "right"

    def _what_to_do(self) -> str:
        say = self._say
        match self._way():
            case "faster":
                return say.text("↑ faster")
            case "slower":
                return say.text("↓ slower")
            case "right":
                return say.text("✓ keep it")
            case _:
                return _NOTHING

    def _dry(self) -> str:
        screen = self._screen
        if screen.in_stock is None:
            return self._say.text("no batch on record")
        if screen.in_stock < 0.0:
            return self._say.text("a batch is not on record")
        if screen.dry_at is None:
            return self._say.text("reaches the end")
        return self._say.word(message("runs out at {place}", place=self._quantity(screen.dry_at, "m", 1)))

    def _feeds_in_short(self) -> str:
        screen, say = self._screen, self._say
        if not screen.feeds:
            return say.text("by hand")
        bad = [one for one in screen.feeds if one.connected is False or one.signals]
        if not bad:
            return say.text("sensors well")
        return say.word(message("look at {source}", source=bad[0].source))

    def _spoken(self) -> str:
        """Return what a reader of the screen says now and then."""
        screen, advice = self._screen, self._screen.advice
        if advice is None:
            return self._say.word(PHASES[screen.phase])
        return self._say.word(
            message(
                "At {place}: {thickness}, speed {speed}, change to {change}.",
                place=self._quantity(advice.chainage, "m", 0),
                thickness=self._quantity(advice.thickness, "mm", 1),
                speed=self._quantity(advice.speed, "m_min", 2),
                change=self._quantity(advice.change_to, "m_min", 2),
            )
        )

    def _states(self) -> dict[str, str]:
        screen, advice = self._screen, self._screen.advice
        thick = ""
        if advice is not None and advice.thickness is not None:
            over = advice.maximum is not None and advice.thickness > advice.maximum
            thick = "bad" if advice.thickness < advice.minimum or over else "good"
        late = [one for one in screen.connections if one.cleared is None and one.latest is not None and one.latest - screen.now < 600.0]
        bad_feed = any(one.connected is False or one.signals for one in screen.feeds)
        old = screen.age_at_head is not None and screen.usable is not None and screen.age_at_head > screen.usable
        return {
            "phase": screen.phase,
            "hand": "yes" if screen.hand_mode or not screen.feeds else "no",
            "disk": "good"
            if screen.durable >= screen.event and screen.trouble is None
            else "bad"
            if screen.trouble is not None
            else "watch",
            "trouble": "bad" if screen.trouble is not None else "",
            "thickness": thick,
            "do": {"right": "good", "faster": "watch", "slower": "watch"}.get(self._way(), ""),
            # What is poured seldom reaches the end; that matters where no batch comes in time, or none is left.
            "stock": "bad" if self._up("mixer_behind", "mortar_short") or (screen.in_stock or 0.0) < 0.0 else "",
            "due": "bad" if late else "",
            "age": "bad" if old else "",
            "feeds": "watch" if bad_feed else "good" if screen.feeds else "",
            "cover": "good" if screen.cover_proved else "watch",
            "ends": "closed" if screen.ends_closed is not None else "open",
            "charge": screen.in_charge or "",
        }

    def _alarms(self) -> list[dict[str, object]]:
        found: list[dict[str, object]] = []
        # What somebody must still look at comes first: a phone shows one at a time.
        for one in sorted(self._screen.alarms, key=lambda one: (one.acknowledged is not None, not one.active)):
            text, unit, digits = ALARMS.get(one.code, (Message(one.code), None, None))
            said = self._say.word(text) + ("" if unit is None else f" {self._quantity(one.value, unit, digits)}")
            place = self._say.word(
                message("at {place} since {time}", place=self._quantity(one.chainage, "m", 1), time=self._clock(one.since))
            )
            over = "" if one.active else self._say.text("is over")
            found.append({"code": one.code, "text": said, "where": place, "over": over, "seen": one.acknowledged or ""})
        return found

    def _connections(self) -> list[dict[str, object]]:
        screen = self._screen
        return [
            {
                "value": repr(one.chainage),
                "text": " ".join(part for part in (self._quantity(one.chainage, "m", 1), one.ref) if part),
                "clock": self._say.word(message("clear since {time}", time=self._clock(one.cleared)))
                if one.cleared is not None
                else self._say.text("minutes not tested")
                if one.latest is None
                else self._say.word(message("{early} to {late}", early=self._clock(one.earliest), late=self._clock(one.latest))),
                "clear": one.cleared is not None,
                "late": one.cleared is None and one.latest is not None and one.latest - screen.now < 600.0,
            }
            for one in screen.connections
        ]

    def _batches(self) -> list[dict[str, object]]:
        return [
            {
                "value": one.number,
                "litres": self._measure(one.volume, "l", 0).replace(",", "")
                if self._say.language == "en"
                else self._measure(one.volume, "l", 0),
                "poured": one.mixing is not None,
                "due": self._clock(one.due),
            }
            for one in self._screen.batches
        ]

    def _feeds(self) -> list[dict[str, object]]:
        say = self._say
        found: list[dict[str, object]] = []
        for one in self._screen.feeds:
            state = (
                say.text("not connected")
                if one.connected is False
                else say.text("not heard yet")
                if one.latest is None
                else say.text("heard")
            )
            found.append(
                {
                    "source": one.source,
                    "state": state,
                    "latest": self._clock(one.latest, seconds=True),
                    "readings": say.number(one.readings, 0),
                    "signals": [say.word(signal.message) for signal in one.signals],
                    "well": one.connected is not False and not one.signals,
                }
            )
        return found

    def _shown(self, value: float, unit: str) -> float:
        return round(from_si(value, shown_unit(unit, self._units)), 4)

    def _top(self) -> float:
        asked = max(one.maximum or 1.5 * one.aim for one in self._plan.lengths)
        return _ROOM_OVER * asked

    def _frame(self) -> dict[str, object]:
        plan, say = self._plan, self._say
        lengths = []
        for one in plan.lengths:
            ends = sorted((plan.chainage(one.start), plan.chainage(one.end)))
            lengths.append(
                [
                    *(self._shown(end, "m") for end in ends),
                    self._shown(one.minimum, "mm"),
                    self._shown(one.aim, "mm"),
                    None if one.maximum is None else self._shown(one.maximum, "mm"),
                ]
            )
        unit, thin = shown_unit("m", self._units), shown_unit("mm", self._units)
        across = ticks(from_si(plan.start, unit), from_si(plan.end, unit), 6)
        up = ticks(0.0, from_si(self._top(), thin), 4)
        whole = all(value == int(value) for value in up)
        return {
            "start": self._shown(plan.start, "m"),
            "end": self._shown(plan.end, "m"),
            "top": self._shown(self._top(), "mm"),
            "across": [[round(value, 4), say.number(value, 0)] for value in across],
            "up": [[round(value, 4), say.number(to_si(value, "-"), 0 if whole else 2)] for value in up],
            "lengths": lengths,
            "unit": say.unit("mm"),
            "way": plan.direction,
        }

    def _strip(self) -> dict[str, object]:
        strip, screen = self._screen.strip, self._screen
        return {
            "at": [self._shown(value, "m") for value in strip.chainages],
            "thick": [self._shown(value, "mm") for value in strip.thicknesses],
            "sure": [self._shown(2.0 * value, "mm") for value in strip.deviations],
            "head": None if screen.advice is None else self._shown(screen.advice.chainage, "m"),
            "connections": [[self._shown(one.chainage, "m"), one.cleared is not None] for one in screen.connections],
            "dry": None if screen.dry_at is None else self._shown(screen.dry_at, "m"),
        }

    def _gauge(self) -> dict[str, object]:
        advice = self._screen.advice
        if advice is None:
            return {}
        top = self._top()
        speeds = None
        if advice.speed_low is not None and advice.speed_high is not None and advice.change_to is not None:
            most = 1.6 * advice.speed_high
            speeds = [round(value / most, 4) for value in (advice.speed_low, advice.change_to, advice.speed_high)]
            speeds.append(-1.0 if advice.speed is None else round(min(advice.speed / most, 1.0), 4))
        return {
            "thickness": [
                round(advice.minimum / top, 4),
                round(advice.aim / top, 4),
                round((advice.maximum or top) / top, 4),
                -1.0 if advice.thickness is None else round(min(advice.thickness / top, 1.0), 4),
            ],
            "speed": speeds,
        }
