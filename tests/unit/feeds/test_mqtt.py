"""Payloads of messages, and the order of acknowledgements; the broker itself is met in tests/contract."""

import json
import threading

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mainwright.feeds.decode import decode
from mainwright.feeds.mapping import Place
from mainwright.feeds.mqtt import AckOrder, payload_look
from mainwright.feeds.unreadable import Unreadable
from tests.unit.feeds.rig import NOON, mapped

MAPPING = mapped(
    """
    [[feed]]
    source = "a"
    kind = "mqtt"
    host = "h"
    client = "c"
    [feed.channels.odometer]
    topic = "t"
    key = "way.m"
    unit = "m"
    [feed.channels.flow]
    topic = "t"
    unit = "l_min"
    """
)


@pytest.mark.parametrize(
    ("payload", "key", "value"),
    [(b"12.5", "", "12.5"), (b" 12.5\n", "", "12.5"), (b"", "", None), (b'{"a": 1}', "a", 1.0), (b'{"a": {"b": "2"}}', "a.b", "2"),
     (b'\xef\xbb\xbf{"a": null}', "a", None)],
)  # fmt: skip
def test_a_value_is_the_payload_or_stands_in_it(payload: bytes, key: str, value: object) -> None:
    assert payload_look("t", payload)(Place(topic="t", name=key)) == value


@pytest.mark.parametrize(
    ("payload", "why"),
    [(b"{", "no JSON"), (b"\xff", "not UTF-8"), (b"[" * 50_000, "no JSON"), (b'{"a": ' + b"9" * 5000 + b"}", "no JSON"), (b" " * 70_000, "bytes"),
     (b'{"a": []}', "neither a number nor a text"), (b'{"a": true}', "neither a number nor a text"), (b'{"a": 1' + b"0" * 400 + b"}", "too large")],
)  # fmt: skip
def test_what_is_no_value_is_refused(payload: bytes, why: str) -> None:
    with pytest.raises(Unreadable, match=why):
        payload_look("t", payload)(Place(topic="t", name="a"))


@pytest.mark.parametrize("payload", [b"{}", b"[]", b"3", b'"a"', b'{"b": 1}', b"null"])
def test_a_key_that_is_not_there_is_missing(payload: bytes) -> None:
    with pytest.raises(Unreadable, match="there is no a"):
        payload_look("t", payload)(Place(topic="t", name="a"))


JSON = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["way", "m", "x"]), inner, max_size=3),
)


@settings(max_examples=50)
@given(st.binary() | JSON.map(lambda made: json.dumps(made).encode()))
def test_no_message_breaks_the_decoder(payload: bytes) -> None:
    made = decode(MAPPING, payload_look("t", payload), arrived=NOON, source="a")
    assert made.reading is not None or made.unreadable or payload.strip() in (b"", b"\xef\xbb\xbf")


@given(st.permutations(range(12)), st.integers(0, 12))
def test_acknowledgements_go_out_in_the_order_in_which_messages_came(order: list[int], ready: int) -> None:
    sent: list[int] = []
    acks = AckOrder(sent.append)
    calls = [acks.expect(identity) for identity in range(12)]
    for place in order[:ready]:
        calls[place]()
        calls[place]()
    through = next((identity for identity in range(12) if identity not in order[:ready]), 12)
    assert sent == list(range(through))
    assert len(acks) == 12 - through


def test_acknowledgements_of_many_threads_are_all_sent_once() -> None:
    sent: list[int] = []
    acks = AckOrder(sent.append)
    calls = [acks.expect(identity) for identity in range(2000)]
    threads = [threading.Thread(target=lambda part=part: [call() for call in calls[part::4]]) for part in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sent == list(range(2000))
