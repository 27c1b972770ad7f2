"""Modbus TCP: a device that is asked for its registers, over and over, at an even period."""

import struct
import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from mainwright.feeds.decode import Raw, decode
from mainwright.feeds.mapping import FeedMapping, ModbusSource, Place, register_count
from mainwright.feeds.outlet import Desk, Outlet
from mainwright.feeds.runner import Runner
from mainwright.feeds.unreadable import Unreadable
from mainwright.words.message import Message, message

if TYPE_CHECKING:
    from pymodbus.client import ModbusTcpClient

__all__ = ["Block", "ModbusFeed", "blocks", "register_value"]

_MOST: Final = 125
"""Registers that one request may ask for, by the protocol."""

_FORMATS: Final = {
    "int16": "h", "uint16": "H", "int32": "i", "uint32": "I", "int64": "q", "uint64": "Q", "float32": "f", "float64": "d",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Block:
    """Registers that are asked for at once."""

    table: Literal["holding", "input"]
    first: int
    count: int


def blocks(places: Sequence[Place]) -> tuple[Block, ...]:
    """Return the requests that bring every place, none of them cut in two and no register between them that nobody asked for.

    Parameters
    ----------
    places : sequence of Place
        Where numbers stand. [-]

    Returns
    -------
    tuple of Block
        Neighbours together, so that they are of one moment. [-]
    """
    found: list[Block] = []
    for place in sorted(places, key=lambda place: (place.table, place.register)):
        end = place.register + register_count(place.word)
        last = found[-1] if found else None
        if last is not None and last.table == place.table and place.register <= last.first + last.count and end - last.first <= _MOST:
            found[-1] = Block(last.table, last.first, max(last.count, end - last.first))
        else:
            found.append(Block(place.table, place.register, end - place.register))
    return tuple(found)


def register_value(registers: Sequence[int], place: Place) -> float:
    """Return the number that registers hold.

    Parameters
    ----------
    registers : sequence of int
        As they came, each 0 to 65535. [-]
    place : Place
        Says type, order of the registers and of the bytes in them. [-]

    Returns
    -------
    float
        The number as the device means it, not yet scaled.

    Examples
    --------
    >>> register_value([0xFFFF, 0xFFFE], Place(word="int32"))
    -2.0
    """
    ordered = registers if place.high_word_first else registers[::-1]
    raw = b"".join(word.to_bytes(2, "big" if place.high_byte_first else "little") for word in ordered)
    (value,) = struct.unpack(">" + _FORMATS[place.word], raw)
    return float(value)


class ModbusFeed:
    """Asks a device for its registers.

    Parameters
    ----------
    mapping : FeedMapping
        With a `ModbusSource`.
    origin : ModbusSource
        The device.
    desk : Desk
        Where readings and signals go.
    """

    def __init__(self, mapping: FeedMapping, origin: ModbusSource, desk: Desk) -> None:
        self._mapping = mapping
        self._origin = origin
        self._monotonic = desk.monotonic
        places = [rule.place for rule in mapping.channels]
        places += [mapping.number] if mapping.number else []
        places += [mapping.time.place] if mapping.time else []
        self._blocks = blocks(places)
        self._outlet = Outlet(mapping.source, mapping.limits, desk)
        self._runner = Runner(self._outlet, self._work)
        self.start = self._runner.start
        self.stop = self._runner.stop

    @property
    def finished(self) -> bool:
        """Whether nothing more will come."""
        return self._runner.finished

    def _work(self, stop: threading.Event, connected: Callable[[], None]) -> None:
        import logging

        from pymodbus.client import ModbusTcpClient
        from pymodbus.exceptions import ModbusException

        # What goes wrong is told as a signal; the library would write it to the terminal too.
        logging.getLogger("pymodbus").addHandler(logging.NullHandler())
        origin = self._origin
        client = ModbusTcpClient(origin.host, port=origin.port, timeout=origin.timeout, retries=0)
        try:
            if not client.connect():  # type: ignore[no-untyped-call]
                raise ConnectionError(f"{origin.host}:{origin.port} does not answer")
            connected()
            due = self._monotonic()
            while not stop.is_set():
                if not self._ask(client, stop):
                    return
                self._outlet.tick()
                # A device that is slower than the period is asked as often as it answers, and not in a burst afterwards.
                due = max(due + origin.period, self._monotonic() - origin.period)
                stop.wait(max(0.0, due - self._monotonic()))
        except ModbusException as error:
            # After an answer that did not come in time the next one could be the late one: a new connection begins clean.
            raise ConnectionError(f"{origin.host}:{origin.port}: {error}") from error
        finally:
            client.close()  # type: ignore[no-untyped-call]

    def _ask(self, client: "ModbusTcpClient", stop: threading.Event) -> bool:
        """Ask once and hand on what was answered; False where the feed was stopped."""
        answers: dict[Block, Sequence[int] | Unreadable] = {}
        for block in self._blocks:
            read = client.read_holding_registers if block.table == "holding" else client.read_input_registers
            answer = read(block.first, count=block.count, device_id=self._origin.device)
            if answer.isError():
                answers[block] = _refusal(block, answer.exception_code)
            elif len(answer.registers) != block.count:
                answers[block] = Unreadable(
                    "{n} {n:register/registers} came, {count} {count:was/were} asked for", n=len(answer.registers), count=block.count
                )
            else:
                answers[block] = answer.registers
        made = decode(self._mapping, lambda place: _found(answers, place), arrived=self._outlet.now(), source=self._mapping.source)
        for what in made.unreadable:
            self._outlet.unreadable(what)
        return made.reading is None or self._outlet.hand(made.reading, _nothing, stop)


def _found(answers: Mapping[Block, Sequence[int] | Unreadable], place: Place) -> Raw:
    count = register_count(place.word)
    for block, answer in answers.items():
        if block.table == place.table and block.first <= place.register and place.register + count <= block.first + block.count:
            if isinstance(answer, Unreadable):
                raise answer
            at = place.register - block.first
            return register_value(answer[at : at + count], place)
    raise Unreadable("register {register} was not asked for", register=place.register)


_REFUSALS: Final[Mapping[int, Message]] = {
    1: message("it does not know this kind of register"),
    2: message("it has no such register"),
    3: message("it does not give so many"),
    4: message("it has failed"),
    6: message("it is busy"),
    10: message("the gateway has no way to it"),
    11: message("the gateway gets no answer from it"),
}
"""Exception codes of the protocol."""


def _refusal(block: Block, code: int) -> Unreadable:
    return Unreadable(
        "the device refuses {table} registers {first} to {last}: {why} (code {code})",
        table=block.table,
        first=block.first,
        last=block.first + block.count - 1,
        why=_REFUSALS.get(code, message("no reason known")),
        code=code,
    )


def _nothing() -> None:
    """Acknowledge nothing: a register keeps no history that could be asked for again."""
