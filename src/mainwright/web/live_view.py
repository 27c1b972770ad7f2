"""The screen in the van in words: every place of the page by its name, as one reader reads it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from mainwright.figures.live_strip import Asked, live_strip
from mainwright.web.live_words import ALARM_SHOWN, ALARMS, PHASES, SIGNALS
from mainwright.words.message import Message, message

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mainwright.line.advice import Advice
    from mainwright.line.run_plan import RunPlan
    from mainwright.line.state import Alarm
    from mainwright.words.wording import Wording
    from mainwright.workflow.live_ports import ConnectionOnScreen, FeedStatus, Screen

__all__ = ["view_of"]

_DASH: Final = "–"
_SHOWN: Final = 4
"""Connections and batches that are told at once; the next ones."""

_JUST_NOW: Final = 30.0
"""Nearer than this is now. [s]"""

_View = dict[str, object]


def view_of(screen: Screen, plan: RunPlan, say: Wording) -> _View:
    """Return what stands at each place of the page.

    Parameters
    ----------
    screen : Screen
        The run at one moment. [-]
    plan : RunPlan
        What it was meant to be. [-]
    say : Wording
        Of the reader. [-]

    Returns
    -------
    dict
        Texts by the names of the places, states, alarms, connections, and the strip as SVG.
    """
    words = _Words(say)
    advice = screen.advice
    unseen = [one for one in screen.alarms if one.acknowledged is None]
    return {
        "event": screen.event,
        "now": screen.now,
        "phase": screen.phase,
        "texts": {
            "phase": say.word(PHASES[screen.phase]) if screen.phase in PHASES else screen.phase,
            **_head(words, screen, advice),
            **_mortar(words, screen),
            "disk": say.word(message("{n} of {of} on disk", n=screen.durable, of=screen.event)),
            "charge": say.text("nobody in charge")
            if screen.in_charge is None
            else say.word(message("in charge: {who}", who=screen.in_charge)),
            "cover": say.text("the head's own air or speed is read: cover is watched")
            if screen.cover_proved
            else say.text("neither air nor speed of the head is read: litres are right or wrong, cover is not proved"),
            "trouble": "" if screen.trouble is None else say.word(screen.trouble),
        },
        "states": {
            "thickness": _state(advice),
            "disk": "bad" if screen.trouble is not None else "good" if screen.durable == screen.event else "watch",
            "speed": _speed_state(advice),
        },
        "in_charge": screen.in_charge,
        "alarms": [
            words.alarm(one, screen.now) for one in sorted(screen.alarms, key=lambda one: (one.acknowledged is not None, one.since))
        ],
        "sound": any(one.active for one in unseen),
        "connections": [words.connection(one, screen.now) for one in _next(screen.connections)],
        "open_connections": [{"chainage": one.chainage, "text": words.place(one)} for one in screen.connections if one.cleared is None],
        "feeds": [words.feed(one) for one in screen.feeds if one.readings or one.signals or one.connected is not None],
        "strip": _strip(screen, plan, say, width=1000.0),
        "strip_narrow": _strip(screen, plan, say, width=380.0),
    }


def _strip(screen: Screen, plan: RunPlan, say: Wording, *, width: float) -> str:
    points = list(zip(screen.strip.chainages, screen.strip.thicknesses, screen.strip.deviations, strict=True))
    head = None if screen.advice is None else screen.advice.chainage
    return live_strip(_asked(plan), points=points, head=head, reader=say, width=width)


def _asked(plan: RunPlan) -> list[Asked]:
    found = []
    for one in plan.lengths:
        first, last = sorted((plan.chainage(one.start), plan.chainage(one.end)))
        found.append(Asked(first, last, one.aim, one.minimum, one.maximum))
    return sorted(found, key=lambda one: one.start)


def _state(advice: Advice | None) -> str:
    if advice is None or advice.thickness is None:
        return "none"
    if advice.thickness < advice.minimum:
        return "bad"
    if advice.maximum is not None and advice.thickness > advice.maximum:
        return "bad"
    return "good"


def _speed_state(advice: Advice | None) -> str:
    if advice is None or advice.speed is None or advice.speed_low is None or advice.speed_high is None:
        return "none"
    return "good" if advice.speed_low <= advice.speed <= advice.speed_high else "watch"


def _next(found: Sequence[ConnectionOnScreen]) -> list[ConnectionOnScreen]:
    waiting = [one for one in found if one.cleared is None]
    return sorted(waiting, key=lambda one: math.inf if one.latest is None else one.latest)[:_SHOWN]


def _head(words: _Words, screen: Screen, advice: Advice | None) -> dict[str, str]:
    say = words.say
    empty = dict.fromkeys(("thickness", "band", "trend", "change", "change_why", "speed", "chainage", "bore", "end"), _DASH)
    if advice is None:
        return empty
    most = "" if advice.maximum is None else f" {_DASH} {say.quantity(advice.maximum, 'mm', 1)}"
    band = (
        f"{say.quantity(advice.minimum, 'mm', 1)}{most}"
        if most
        else say.word(message("at least {low}", low=say.quantity(advice.minimum, "mm", 1)))
    )
    found = {
        "thickness": words.known(advice.thickness, "mm", 1),
        "band": say.word(message("band {band}, aim {aim}", band=band, aim=say.quantity(advice.aim, "mm", 1))),
        "trend": words.trend(advice.trend),
        "change": words.known(advice.change_to, "m_min", 2),
        "change_why": words.change(advice),
        "speed": words.known(advice.speed, "m_min", 2),
        "chainage": say.quantity(advice.chainage, "m", 1),
        "bore": say.text("none ahead")
        if advice.to_next_bore is None
        else say.word(message("in {length}", length=say.quantity(advice.to_next_bore, "m", 1))),
        "end": say.word(message("{length} to go", length=say.quantity(advice.to_end, "m", 1)))
        + ("" if advice.end_in is None else f", {words.minutes(advice.end_in)}"),
    }
    return empty | found


def _mortar(words: _Words, screen: Screen) -> dict[str, str]:
    say = words.say
    poured = [one for one in screen.batches if one.mixing is not None]
    coming = next((one for one in screen.batches if one.mixing is None), None)
    age = _DASH
    if screen.age_at_head is not None:
        age = words.minutes(screen.age_at_head)
        if screen.usable is not None:
            age = say.word(message("{age} of {usable}", age=age, usable=words.minutes(screen.usable)))
    batch = say.text("none planned") if not screen.batches else say.word(message("all {n} poured", n=len(poured)))
    if coming is not None:
        batch = say.word(message("{number} of {n}", number=coming.number, n=len(screen.batches)))
        if coming.due is not None:
            batch += ", " + words.until(coming.due - screen.now)
    stock = _DASH if screen.in_stock is None else say.quantity(max(screen.in_stock, 0.0), "l", 0)
    dry = say.text("lasts to the end of the run") if screen.in_stock is not None else _DASH
    if screen.dry_at is not None:
        dry = say.word(message("runs out at {where}", where=say.quantity(screen.dry_at, "m", 1)))
    return {
        "age": age,
        "batch": batch,
        "stock": stock,
        "dry": dry,
        "pumped": say.quantity(screen.pumped, "l", 0),
        "pressure": _DASH
        if screen.pressure is None
        else say.quantity(screen.pressure, "bar", 1)
        + ("" if screen.pressure_max is None else f" / {say.quantity(screen.pressure_max, 'bar', 0)}"),
    }


class _Words:
    """How one reader reads times, speeds and alarms."""

    def __init__(self, say: Wording) -> None:
        self.say = say

    def known(self, value: float | None, unit: str, digits: int) -> str:
        return _DASH if value is None else self.say.quantity(value, unit, digits)

    def minutes(self, seconds: float) -> str:
        return self.say.quantity(max(seconds, 0.0), "minutes", 0)

    def until(self, seconds: float) -> str:
        if abs(seconds) < _JUST_NOW:
            return self.say.text("just now")
        if seconds < 0.0:
            return self.say.word(message("{time} ago", time=self.minutes(-seconds)))
        return self.say.word(message("in {length}", length=self.minutes(seconds)))

    def trend(self, trend: float | None) -> str:
        if trend is None:
            return ""
        size = self.say.quantity(abs(trend), "mm", 1)
        if abs(trend) < 0.00005:
            return self.say.text("steady")
        return self.say.word(message("rising by {size}", size=size) if trend > 0.0 else message("falling by {size}", size=size))

    def change(self, advice: Advice) -> str:
        if advice.change_to is None or advice.speed_low is None or advice.speed_high is None:
            return self.say.text("no advice yet: pump and odometer are needed")
        low, high = self.say.measure(advice.speed_low, "m_min", 2), self.say.quantity(advice.speed_high, "m_min", 2)
        if advice.speed is None:
            told = message("keep within {low} to {high}", low=low, high=high)
        elif advice.speed < advice.speed_low:
            told = message("faster: within {low} to {high}", low=low, high=high)
        elif advice.speed > advice.speed_high:
            told = message("slower: within {low} to {high}", low=low, high=high)
        else:
            told = message("good: within {low} to {high}", low=low, high=high)
        return self.say.word(told)

    def alarm(self, one: Alarm, now: float) -> dict[str, object]:
        text = self.say.word(ALARMS[one.code]) if one.code in ALARMS else one.code
        unit, digits = ALARM_SHOWN.get(one.code, ("", 0))
        if unit:
            text += f" ({self.say.quantity(one.value, unit, digits)})"
        where = self.say.word(
            message("at {where}, {when}", where=self.say.quantity(one.chainage, "m", 1), when=self.until(one.since - now))
        )
        return {"code": one.code, "text": text, "where": where, "active": one.active, "seen": one.acknowledged}

    def place(self, one: ConnectionOnScreen) -> str:
        where = self.say.quantity(one.chainage, "m", 1)
        return where if one.ref is None else f"{one.ref}, {where}"

    def connection(self, one: ConnectionOnScreen, now: float) -> dict[str, object]:
        if one.latest is None:
            told: Message = message("no countdown: the mortar's minutes were not tested")
            return {"text": self.place(one), "when": self.say.word(told), "state": "none"}
        left = one.latest - now
        if one.earliest is not None and now < one.earliest:
            when = self.say.word(message("not before {time}", time=self.minutes(one.earliest - now)))
            return {"text": self.place(one), "when": when, "state": "none"}
        if left < 0.0:
            return {"text": self.place(one), "when": self.say.word(message("{time} too late", time=self.minutes(-left))), "state": "bad"}
        when = self.say.word(message("{time} left", time=self.minutes(left)))
        return {"text": self.place(one), "when": when, "state": "watch" if left < 900.0 else "good"}

    def feed(self, one: FeedStatus) -> dict[str, object]:
        signals = [self.say.word(SIGNALS[signal.kind]) for signal in one.signals if signal.kind in SIGNALS]
        state = "bad" if one.connected is False else "watch" if signals else "good"
        text = self.say.word(message("{n} readings", n=one.readings))
        return {"source": one.source, "text": ", ".join([text, *dict.fromkeys(signals)]), "state": state}
