"""The other ends of the feeds, all of them real: a writing process, a broker, a device, a line, a file."""

import asyncio
import contextlib
import json
import os
import shutil
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Sequence
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from mainwright.feeds.csv_tail import CsvTail
from mainwright.feeds.mapping import CsvSource, ModbusSource, MqttSource, SerialSource
from mainwright.feeds.modbus import ModbusFeed
from mainwright.feeds.mqtt import MqttFeed
from mainwright.feeds.replay import Replay
from mainwright.feeds.serial_line import SerialFeed
from mainwright.workflow.live_ports import Feed
from tests.unit.feeds.rig import NOON, Bench, csv_mapping, mapped, until

MOSQUITTO = shutil.which("mosquitto") or shutil.which("/usr/sbin/mosquitto")

Row = tuple[float, float]
"""Way [m] and flow [l/min]."""


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


class Peer:
    """One other end, and what is peculiar to it."""

    polled = False
    """It is asked: what it says it says over and over, and what it said between two questions nobody knows."""
    ends = False
    """It comes to its end by itself."""
    breaks = True
    """Its connection can break."""
    faulty = True
    """It can send what cannot be read."""
    sign_of_break = "lost"
    """The signal by which one knows that its connection broke."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def prepare(self, rows: Sequence[Row]) -> None:
        """Have ready what there is before the feed starts."""

    def open(self) -> None:
        """Begin to be there."""

    def close(self) -> None:
        """Be gone."""

    def feed(self, bench: Bench) -> Feed:
        raise NotImplementedError

    def send(self, rows: Sequence[Row]) -> None:
        raise NotImplementedError

    def send_rubbish(self) -> None:
        """Send something that is no reading."""
        raise NotImplementedError

    def cut(self) -> None:
        """Break the connection."""
        self.close()

    def mend(self) -> None:
        """Be there again, at the same place."""
        self.open()


WRITER = """
import sys, time
for line in sys.stdin.buffer:
    with open(sys.argv[1], "ab") as file:
        half = len(line) // 2
        file.write(line[:half]); file.flush()
        time.sleep(0.001)
        file.write(line[half:]); file.flush()
