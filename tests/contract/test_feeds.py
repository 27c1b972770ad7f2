"""What every feed promises, tried on real other ends: see `feed_peers`."""

import time
from collections.abc import Iterator, Sequence
from itertools import groupby
from pathlib import Path

import pytest

from mainwright.workflow.live_ports import Arrival
from tests.contract.feed_peers import PEERS, Peer, Row, present
from tests.unit.feeds.rig import Bench, running, until

ROWS: Sequence[Row] = [(0.125 * n, 30.0 + n % 7) for n in range(16)]


@pytest.fixture(params=PEERS)
def peer(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Peer]:
    made = PEERS[request.param](tmp_path)
    with present(made):
        yield made


def connected(bench: Bench) -> None:
    until(lambda: "connected" in bench.kinds())


def rows_of(arrivals: Sequence[Arrival]) -> list[Row]:
    """Return what readings say; of what came again by its name only the first counts, as the one who writes them down does."""
    first = {(one.reading.source, place if one.reading.number is None else one.reading.number): one for place, one in enumerate(arrivals)}
    values = [one.reading.values for one in first.values()]
    # A device may refuse one table and not the other: then a reading has less.
    told = [(said["odometer"], round(said["flow"] * 60e3, 6)) for said in values if len(said) == 2]
    return [row for row, _ in groupby(told)]


def expect(peer: Peer, bench: Bench, rows: Sequence[Row]) -> list[Arrival]:
    """Take what comes until these rows are there, in their order, and no others; return it."""
    found: list[Arrival] = []

    def there() -> bool:
        found.extend(bench.take(1, timeout=0.5))
        told = rows_of(found)
        if not peer.polled:
            return len(told) >= len(rows)
        # Between two requests the device may go on: what it says then is part of one row and part of the next.
        rest = iter(told)
        return all(row in rest for row in rows)

    until(there)
    assert peer.polled or rows_of(found) == list(rows)
    return found


def test_what_is_sent_comes_once_in_order_and_in_si(peer: Peer) -> None:
    bench = Bench()
    peer.prepare(ROWS)
    with running(peer.feed(bench)) as feed:
        connected(bench)
        peer.send(ROWS)
        found = expect(peer, bench, ROWS)
        if not peer.polled:
            assert len(found) == len(ROWS)
            assert bench.take(1, timeout=0.1) == []
        assert {one.reading.source.partition(":")[0] for one in found} == {"rig"}
        assert all(one.reading.time.utcoffset() is not None for one in found)
        assert feed.finished == peer.ends
    assert feed.finished
    assert "lost" not in bench.kinds()


def test_a_full_inbox_makes_the_sender_wait_and_loses_nothing(peer: Peer) -> None:
    bench = Bench(capacity=3)
    peer.prepare(ROWS)
    with running(peer.feed(bench)):
        connected(bench)
        peer.send(ROWS)
        until(lambda: "full" in bench.kinds())
        time.sleep(0.05)
        assert len(bench.inbox) == 3
        if not peer.polled:
            expect(peer, bench, ROWS)
    assert told(bench).count(("full", False)) == told(bench).count(("full", True))


def test_a_feed_stops_at_once_even_when_nobody_takes(peer: Peer) -> None:
    bench = Bench(capacity=1)
    peer.prepare(ROWS)
    feed = peer.feed(bench)
    assert not feed.finished
    feed.start()
    connected(bench)
    peer.send(ROWS)
    until(lambda: "full" in bench.kinds())
    began = time.monotonic()
    assert feed.stop(3.0)
    assert time.monotonic() - began < 2.5
    assert feed.finished
    assert feed.stop(0.0)
    assert len(bench.inbox) == 1


def test_a_feed_that_was_not_started_stops(peer: Peer) -> None:
    assert peer.feed(Bench()).stop(0.0)


def test_what_cannot_be_read_is_told_and_the_rest_comes(peer: Peer) -> None:
    if not peer.faulty:
        pytest.skip("it cannot send what is no reading")
    bench = Bench()
    with running(peer.feed(bench)):
        connected(bench)
        peer.send(ROWS[:2])
        peer.send_rubbish()
        until(lambda: "unreadable" in bench.kinds())
        peer.send(ROWS[2:4])
        expect(peer, bench, ROWS[:4])


def test_a_lie_is_told_and_not_edited(peer: Peer) -> None:
    bench = Bench()
    lie = [(1.0, 30.0), (7000.0, 30.0), (1.5, 31.0)]
    peer.prepare(lie)
    with running(peer.feed(bench)):
        connected(bench)
        peer.send(lie)
        expect(peer, bench, lie)
    assert ("jump", "odometer") in [(one.kind, one.channel) for one in bench.signals]


def test_a_broken_connection_is_told_once_and_mended(peer: Peer) -> None:
    if not peer.breaks:
        pytest.skip("there is no connection that could break")
    bench = Bench()
    with running(peer.feed(bench)):
        connected(bench)
        peer.send(ROWS[:3])
        before = expect(peer, bench, ROWS[:3])
        peer.cut()
        if peer.sign_of_break == "lost":
            until(lambda: "lost" in bench.kinds())
            # Several attempts fail meanwhile.
            time.sleep(0.3)
        peer.mend()
        until(lambda: peer.sign_of_break in bench.kinds())
        if peer.sign_of_break == "lost":
            until(lambda: ("lost", True) in told(bench))
            assert [over for kind, over in told(bench) if kind == "lost"] == [False, True]
        peer.send(ROWS[3:6])
        names = {(one.reading.source, one.reading.number) for one in before if one.reading.number is not None}
        after: list[Arrival] = []

        def there() -> bool:
            after.extend(bench.take(1, timeout=0.5))
            return bool(after) and rows_of(after)[-1] == ROWS[5]

        until(there)
        # What was acknowledged as the connection broke may come again, by the same name.
        again = [one for one in after if (one.reading.source, one.reading.number) in names]
        assert all(row in ROWS[:3] for row in rows_of(again))
        fresh = rows_of([one for one in after if one not in again])
        assert fresh == ROWS[3:6] or (peer.polled and set(ROWS[3:6]) <= set(fresh))


def told(bench: Bench) -> list[tuple[str, bool]]:
    return [(one.kind, one.over) for one in list(bench.signals)]


@pytest.mark.parametrize("name", [name for name, kind in PEERS.items() if kind.breaks])
def test_a_feed_may_begin_before_its_other_end(name: str, tmp_path: Path) -> None:
    bench, peer = Bench(), PEERS[name](tmp_path)
    with running(peer.feed(bench)):
        until(lambda: ("lost", False) in told(bench))
        with present(peer):
            until(lambda: ("lost", True) in told(bench))
            peer.send(ROWS[:2])
            expect(peer, bench, ROWS[:2])
