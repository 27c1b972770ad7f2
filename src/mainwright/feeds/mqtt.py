"""MQTT: the broker keeps what this feed has not acknowledged, and gets the acknowledgement only once a reading is on disk."""

import contextlib
import json
import queue
import threading
from collections import deque
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final

from mainwright.feeds.decode import Raw, decode
from mainwright.feeds.mapping import FeedMapping, MqttSource, Place
from mainwright.feeds.outlet import Desk, Outlet
from mainwright.feeds.runner import Runner
from mainwright.feeds.unreadable import Unreadable
from mainwright.words.message import message

if TYPE_CHECKING:
    import paho.mqtt.client as paho

__all__ = ["AckOrder", "MqttFeed", "payload_look"]

_LARGEST: Final = 64 * 1024
"""A payload that is larger [bytes] is no reading."""

_TICK: Final = 0.2
_SHORT: Final = 0.02
_CONNECT: Final = 2.0
"""How long an address may not answer [s]: a feed that is stopped meanwhile waits so long."""

_LINGER: Final = 1.0
"""How long a feed that is stopped waits for what is being written [s]."""


class AckOrder:
    """Sends acknowledgements in the order in which the messages came, as the protocol asks, whatever the order in which they are ready.

    Parameters
    ----------
    send : callable
        Sends the acknowledgement of a message by its id.
    """

    def __init__(self, send: Callable[[int], None]) -> None:
        self._send = send
        self._waiting: deque[list[int]] = deque()
        self._lock = threading.Lock()

    def __len__(self) -> int:
        return len(self._waiting)

    def expect(self, identity: int) -> Callable[[], None]:
        """Note a message that came; return what is to be called, from any thread, once or more, when it may be acknowledged."""
        entry = [identity, 0]
        with self._lock:
            self._waiting.append(entry)

        def ready() -> None:
            with self._lock:
                entry[1] = 1
                while self._waiting and self._waiting[0][1]:
                    self._send(self._waiting.popleft()[0])

        return ready


def payload_look(topic: str, payload: bytes) -> Callable[[Place], Raw]:
    """Return what finds a place in a message.

    Parameters
    ----------
    topic : str
        Where it came. [-]
    payload : bytes
        What it says: a number as text, or a JSON object. [-]

    Returns
    -------
    callable
        Takes a place of this topic; raises `Unreadable` where it is not there, or is no number and no text.
    """
    read: list[object] = []

    def look(place: Place) -> Raw:
        if len(payload) > _LARGEST:
            raise Unreadable("{topic}: {n} {n:byte is/bytes are} no reading", topic=topic, n=len(payload))
        try:
            text = payload.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            raise Unreadable("{topic}: the message is not UTF-8", topic=topic) from error
        if not place.name:
            return text.strip() or None
        if not read:
            read.append(_json(topic, text))
        found = read[0]
        for key in place.name.split("."):
            if not isinstance(found, Mapping) or key not in found:
                raise Unreadable("{topic}: there is no {key}", topic=topic, key=place.name)
            found = found[key]
        return _raw(found, topic, place.name)

    return look


def _json(topic: str, text: str) -> object:
    try:
        return json.loads(text)
    except (ValueError, RecursionError) as error:
        raise Unreadable("{topic}: the message is no JSON", topic=topic) from error


def _raw(found: object, topic: str, key: str) -> Raw:
    if found is None or isinstance(found, str):
        return found
    if isinstance(found, bool) or not isinstance(found, int | float):
        raise Unreadable("{topic}: {key} is neither a number nor a text", topic=topic, key=key)
    try:
        return float(found)
    except OverflowError as error:
        raise Unreadable("{topic}: {key} is too large for a number", topic=topic, key=key) from error


