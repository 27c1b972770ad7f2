"""The mapping of feeds: which column, topic, register or field is which channel, with scale, offset and unit."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import timedelta, timezone
from typing import TYPE_CHECKING, Final, Literal

from mainwright.errors import FaultyInput
from mainwright.feeds.checking import Section
from mainwright.feeds.watch import ChannelLimits, WatchLimits
from mainwright.units import to_si
from mainwright.workflow.live_ports import CHANNELS, Channel

if TYPE_CHECKING:
    from mainwright.workflow.mapping import MappingFault

__all__ = [
    "ChannelRule",
    "CsvSource",
    "FeedMapping",
    "Framing",
    "ModbusSource",
    "MqttSource",
    "Place",
    "SerialSource",
    "TimeFormat",
    "TimeRule",
    "Word",
    "feed_mappings",
    "register_count",
]

Word = Literal["int16", "uint16", "int32", "uint32", "int64", "uint64", "float32", "float64"]
Framing = Literal["8N1", "8E1", "8O1", "8N2", "7E1", "7O1", "7N2"]
TimeFormat = Literal["iso", "unix_s", "unix_ms"]

_FRAMINGS: Final[tuple[Framing, ...]] = ("8N1", "8E1", "8O1", "8N2", "7E1", "7O1", "7N2")
_WORDS: Final = ("int16", "uint16", "int32", "uint32", "int64", "uint64", "float32", "float64")


@dataclass(frozen=True, slots=True)
class Place:
    """Where a number stands in what a sender says; each kind of feed uses the fields that are its own.

    Attributes
    ----------
    name
        CSV column, key of a JSON object (dotted; empty: the payload is the number), or named group of a pattern.
    topic
        MQTT topic.
    field
        Field of a sentence, from 1.
    table, register, word, high_word_first, high_byte_first
        Modbus: which table, address on the wire from 0, type of number, order of its registers and of the bytes in them.
    """

    name: str = ""
    topic: str = ""
    field: int = 0
    table: Literal["holding", "input"] = "holding"
    register: int = 0
    word: Word = "uint16"
    high_word_first: bool = True
    high_byte_first: bool = True


@dataclass(frozen=True, slots=True)
class ChannelRule:
    """A channel: where its raw number stands, and ``value in unit = raw * scale + offset``.

    Attributes
    ----------
    unit
        Unit of the scaled value.
    absent
        Raw numbers by which the sender says that it has no reading.
    optional
        Whether its place may be missing without a word.
    """

    channel: Channel
    place: Place
    unit: str
    scale: float = 1.0
    offset: float = 0.0
    absent: tuple[float, ...] = ()
    optional: bool = False

    def si(self, raw: float) -> float:
        """Return the value in SI of a raw number."""
        return to_si(raw * self.scale + self.offset, self.unit)


@dataclass(frozen=True, slots=True)
class TimeRule:
    """Where the sender's time stands, and how it is written; ``zone`` is for stamps that do not say theirs."""

    place: Place
    format: TimeFormat
    zone: timezone | None


@dataclass(frozen=True, slots=True)
class CsvSource:
    """A CSV file that is being written."""

    path: str
    decimal: Literal["auto", "point", "comma"]
    poll: float


@dataclass(frozen=True, slots=True)
class MqttSource:
    """A broker; ``window`` is how many messages it may send ahead of their acknowledgement, ``session`` how long it keeps ours [s].

    ``ca_file`` is the certificate that the broker's is signed by, empty for those that the machine trusts.
    """

    host: str
    port: int
    client: str
    user: str
    window: int
    session: float
    keep_alive: float
    tls: bool
    ca_file: str


@dataclass(frozen=True, slots=True)
class ModbusSource:
    """A Modbus TCP device that is asked every ``period`` [s]."""

    host: str
    port: int
    device: int
    period: float
    timeout: float


@dataclass(frozen=True, slots=True)
class SerialSource:
    """A serial line: sentences with a checksum, or lines that fit a pattern; ``framing`` is data bits, parity and stop bits."""

    port: str
    baud: int
    framing: Framing
    format: Literal["sentences", "pattern"]
    sentence: str
    checksum: Literal["required", "optional"]
    pattern: re.Pattern[str] | None


@dataclass(frozen=True, slots=True)
class FeedMapping:
    """One feed: where it comes from, its channels, and how it is watched.

    Attributes
    ----------
    source
        Name of the feed in the record.
    number, time
        Where the sender's number and time stand; None where it gives none.
    """

    source: str
    origin: CsvSource | MqttSource | ModbusSource | SerialSource
    channels: tuple[ChannelRule, ...]
    number: Place | None
    time: TimeRule | None
    limits: WatchLimits


