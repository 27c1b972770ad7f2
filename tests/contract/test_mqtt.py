"""What MQTT promises beyond the other feeds: the broker keeps everything until it is on disk with us. Against a mosquitto of its own."""

import signal
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

from mainwright.feeds.mapping import MqttSource
from mainwright.feeds.mqtt import MqttFeed
from mainwright.workflow.live_ports import Arrival
from tests.contract.feed_peers import MqttPeer, Row, present
from tests.unit.feeds.rig import Bench, mapped, running, until

ROWS: Sequence[Row] = [(0.125 * n, 30.0 + n % 7) for n in range(30)]


@pytest.fixture
def peer(tmp_path: Path) -> Iterator[MqttPeer]:
    made = MqttPeer(tmp_path)
    with present(made):
        yield made


def connected(bench: Bench) -> None:
    until(lambda: "connected" in bench.kinds())


def counts(arrivals: Sequence[Arrival]) -> list[int]:
    return [(one.reading.number or 0) & 0x7FFFFFFF for one in arrivals]


def test_who_was_away_gets_what_was_sent_meanwhile(peer: MqttPeer) -> None:
    with running(peer.feed(first := Bench())):
        connected(first)
        peer.send(ROWS[:5])
        assert counts(first.take(5)) == [0, 1, 2, 3, 4]
    peer.send(ROWS[5:20])
    with running(peer.feed(second := Bench())):
        assert counts(second.take(15)) == list(range(5, 20))
        assert second.take(1, timeout=0.2) == []
    assert len([text for text in first.texts() if "does not know" in text]) == 1
    assert [text for text in second.texts() if "does not know" in text] == []


def test_what_was_not_acknowledged_comes_again_under_the_same_name(peer: MqttPeer) -> None:
    with running(peer.feed(first := Bench())):
        connected(first)
        peer.send(ROWS[:6])
        found = first.take(6, acknowledge=False)
        for one in found[:2]:
            one.acknowledge()
            one.acknowledge()
    with running(peer.feed(second := Bench())):
        again = second.take(4)
        assert second.take(1, timeout=0.2) == []
    assert [one.reading.number for one in again] == [one.reading.number for one in found[2:]]


def test_an_acknowledgement_that_comes_too_late_acknowledges_nothing(peer: MqttPeer) -> None:
    with running(peer.feed(first := Bench())):
        connected(first)
        peer.send(ROWS[:3])
        late = first.take(3, acknowledge=False)
    with running(peer.feed(second := Bench())):
        assert len(second.take(3, acknowledge=False)) == 3
        for one in late:
            one.acknowledge()
        time.sleep(0.2)
    with running(peer.feed(third := Bench())):
        assert counts(third.take(3)) == [0, 1, 2]


def test_the_broker_waits_for_a_slow_disk(peer: MqttPeer) -> None:
    with running(peer.feed(bench := Bench(), window=4)):
        connected(bench)
        peer.send(ROWS)
        held = bench.take(30, timeout=0.5, acknowledge=False)
        assert counts(held) == [0, 1, 2, 3]
        for one in held:
            one.acknowledge()
        assert counts(bench.take(26)) == list(range(4, 30))


def test_acknowledgements_out_of_order_are_all_sent(peer: MqttPeer) -> None:
    with running(peer.feed(bench := Bench(), window=10)):
        connected(bench)
        peer.send(ROWS)
        came = 0
        while came < len(ROWS):
            held = bench.take(8, timeout=0.5, acknowledge=False)
            assert held, "the broker waits for an acknowledgement that was held back"
            came += len(held)
            for one in reversed(held):
                one.acknowledge()
    with running(peer.feed(second := Bench())):
        connected(second)
        assert second.take(1, timeout=0.3) == []


def test_what_cannot_be_read_is_acknowledged_and_does_not_come_again(peer: MqttPeer) -> None:
    with running(peer.feed(first := Bench(), window=2)):
        connected(first)
        for _ in range(3):
            peer.send_rubbish()
        peer.send(ROWS[:1])
        assert counts(first.take(1)) == [0]
    with running(peer.feed(second := Bench())):
        connected(second)
        assert second.take(1, timeout=0.3) == []
        assert "unreadable" not in second.kinds()