class MqttFeed:
    """Takes messages of a broker by a lasting session.

    While this feed is away the broker keeps what is sent at QoS 1, for as long as the session lasts. It has at most `MqttSource.window`
    messages under way that are not acknowledged: a slow disk makes the broker wait.

    Parameters
    ----------
    mapping : FeedMapping
        With an `MqttSource`.
    origin : MqttSource
        The broker.
    desk : Desk
        Where readings and signals go.
    password : str, optional
        Of the user; never kept in a mapping. [-]
    """

    def __init__(self, mapping: FeedMapping, origin: MqttSource, desk: Desk, *, password: str | None = None) -> None:
        self._mapping = mapping
        self._origin = origin
        self._password = password
        self._topics = tuple(sorted({rule.place.topic for rule in mapping.channels}))
        self._outlet = Outlet(mapping.source, mapping.limits, desk)
        self._runner = Runner(self._outlet, self._work)
        self.start = self._runner.start
        self.stop = self._runner.stop

    @property
    def finished(self) -> bool:
        """Whether nothing more will come."""
        return self._runner.finished

    def _work(self, stop: threading.Event, connected: Callable[[], None]) -> None:
        """Hold one connection."""
        # Each has a client of its own: an acknowledgement that comes too late for it goes nowhere, and cannot be taken for that of another
        # message with the same id.
        visit = _Visit(self._client(), self._origin, self._topics)
        try:
            if not visit.begin(stop):
                return
            connected()
            if not visit.known:
                what = "the broker does not know {client} yet: what was sent before now does not come"
                self._outlet.tell("connected", message(what, client=self._origin.client))
            while not stop.is_set():
                came = visit.take()
                if came is not None and not self._take(came[0], came[1], stop):
                    break
                self._outlet.tick()
            if visit.why_lost is None:
                visit.linger()
        finally:
            visit.end()

    def _client(self) -> "paho.Client":
        from paho.mqtt import client as paho
        from paho.mqtt.enums import CallbackAPIVersion

        client = paho.Client(
            CallbackAPIVersion.VERSION2,
            client_id=self._origin.client,
            protocol=paho.MQTTv5,
            manual_ack=True,
            reconnect_on_failure=False,
        )
        client.connect_timeout = _CONNECT
        if self._origin.user:
            client.username_pw_set(self._origin.user, self._password)
        if self._origin.tls:
            client.tls_set(ca_certs=self._origin.ca_file or None)
        return client

    def _take(self, sent: "paho.MQTTMessage", acknowledge: Callable[[], None], stop: threading.Event) -> bool:
        """Hand on what a message says; False where the feed was stopped before: then the broker keeps it."""
        topic = sent.topic
        made = decode(
            self._mapping,
            payload_look(topic, bytes(sent.payload)),
            arrived=self._outlet.now(),
            # A sender counts for itself: each topic is a source of its own.
            source=self._mapping.source if len(self._topics) == 1 else f"{self._mapping.source}:{topic}",
            has=lambda place: place.topic == topic,
        )
        for what in made.unreadable:
            self._outlet.unreadable(what)
        if made.reading is None:
            # It will not become readable by coming again.
            acknowledge()
            return True
        return self._outlet.hand(made.reading, acknowledge, stop)