def feed_mappings(document: Mapping[str, object]) -> tuple[FeedMapping, ...]:
    """Return the feeds that a mapping describes.

    Parameters
    ----------
    document : mapping
        What the TOML file holds. [-]

    Returns
    -------
    tuple of FeedMapping
        In order of the file.

    Raises
    ------
    FaultyInput
        If anything is wrong; it keeps every fault, as ``MappingFault`` with its dotted key.
    """
    faults: list[MappingFault] = []
    root = Section("", document, faults)
    found = []
    feeds = root.tables("feed")
    for section in feeds:
        made = _feed(section)
        if made is not None:
            found.append(made)
    root.close()
    seen: set[str] = set()
    for section in feeds:
        name = section.document.get("source")
        if isinstance(name, str) and name in seen:
            section.fault("source", "another feed is named {name} too: each has a name of its own", name=name)
        elif isinstance(name, str):
            seen.add(name)
    if faults:
        raise FaultyInput(faults)
    return tuple(found)


def _feed(section: Section) -> FeedMapping | None:
    before = len(section.faults)
    source = section.text("source")
    if source and re.fullmatch(r"[A-Za-z0-9_-]{1,40}", source) is None:
        section.fault("source", "{name} is no name: 1 to 40 letters, digits, _ and - are right", name=source)
    kind = section.choice("kind", ("csv", "mqtt", "modbus", "serial"))
    if kind == "":
        # Nothing else can be judged: which keys are right hangs on the kind.
        return None
    origin = _ORIGINS[kind](section)
    style = origin.format if isinstance(origin, SerialSource) else kind
    number_section = section.table("number", required=False)
    number = None
    if number_section is not None:
        number = _place(number_section, style, origin)
        number_section.close()
    # A row that is read again, after a break, must not look like a new one: only its own time tells.
    time = _time(section.table("time", required=style == "csv"), style, origin)
    if number is not None and (time is None or time.place.topic != number.topic):
        why = (
            "a number without the sender's time beside it is no name: a counter that begins anew would make new readings look like old ones"
        )
        section.fault("number", why)
    channels, limits = _channels(section, style, origin)
    silent = section.number("silent_s", default=10.0, above=0.0)
    clock = section.number("clock_s", default=5.0, above=0.0)
    section.close()
    if len(section.faults) > before:
        return None
    watched = WatchLimits(tuple(limits.items()), silent=silent, clock=clock, burst=1.0 if time is None else 0.0)
    return FeedMapping(source, origin, channels, number, time, watched)


def _csv(section: Section) -> CsvSource:
    return CsvSource(
        section.text("path"),
        section.choice("decimal", ("auto", "point", "comma"), default="auto"),
        section.number("poll_s", default=0.1, above=0.0, most=60.0),
    )


def _mqtt(section: Section) -> MqttSource:
    return MqttSource(
        section.text("host"),
        section.whole("port", default=1883, least=1, most=65535),
        section.text("client"),
        section.text("user", default=""),
        section.whole("window", default=200, least=1, most=65535),
        section.number("session_hours", default=168.0, above=0.0, most=8760.0) * 3600.0,
        float(section.whole("keep_alive_s", default=15, least=1, most=3600)),
        section.choice("tls", ("no", "yes"), default="no") == "yes",
        section.text("ca_file", default=""),
    )


def _modbus(section: Section) -> ModbusSource:
    return ModbusSource(
        section.text("host"),
        section.whole("port", default=502, least=1, most=65535),
        section.whole("device", default=1, least=0, most=255),
        section.number("period_s", default=1.0, above=0.0, most=3600.0),
        section.number("timeout_s", default=2.0, above=0.0, most=60.0),
    )


def _serial(section: Section) -> SerialSource:
    form: Literal["sentences", "pattern", ""] = section.choice("format", ("sentences", "pattern"))
    pattern = None
    if form == "pattern":
        written = section.text("pattern")
        try:
            pattern = re.compile(written)
        except re.error as error:
            section.fault("pattern", "it is no regular expression: {why}", why=str(error))
        sentence, checksum = "", "optional"
    else:
        sentence = section.text("sentence") if form else ""
        checksum = section.choice("checksum", ("required", "optional"), default="required") if form else "required"
    return SerialSource(
        section.text("port"),
        section.whole("baud", default=9600, least=50, most=4_000_000),
        section.choice("framing", _FRAMINGS, default="8N1"),
        form or "sentences",
        sentence,
        "optional" if checksum == "optional" else "required",
        pattern,
    )