def test_a_killed_broker_comes_back_and_nothing_that_it_had_is_lost(peer: MqttPeer) -> None:
    """The sender sends again what the broker had not yet: the same messages, in part twice, each kept once."""
    with running(peer.feed(bench := Bench())):
        connected(bench)
        peer.send(ROWS[:10])
        found = bench.take(10)
        assert peer.broker.process is not None
        peer.broker.process.kill()
        peer.broker.process.wait(10)
        until(lambda: "lost" in bench.kinds())
        peer.broker.start()
        until(lambda: ("lost", True) in [(one.kind, one.over) for one in list(bench.signals)])
        peer.count = 5
        peer.send(ROWS[5:20])
        while 19 not in counts(found):
            found += (more := bench.take(1))
            assert more, "what the sender sent again did not come"
    names: dict[int | None, Row] = {}
    for one in found:
        names.setdefault(one.reading.number, (one.reading.values["odometer"], round(one.reading.values["flow"] * 60e3, 6)))
    assert list(names.values()) == ROWS[:20]


def test_topics_are_sources_of_their_own(peer: MqttPeer) -> None:
    mapping = mapped(
        f"""
        [[feed]]
        source = "rig"
        kind = "mqtt"
        host = "127.0.0.1"
        port = {peer.broker.port}
        client = "van"
        [feed.channels.odometer]
        topic = "drum"
        unit = "m"
        [feed.channels.flow]
        topic = "pump/flow"
        key = "value"
        unit = "l_min"
        """
    )
    assert isinstance(mapping.origin, MqttSource)
    with running(MqttFeed(mapping, mapping.origin, (bench := Bench()).desk)):
        connected(bench)
        peer.publish([b" 12.5 ", b""], topic="drum")
        peer.publish([b'{"value": "30"}', b'{"value": true}'], topic="pump/flow")
        found = bench.take(2)
        until(lambda: "unreadable" in bench.kinds())
    assert [(one.reading.source, dict(one.reading.values)) for one in found] == [
        ("rig:drum", {"odometer": 12.5}),
        ("rig:pump/flow", {"flow": pytest.approx(0.0005)}),
    ]
    assert "neither a number nor a text" in "".join(bench.texts())


def test_what_a_broker_retains_is_not_taken_for_new(peer: MqttPeer) -> None:
    from paho.mqtt import publish

    publish.single("rig/run", b"{}", retain=True, hostname="127.0.0.1", port=peer.broker.port)
    with running(peer.feed(bench := Bench())):
        connected(bench)
        time.sleep(0.2)
        assert "unreadable" not in bench.kinds()


def test_messages_that_ask_for_no_acknowledgement_are_taken_too(peer: MqttPeer) -> None:
    from paho.mqtt import publish

    with running(peer.feed(bench := Bench(), window=2)):
        connected(bench)
        sent = [f'{{"n": {n}, "t": "2026-05-04T12:00:00Z", "way": {{"m": 1}}}}' for n in range(20)]
        publish.multiple([{"topic": "rig/run", "payload": one, "qos": 0} for one in sent], hostname="127.0.0.1", port=peer.broker.port)
        assert counts(bench.take(20)) == list(range(20))


def test_a_broker_that_stands_still_for_longer_than_it_may_is_taken_up_again(peer: MqttPeer) -> None:
    with running(peer.feed(bench := Bench(), keep_alive=1)):
        connected(bench)
        peer.send([(0.01 * n, 30.0) for n in range(1500)])
        found = bench.take(5)
        assert peer.broker.process is not None
        peer.broker.process.send_signal(signal.SIGSTOP)
        try:
            until(lambda: "lost" in bench.kinds())
        finally:
            peer.broker.process.send_signal(signal.SIGCONT)
        end = time.monotonic() + 30.0
        while len(set(counts(found))) < 1500 and time.monotonic() < end:
            found += bench.take(100, timeout=0.5)
    assert sorted(set(counts(found))) == list(range(1500))
