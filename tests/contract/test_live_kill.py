"""The whole program is killed at random moments while readings arrive through a real broker: none is lost, none is doubled, the run goes on."""

import json
import os
import random
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from mainwright.store.store import DatabaseStore
from mainwright.units import to_si
from mainwright.workflow.run_records import follow_again
from tests.contract.feed_peers import MOSQUITTO, MqttPeer
from tests.unit.cli.helpers import write_job

RATE = 200.0
"""Readings a second."""

FLOW = 20.0
"""Of each, l/min."""

STEP = 0.0005
"""Way from one to the next, m."""

MAPPING = """[[feed]]
source = "rig"
kind = "mqtt"
host = "127.0.0.1"
port = {port}
client = "van"
[feed.number]
topic = "rig/run"
key = "n"
[feed.time]
topic = "rig/run"
key = "t"
format = "iso"
[feed.channels.odometer]
topic = "rig/run"
key = "way"
unit = "m"
[feed.channels.flow]
topic = "rig/run"
key = "flow"
unit = "l_min"
"""


BEGIN = datetime(2026, 4, 13, 8, 0, tzinfo=UTC)


def payload(number: int) -> bytes:
    moment = BEGIN + timedelta(seconds=number / RATE)
    return json.dumps({"n": number, "t": moment.isoformat(), "way": STEP * number, "flow": FLOW}).encode()


class Sender:
    """Publishes numbered readings at an even pace, each at QoS 1."""

    def __init__(self, port: int) -> None:
        self.port = port
        self.sent = 1
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._work, daemon=True)

    def _work(self) -> None:
        from paho.mqtt import client as paho
        from paho.mqtt.enums import CallbackAPIVersion

        client = paho.Client(CallbackAPIVersion.VERSION2, client_id="rig")
        client.connect("127.0.0.1", self.port)
        client.loop_start()
        begun = time.monotonic()
        told = []
        while not self._stop.is_set():
            due = int((time.monotonic() - begun) * RATE)
            while self.sent < due:
                told.append(client.publish("rig/run", payload(self.sent), qos=1))
                self.sent += 1
            time.sleep(0.004)
        for one in told:
            one.wait_for_publish(10.0)
        client.disconnect()
        client.loop_stop()

    def __enter__(self) -> "Sender":
        self._thread.start()
        return self

    def __exit__(self, *unused: object) -> None:
        self.stop()

    def stop(self) -> None:
        self._stop.set()
        self._thread.join(20.0)


@contextmanager
def line(folder: Path, mapping: Path, store: str, said: Path) -> Iterator[subprocess.Popen[bytes]]:
    arguments = [sys.executable, "-m", "mainwright", "line", str(folder), "R01", "--feed", str(mapping), "--who", "van", "--no-page"]
    with said.open("ab") as out:
        process = subprocess.Popen(  # noqa: S603
            arguments, stdin=subprocess.DEVNULL, stdout=out, stderr=out, env={**os.environ, "MAINWRIGHT_STORE": store}
        )
    try:
        yield process
    finally:
        if process.poll() is None:
            process.kill()
        process.wait(10)


def opened(store: str) -> DatabaseStore:
    return DatabaseStore(store, clock=lambda: BEGIN)


def kept_numbers(store: str) -> list[int]:
    """Return which readings are on disk, by their way, in the order of the log."""
    with opened(store) as there:
        runs = there.log.runs()
        return (
            [round(float(entry.values["odometer"] or 0.0) / STEP) for entry in there.log.entries(runs[0]) if entry.kind == "reading"]
            if runs
            else []
        )


def wait_for(
    condition: Callable[[], bool], process: subprocess.Popen[bytes], said: Path, *, seconds: float = 120.0, every: float = 0.02
) -> None:
    until = time.monotonic() + seconds
    while not condition():
        assert process.poll() is None, said.read_text(encoding="utf-8")
        assert time.monotonic() < until, said.read_text(encoding="utf-8")[-2000:]
        time.sleep(every)


def kill(process: subprocess.Popen[bytes]) -> None:
    process.send_signal(signal.SIGKILL)
    process.wait(10)


def kill_often(folder: Path, mapping: Path, store: str, said: Path, *, kills: int) -> None:
    """Start the program and kill it, again and again: one in five while it starts, the others after it has taken readings for a while."""
    chance = random.Random(20260413)
    for _ in range(kills):
        begun = said.read_bytes().count(b"ends the program")
        with line(folder, mapping, store, said) as process:
            if chance.random() < 0.2:
                time.sleep(chance.uniform(0.0, 2.0))
            else:
                wait_for(lambda before=begun: said.read_bytes().count(b"ends the program") > before, process, said)  # type: ignore[misc]
                time.sleep(chance.uniform(0.0, 0.8))
            assert process.poll() is None, said.read_text(encoding="utf-8")
            kill(process)


@pytest.mark.skipif(MOSQUITTO is None, reason="mosquitto is not installed")
def test_killed_at_random_moments_no_reading_is_lost_or_doubled_and_the_run_goes_on(
    store_place: str, tmp_path: Path, full_size: bool
) -> None:
    folder, mapping, said = write_job(tmp_path / "job"), tmp_path / "rig.toml", tmp_path / "said.txt"
    said.touch()
    peer = MqttPeer(tmp_path)
    peer.open()
    try:
        mapping.write_text(MAPPING.format(port=peer.broker.port), encoding="utf-8")
        # The first start makes the lasting session at the broker.
        with line(folder, mapping, store_place, said) as process:
            wait_for(lambda: b"ends the program" in said.read_bytes(), process, said)
            time.sleep(1.0)
            peer.publish([payload(0)])
            wait_for(lambda: kept_numbers(store_place) == [0], process, said, every=0.2)
            kill(process)
        with Sender(peer.broker.port) as sender:
            kill_often(folder, mapping, store_place, said, kills=200 if full_size else 20 if store_place.endswith("sqlite") else 6)
            sender.stop()
            met = len(kept_numbers(store_place))
            with line(folder, mapping, store_place, said) as process:
                wait_for(lambda: len(kept_numbers(store_place)) >= sender.sent, process, said, seconds=400.0, every=2.0)
                process.send_signal(signal.SIGINT)
                assert process.wait(60) == 130, said.read_text(encoding="utf-8")
    finally:
        peer.close()
    assert met > 100, "no kill met the program at work"
    assert sorted(kept_numbers(store_place)) == list(range(sender.sent))
    with opened(store_place) as there:
        (key,) = there.log.runs()
        state = follow_again(there.log, key).state
    assert state.deposit.readings == sender.sent
    assert state.deposit.way == pytest.approx(STEP * (sender.sent - 1), abs=1e-6)
    assert state.deposit.pumped == pytest.approx(to_si(FLOW, "l_min") * (sender.sent - 1) / RATE, rel=1e-6)
    rows = (folder / "records" / "run_R01.csv").read_text(encoding="utf-8").splitlines()
    assert len(rows) == sender.sent + 1