"""


class CsvPeer(Peer):
    """A process that writes a file line by line, each in two halves."""

    sign_of_break = "rotated"

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.path = folder / "rig.csv"
        self.count = 0
        self.process: subprocess.Popen[bytes] | None = None

    def open(self) -> None:
        self.process = subprocess.Popen([sys.executable, "-c", WRITER, str(self.path)], stdin=subprocess.PIPE)  # noqa: S603
        self._write(b"time;way;flow\r\n")
        until(self.path.exists)

    def close(self) -> None:
        if self.process is not None and self.process.stdin is not None:
            self.process.stdin.close()
            self.process.wait(10)
            self.process = None

    def _write(self, text: bytes) -> None:
        assert self.process is not None
        assert self.process.stdin is not None
        self.process.stdin.write(text)
        self.process.stdin.flush()

    def feed(self, bench: Bench) -> Feed:
        mapping = csv_mapping(self.path)
        assert isinstance(mapping.origin, CsvSource)
        return CsvTail(mapping, mapping.origin, bench.desk)

    def send(self, rows: Sequence[Row]) -> None:
        for way, flow in rows:
            moment = NOON + timedelta(seconds=self.count)
            self.count += 1
            self._write(f"{moment.isoformat()};{way!r};{flow!r}\r\n".replace(".", ",").encode())

    def send_rubbish(self) -> None:
        self._write(b"\xff\xfe;;\r\n")

    def cut(self) -> None:
        self.close()
        self.path.rename(self.folder / "rig.csv.1")

    def mend(self) -> None:
        self.open()


class Broker:
    """A mosquitto of its own; what it keeps it keeps on disk, so that it can be stopped and started."""

    def __init__(self, folder: Path) -> None:
        if MOSQUITTO is None:
            pytest.skip("mosquitto is not installed")
        self.port = free_port()
        self.folder = folder
        self.process: subprocess.Popen[bytes] | None = None
        (folder / "mosquitto.conf").write_text(
            f"listener {self.port} 127.0.0.1\nallow_anonymous true\npersistence true\npersistence_location {folder}/\nuser {_user()}\n"
            "max_queued_messages 0\nlog_type error\n"
        )

    def start(self) -> None:
        assert MOSQUITTO is not None
        self.process = subprocess.Popen(  # noqa: S603
            [MOSQUITTO, "-c", str(self.folder / "mosquitto.conf")], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        until(self._listens)

    def _listens(self) -> bool:
        with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", self.port), 0.2):
            return True
        return False

    def stop(self) -> None:
        """Let it write down what it keeps, and end."""
        if self.process is not None:
            self.process.terminate()
            self.process.wait(10)
            self.process = None


def _user() -> str:
    import getpass

    return getpass.getuser()


class MqttPeer(Peer):
    """A sender behind a broker: it counts its messages and says when it measured."""

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.broker = Broker(folder)
        self.count = 0

    def open(self) -> None:
        self.broker.start()

    def close(self) -> None:
        self.broker.stop()

    def feed(self, bench: Bench, *, window: int = 50, keep_alive: int = 15) -> MqttFeed:
        mapping = mapped(
            f"""
            [[feed]]
            source = "rig"
            kind = "mqtt"
            host = "127.0.0.1"
            port = {self.broker.port}
            client = "van"
            window = {window}
            keep_alive_s = {keep_alive}
            [feed.number]
            topic = "rig/run"
            key = "n"
            [feed.time]
            topic = "rig/run"
            key = "t"
            format = "iso"
            [feed.channels.odometer]
            topic = "rig/run"
            key = "way.m"
            unit = "m"
            [feed.channels.flow]
            topic = "rig/run"
            key = "flow"
            unit = "l_min"
            """
        )
        assert isinstance(mapping.origin, MqttSource)
        return MqttFeed(mapping, mapping.origin, bench.desk)

    def send(self, rows: Sequence[Row]) -> None:
        payloads = []
        for way, flow in rows:
            moment = NOON + timedelta(seconds=self.count)
            payloads.append(json.dumps({"n": self.count, "t": moment.isoformat(), "way": {"m": way}, "flow": flow}).encode())
            self.count += 1
        self.publish(payloads)

    def send_rubbish(self) -> None:
        self.publish([b"\xff\xfe", b"[1, 2", b'{"n": 1}'])

    def publish(self, payloads: Sequence[bytes], *, topic: str = "rig/run") -> None:
        """Publish at QoS 1 and return when the broker has everything."""
        from paho.mqtt import client as paho
        from paho.mqtt.enums import CallbackAPIVersion

        client = paho.Client(CallbackAPIVersion.VERSION2, client_id="rig")
        client.connect("127.0.0.1", self.broker.port)
        client.loop_start()
        try:
            for told in [client.publish(topic, payload, qos=1) for payload in payloads]:
                told.wait_for_publish(10.0)
                assert told.is_published()
        finally:
            client.disconnect()
            client.loop_stop()


class ModbusPeer(Peer):
    """A device: way as float32 with the low word first in holding registers 10 and 11, flow in hundredths of l/min in input register 7."""

    polled = True

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.port = free_port()
        self.thread: threading.Thread | None = None
        self.loop: asyncio.AbstractEventLoop | None = None
        self.server: Any = None
        self.holding = [0] * 4
        self.input = [0] * 2
        self.refuses = False

    def open(self) -> None:
        ready = threading.Event()

        async def serve() -> None:
            from pymodbus.constants import ExcCodes
            from pymodbus.server import ModbusTcpServer
            from pymodbus.simulator import DataType, SimData, SimDevice

            async def act(code: int, *request: Any) -> ExcCodes | None:  # noqa: ANN401 - as the server calls it
                if self.refuses:
                    return ExcCodes.DEVICE_BUSY
                registers = request[3]
                registers[:] = (self.holding if code == 3 else self.input)[: len(registers)]
                return None

            def block(address: int, count: int) -> list[SimData]:
                return [SimData(address, count=count, values=0, datatype=DataType.REGISTERS)]

            device = SimDevice(
                1, simdata=([SimData(0, values=False, datatype=DataType.BITS)],) * 2 + (block(10, 4), block(7, 2)), action=act
            )
            self.loop = asyncio.get_running_loop()
            self.server = ModbusTcpServer(device, address=("127.0.0.1", self.port))
            await self.server.serve_forever(background=True)
            ready.set()
            self.over = asyncio.Event()
            await self.over.wait()
            await self.server.shutdown()

        self.thread = threading.Thread(target=asyncio.run, args=(serve(),), daemon=True)
        self.thread.start()
        assert ready.wait(10.0)

    def close(self) -> None:
        if self.thread is not None and self.loop is not None:
            self.loop.call_soon_threadsafe(self.over.set)
            self.thread.join(10.0)
            self.thread = None

    def feed(self, bench: Bench) -> Feed:
        mapping = mapped(
            f"""
            [[feed]]
            source = "rig"
            kind = "modbus"
            host = "127.0.0.1"
            port = {self.port}
            period_s = 0.01
            timeout_s = 1.0
            [feed.channels.odometer]
            register = 10
            type = "float32"
            word_order = "low_first"
            unit = "m"
            [feed.channels.flow]
            table = "input"
            register = 7
            type = "uint16"
            scale = 0.01
            unit = "l_min"
            """
        )
        assert isinstance(mapping.origin, ModbusSource)
        return ModbusFeed(mapping, mapping.origin, bench.desk)

    def send(self, rows: Sequence[Row]) -> None:
        import struct

        for way, flow in rows:
            high, low = struct.unpack(">HH", struct.pack(">f", way))
            self.input[:] = [round(flow * 100.0), 0]
            self.holding[:] = [low, high, 0, 0]
            time.sleep(0.05)

    def send_rubbish(self) -> None:
        self.refuses = True
        time.sleep(0.1)
        self.refuses = False


class SerialPeer(Peer):
    """A line with sentences, at a name that stays."""

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.path = folder / "ttyRig"
        self.line: tuple[int, int] | None = None

    def open(self) -> None:
        self.line = os.openpty()
        self.path.symlink_to(os.ttyname(self.line[1]))

    def close(self) -> None:
        if self.line is not None:
            self.path.unlink()
            for end in self.line:
                os.close(end)
            self.line = None

    def feed(self, bench: Bench) -> Feed:
        mapping = mapped(
            f"""
            [[feed]]
            source = "rig"
            kind = "serial"
            port = "{self.path}"
            format = "sentences"
            sentence = "RGRUN"
            [feed.channels.odometer]
            field = 1
            unit = "m"
            [feed.channels.flow]
            field = 2
            unit = "l_min"
            """
        )
        assert isinstance(mapping.origin, SerialSource)
        return SerialFeed(mapping, mapping.origin, bench.desk)

    def _write(self, text: bytes) -> None:
        assert self.line is not None
        os.write(self.line[0], text)

    def send(self, rows: Sequence[Row]) -> None:
        # The rest of something, as where one begins to listen in the middle.
        self._write(b"27,30.0*11\r\n")
        for way, flow in rows:
            self._write(sentence(f"RGRUN,{way!r},{flow!r}"))

    def send_rubbish(self) -> None:
        self._write(b"\r\n" + sentence("RGRUN,1.0,2.0").replace(b"1.0", b"7.0") + b"\xff\xff\xff\r\n" + sentence("RGSYS,OK"))


def sentence(body: str) -> bytes:
    checksum = 0
    for character in body.encode():
        checksum ^= character
    return f"${body}*{checksum:02X}\r\n".encode()


class ReplayPeer(Peer):
    """A file of readings that is whole before the feed begins."""

    ends = True
    breaks = False
    faulty = False

    def prepare(self, rows: Sequence[Row]) -> None:
        lines = ["time,odometer_m,flow_l_min"]
        lines += [f"{(NOON + timedelta(seconds=n)).isoformat()},{way!r},{flow!r}" for n, (way, flow) in enumerate(rows)]
        (self.folder / "run_R1.csv").write_text("\n".join(lines))

    def feed(self, bench: Bench) -> Feed:
        return Replay(source="rig", path=str(self.folder / "run_R1.csv"), speed=float("inf"), desk=bench.desk)

    def send(self, rows: Sequence[Row]) -> None:
        """Nothing more is sent: it was in the file."""


PEERS: dict[str, type[Peer]] = {
    "csv": CsvPeer,
    "mqtt": MqttPeer,
    "modbus": ModbusPeer,
    "serial": SerialPeer,
    "replay": ReplayPeer,
}


@contextlib.contextmanager
def present(peer: Peer) -> Iterator[Peer]:
    peer.open()
    try:
        yield peer
    finally:
        peer.close()