_ORIGINS: Final[Mapping[str, Callable[[Section], "CsvSource | MqttSource | ModbusSource | SerialSource"]]] = {
    "csv": _csv,
    "mqtt": _mqtt,
    "modbus": _modbus,
    "serial": _serial,
}


def _place(section: Section, style: str, origin: object) -> Place:
    if style == "csv":
        return Place(name=section.text("column"))
    if style == "mqtt":
        topic = section.text("topic")
        if "+" in topic or "#" in topic:
            section.fault("topic", "{topic} stands for many topics: one topic is right", topic=topic)
        return Place(topic=topic, name=section.text("key", default=""))
    if style == "sentences":
        return Place(field=section.whole("field", least=1, most=100))
    if style == "pattern":
        name = section.text("group")
        pattern = origin.pattern if isinstance(origin, SerialSource) else None
        if name and pattern is not None and name not in pattern.groupindex:
            known = ", ".join(pattern.groupindex) or "none"
            section.fault("group", "the pattern has no group {name}; it has: {known}", name=name, known=known)
        return Place(name=name)
    word: Word = section.choice("type", _WORDS) or "uint16"
    words = register_count(word)
    return Place(
        table=section.choice("table", ("holding", "input"), default="holding"),
        register=section.whole("register", least=0, most=65536 - words),
        word=word,
        high_word_first=section.choice("word_order", ("high_first", "low_first"), default="high_first") == "high_first",
        high_byte_first=section.choice("byte_order", ("high_first", "low_first"), default="high_first") == "high_first",
    )


def register_count(word: Word) -> int:
    """Return how many registers a number of this type takes."""
    return int(word.lstrip("uintfloa")) // 16


def _time(section: Section | None, style: str, origin: object) -> TimeRule | None:
    if section is None:
        return None
    place = _place(section, style, origin)
    form: TimeFormat | Literal[""] = section.choice("format", ("iso", "unix_s", "unix_ms"))
    if style == "modbus" and form == "iso":
        section.fault("format", "registers hold no text: unix_s or unix_ms is right")
    zone = None
    written = section.text("offset_from_utc", default="")
    if written:
        parts = re.fullmatch(r"([+-])(\d\d):(\d\d)", written)
        if parts is None or int(parts[2]) > 14 or int(parts[3]) > 59:
            section.fault("offset_from_utc", "{value} is no offset: +01:00 is right", value=written)
        else:
            size = timedelta(hours=int(parts[2]), minutes=int(parts[3]))
            zone = timezone(-size if parts[1] == "-" else size)
    section.close()
    return TimeRule(place, form or "iso", zone)


def _channels(section: Section, style: str, origin: object) -> tuple[tuple[ChannelRule, ...], dict[Channel, ChannelLimits]]:
    rules: list[ChannelRule] = []
    limits: dict[Channel, ChannelLimits] = {}
    tables = section.table("channels", required=True)
    if tables is None:
        return (), {}
    if not tables.document:
        section.fault("channels", "no channel is mapped: at least one of {known} is right", known=", ".join(CHANNELS))
    for name in CHANNELS:
        channel = tables.table(name, required=False)
        if channel is None:
            continue
        place = _place(channel, style, origin)
        unit = channel.choice("unit", CHANNELS[name])
        scale = channel.number("scale", default=1.0)
        if scale == 0.0:
            channel.fault("scale", "it is zero: then every reading would be the same")
        offset = channel.number("offset", default=0.0)
        rules.append(ChannelRule(name, place, unit or CHANNELS[name][0], scale, offset, channel.numbers("absent")))
        limits[name] = _limits(channel, name, unit or CHANNELS[name][0])
        channel.close()
    tables.close(CHANNELS)
    return tuple(rules), limits


def _limits(section: Section, channel: Channel, unit: str) -> ChannelLimits:
    """Return how a channel is watched; what the file does not say is what is assumed for the channel."""
    assumed = ChannelLimits.assumed(channel)
    # A difference has no zero of its own: the offset of a unit does not enter the rate.
    factor = to_si(1.0, unit) - to_si(0.0, unit)
    least = section.maybe_number("least")
    most = section.maybe_number("most")
    if least is not None and most is not None and least >= most:
        section.fault("least", "it is not under most")
    rate = section.maybe_number("most_per_s", above=0.0)
    frozen = section.maybe_number("frozen_s", above=0.0)
    return ChannelLimits(
        least=assumed.least if least is None else to_si(least, unit),
        most=assumed.most if most is None else to_si(most, unit),
        rate=assumed.rate if rate is None else rate * factor,
        frozen=assumed.frozen if frozen is None else frozen,
    )