class _Visit:
    """One connection to the broker, from its beginning to its end."""

    def __init__(self, client: "paho.Client", origin: MqttSource, topics: tuple[str, ...]) -> None:
        self._client = client
        self._origin = origin
        self._topics = topics
        self._ready = threading.Event()
        # As many as the broker may send unacknowledged; it is full only where a sender asks for no acknowledgement, and then the network waits.
        self._came: queue.Queue[tuple[paho.MQTTMessage, Callable[[], None]]] = queue.Queue(origin.window)
        # A session that is taken up again may begin with more than that at once, all before the broker has answered the subscription.
        self._early: deque[tuple[paho.MQTTMessage, Callable[[], None]]] = deque()
        self._acks = AckOrder(lambda identity: _ack(client, identity))
        self._ended = False
        self.known = False
        self.why_lost: str | None = None
        client.on_connect = self._on_connect
        client.on_subscribe = self._on_subscribe
        client.on_disconnect = self._on_disconnect
        client.on_message = self._on_message

    def begin(self, stop: threading.Event) -> bool:
        """Connect and subscribe; False where the feed is stopped meanwhile. Raises an ``OSError`` where it fails."""
        from paho.mqtt.packettypes import PacketTypes
        from paho.mqtt.properties import Properties

        wanted = Properties(PacketTypes.CONNECT)  # type: ignore[no-untyped-call]
        wanted.SessionExpiryInterval = min(int(self._origin.session), 2**32 - 2)
        wanted.ReceiveMaximum = self._origin.window
        self._client.connect(
            self._origin.host, self._origin.port, keepalive=int(self._origin.keep_alive), clean_start=False, properties=wanted
        )
        self._client.loop_start()
        waited = 0.0
        while not self._ready.wait(_SHORT):
            waited += _SHORT
            self._put_by()
            if stop.is_set():
                return False
            if waited > self._origin.keep_alive:
                raise ConnectionError("the broker does not answer")
        if self.why_lost is not None:
            raise ConnectionError(self.why_lost)
        return True

    def _put_by(self) -> None:
        """Make room for what else comes before the answer to the subscription: the network may not wait for who waits for the network."""
        with contextlib.suppress(queue.Empty):
            while True:
                self._early.append(self._came.get_nowait())

    def take(self) -> "tuple[paho.MQTTMessage, Callable[[], None]] | None":
        """Return the next message, or None where none comes soon; raises where the connection is lost and all that came is taken."""
        if self._early:
            return self._early.popleft()
        try:
            return self._came.get(timeout=_TICK)
        except queue.Empty:
            if self.why_lost is not None:
                raise ConnectionError(self.why_lost) from None
            return None

    def linger(self) -> None:
        """Give the readings that are being written a moment, so that their acknowledgements still go out."""
        pause, waited = threading.Event(), 0.0
        while len(self._acks) > self._came.qsize() and waited < _LINGER:
            pause.wait(0.02)
            waited += 0.02

    def end(self) -> None:
        """Leave: the session stays, with all that was not acknowledged."""
        self._ended = True
        self._client.disconnect()
        self._client.loop_stop()

    # The rest is called by the thread of the network.

    def _on_connect(self, client: "paho.Client", data: object, flags: Any, reason: Any, properties: object) -> None:  # noqa: ANN401
        if reason.is_failure:
            self._fail(f"the broker refuses: {reason}")
            return
        self.known = bool(flags.session_present)
        from paho.mqtt.subscribeoptions import SubscribeOptions

        # What the broker retains is old, and would look new.
        options = SubscribeOptions(qos=1, retainHandling=SubscribeOptions.RETAIN_DO_NOT_SEND)
        client.subscribe([(topic, options) for topic in self._topics])

    def _on_subscribe(self, client: "paho.Client", data: object, mid: int, reasons: list[Any], properties: object) -> None:
        for topic, reason in zip(self._topics, reasons, strict=False):
            if reason.is_failure:
                self._fail(f"the broker does not give {topic}: {reason}")
        self._ready.set()

    def _on_disconnect(self, client: "paho.Client", data: object, flags: object, reason: Any, properties: object) -> None:  # noqa: ANN401
        self._fail(f"the broker is gone: {reason}")

    def _on_message(self, client: "paho.Client", data: object, sent: "paho.MQTTMessage") -> None:
        ready = self._acks.expect(sent.mid) if sent.qos else _nothing
        while not self._ended:
            try:
                self._came.put((sent, ready), timeout=_TICK)
            except queue.Full:
                continue
            return

    def _fail(self, why: str) -> None:
        if self.why_lost is None:
            self.why_lost = why
        self._ready.set()


def _ack(client: "paho.Client", identity: int) -> None:
    client.ack(identity, 1)


def _nothing() -> None:
    """Acknowledge nothing: a message of QoS 0 asks for none."""
