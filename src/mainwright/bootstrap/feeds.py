"""Wires the feeds of live readings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from pathlib import Path

    from mainwright.feeds.inbox import BoundedInbox
    from mainwright.feeds.mapping import FeedMapping
    from mainwright.feeds.outlet import Desk
    from mainwright.workflow.live_ports import Clock, Feed, Notice

__all__ = ["new_inbox", "open_feed"]

_PASSWORD: Final = "MAINWRIGHT_MQTT_PASSWORD"  # noqa: S105 - the name of a variable


def new_inbox(capacity: int = 10_000) -> BoundedInbox:
    """Return the inbox that feeds fill and a run empties.

    Parameters
    ----------
    capacity : int
        Most readings that wait; full, it makes the senders wait. [-]

    Returns
    -------
    BoundedInbox
        Empty.
    """
    from mainwright.feeds.inbox import BoundedInbox

    return BoundedInbox(capacity)


def open_feed(spec: str, *, inbox: BoundedInbox, notice: Notice, clock: Clock | None = None, seed: int | None = None) -> Feed:
    """Return the feed that an argument of the command line names, not yet started.

    Parameters
    ----------
    spec : str
        ``replay:FILE[@SPEED]`` (a number, or ``max``; 1 where it is left out), ``csv:FILE`` (a ``run_<id>.csv`` that is being written), or the
        file of a mapping. [-]
    inbox : BoundedInbox
        Where readings go.
    notice : callable
        Takes signals, from the threads of the feeds.
    clock : callable, optional
        Time of day; the machine's where it is not given.
    seed : int, optional
        Of the chance in the waits between attempts. [-]

    Returns
    -------
    Feed
        One, though a mapping may describe several.

    Raises
    ------
    FaultyInput
        If a mapping has faults; all of them, with their lines.
    InputError
        If the argument is none of these, or its file is not there.
    """
    import time
    from datetime import UTC, datetime
    from pathlib import Path
    from random import Random

    from mainwright.errors import InputError
    from mainwright.feeds.outlet import Desk

    desk = Desk(inbox, clock or (lambda: datetime.now(UTC)), time.monotonic, notice, Random(seed))  # noqa: S311 - waits, no secrets
    kind, _, rest = spec.partition(":")
    if kind == "replay":
        return _replay(rest, desk)
    if kind == "csv" and rest:
        from mainwright.feeds.csv_tail import CsvTail
        from mainwright.feeds.mapping import CsvSource
        from mainwright.feeds.replay import run_mapping

        return CsvTail(run_mapping("csv", rest), CsvSource(rest, "auto", 0.1), desk)
    path = Path(spec)
    if not path.is_file():
        raise InputError("feed", spec, "", "replay:FILE[@SPEED], csv:FILE, or the file of a mapping")
    return _mapped(path, desk)


def _replay(rest: str, desk: Desk) -> Feed:
    import math
    from pathlib import Path

    from mainwright.errors import InputError
    from mainwright.feeds.replay import Replay

    file, at, written = rest.rpartition("@")
    if not at:
        file, written = rest, "1"
    try:
        speed = math.inf if written == "max" else float(written)
    except ValueError:
        # A name may have an @ of its own.
        file, speed = rest, 1.0
    if not Path(file).is_file():
        raise InputError("feed", f"replay:{rest}", "", "a file that is there, such as replay:records/run_R1.csv@10")
    return Replay(source="replay", path=file, speed=speed, desk=desk)


def _mapped(path: Path, desk: Desk) -> Feed:
    from mainwright.errors import FaultyInput
    from mainwright.feeds.group import FeedGroup
    from mainwright.feeds.mapping import feed_mappings
    from mainwright.folder.mapping_file import mapping_faults, read_mapping_file

    content, lines = read_mapping_file(path)
    try:
        mappings = feed_mappings(content)
    except FaultyInput as error:
        raise mapping_faults(error.faults, file=path.name, lines=lines) from None
    feeds = [_feed(mapping, path.parent, desk) for mapping in mappings]
    return feeds[0] if len(feeds) == 1 else FeedGroup(feeds)


def _feed(mapping: FeedMapping, beside: Path, desk: Desk) -> Feed:
    """Return one feed; the paths in a mapping are seen from the mapping."""
    import os
    from dataclasses import replace

    from mainwright.feeds.mapping import CsvSource, ModbusSource, MqttSource

    origin = mapping.origin
    if isinstance(origin, CsvSource):
        from mainwright.feeds.csv_tail import CsvTail

        return CsvTail(mapping, replace(origin, path=str(beside / origin.path)), desk)
    if isinstance(origin, MqttSource):
        from mainwright.feeds.mqtt import MqttFeed

        found = replace(origin, ca_file=str(beside / origin.ca_file) if origin.ca_file else "")
        return MqttFeed(mapping, found, desk, password=os.environ.get(_PASSWORD))
    if isinstance(origin, ModbusSource):
        from mainwright.feeds.modbus import ModbusFeed

        return ModbusFeed(mapping, origin, desk)
    from mainwright.feeds.serial_line import SerialFeed

    return SerialFeed(mapping, origin, desk)
