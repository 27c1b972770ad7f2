"""What every store must do with the log of a run."""

import threading
from collections.abc import Callable
from datetime import UTC, datetime

import pytest

from mainwright.errors import Conflict, InputError, NotFound
from mainwright.store.store import DatabaseStore
from mainwright.workflow.live_ports import LogEntry, RunKey

KEY = RunKey("MB-01", "R1")
HEADER = {"revision": "ab" * 32, "start": 12.5, "lengths": [{"bore": 0.15}]}


def reading(number: int, /, **more: float | None) -> LogEntry:
    values: dict[str, float | int | None] = {
        "number": number,
        "odometer": 0.1 * number,
        "flow": 5e-4,
        "pressure": 1.1e6,
        "head_air": None,
        "head_speed": None,
    }
    return LogEntry("reading", 1.7e9 + number / 10, {**values, **more})


def event(text: str) -> LogEntry:
    return LogEntry("remark", 1.7e9, {"kind": "note", "text": text, "who": "Ж", "seen": True, "flow": None, "count": 3})


@pytest.fixture
def begun(store: DatabaseStore) -> DatabaseStore:
    store.log.begin(KEY, HEADER, author="A. Writer")
    return store


def test_a_run_begins_empty(begun: DatabaseStore) -> None:
    assert begun.log.runs() == [KEY]
    assert begun.log.header(KEY) == HEADER
    assert list(begun.log.entries(KEY)) == []
    assert begun.log.anchor(KEY).count == 0


def test_runs_stand_in_the_order_of_their_beginning(begun: DatabaseStore) -> None:
    more = [RunKey("MB-01", "R2"), RunKey("AB-01", "R1"), RunKey("MB-01", "R1", 1, 2), RunKey("MB-01", "R1", 2)]
    for key in more:
        begun.log.begin(key, {}, author="x")
    assert begun.log.runs() == [KEY, *more]
    assert begun.log.runs("MB-01") == [KEY, more[0], *more[2:]]
    assert begun.log.runs("elsewhere") == []


def test_the_same_header_again_does_nothing(begun: DatabaseStore) -> None:
    before = begun.log.anchor(KEY)
    begun.log.begin(KEY, dict(reversed(HEADER.items())), author="somebody else")
    assert begun.log.anchor(KEY) == before


def test_another_header_is_a_conflict(begun: DatabaseStore) -> None:
    with pytest.raises(Conflict, match="run R1 of job MB-01 has begun with something else"):
        begun.log.begin(KEY, {**HEADER, "start": 13.0}, author="x")
    assert begun.log.header(KEY) == HEADER


@pytest.mark.parametrize(
    "call", [lambda log: log.header(KEY), lambda log: log.append(KEY, [], after=0), lambda log: list(log.entries(KEY))]
)
def test_a_run_that_never_began_is_not_found(store: DatabaseStore, call: Callable[[object], object]) -> None:
    with pytest.raises(NotFound, match="run R1 of job MB-01 has no log"):
        call(store.log)
    assert isinstance(NotFound("x"), LookupError)


def test_entries_come_back_as_they_were_given(begun: DatabaseStore) -> None:
    given = [
        event("begins"),
        *(reading(number) for number in range(1, 40)),
        reading(40, flow=None),
        reading(41, head_air=2.0e5, odometer=-0.0),
        event("amid"),
        reading(42, number=2**62),
        reading(43, number=10**30),
        LogEntry("reading", 1.7e9, {"number": 44, "odometer": 4.4}),
        LogEntry("reading", 1.7e9, {"number": 45, "odometer": "unreadable"}),
        LogEntry("ended", 1.8e9, {}),
    ]
    count = 0
    for size in (1, 3, 30, 100):
        count = begun.log.append(KEY, given[count : count + size], after=count)
    assert count == len(given)
    assert list(begun.log.entries(KEY)) == given
    for after in (0, 1, 2, 5, 40, count - 1, count, count + 5):
        assert list(begun.log.entries(KEY, after=after)) == given[after:]


def test_many_small_groups_are_read_in_order(begun: DatabaseStore) -> None:
    given = [reading(number) for number in range(200)]
    for place, one in enumerate(given):
        assert begun.log.append(KEY, [one], after=place) == place + 1
    assert list(begun.log.entries(KEY)) == given
    assert [one.values["number"] for one in begun.log.entries(KEY, after=130)] == list(range(130, 200))


@pytest.mark.parametrize("after", [0, 1, 3, 7])
def test_a_writer_who_does_not_know_what_is_there_adds_nothing(begun: DatabaseStore, after: int) -> None:
    begun.log.append(KEY, [event("a"), event("b")], after=0)
    with pytest.raises(Conflict, match=f"holds 2 entries and not {after}.*another program"):
        begun.log.append(KEY, [event("c")], after=after)
    with pytest.raises(Conflict, match=f"holds 2 entries and not {after}"):
        begun.log.append(KEY, [], after=after)
    assert len(list(begun.log.entries(KEY))) == 2
    assert begun.log.append(KEY, [], after=2) == 2


def test_the_same_group_again_is_not_added_twice(begun: DatabaseStore) -> None:
    begun.log.append(KEY, [reading(0)], after=0)
    group = [reading(1), event("x")]
    assert begun.log.append(KEY, group, after=1) == 3
    assert begun.log.append(KEY, group, after=1) == 3
    with pytest.raises(Conflict, match="holds 3 entries and not 1"):
        begun.log.append(KEY, [reading(1), event("y")], after=1)
    assert list(begun.log.entries(KEY)) == [reading(0), *group]


@pytest.mark.parametrize("wrong", [float("nan"), float("inf"), [1], {"a": 1}, b"x"])
def test_what_is_no_value_is_refused_and_nothing_is_kept(begun: DatabaseStore, wrong: object) -> None:
    for kind in ("reading", "remark"):
        bad = LogEntry(kind, 1.0, {**reading(1).values, "flow": wrong})  # type: ignore[dict-item]
        with pytest.raises(InputError, match="flow of an entry"):
            begun.log.append(KEY, [reading(0), bad], after=0)
    with pytest.raises(InputError, match="time of an entry"):
        begun.log.append(KEY, [LogEntry("remark", float("inf"), {})], after=0)
    with pytest.raises(InputError, match="what is to be kept"):
        begun.log.begin(RunKey("a", "b"), {"x": {1} if isinstance(wrong, list | dict) else wrong}, author="x")
    assert begun.log.anchor(KEY).count == 0


def test_two_stores_at_one_place_see_each_other(begun: DatabaseStore, store_place: str) -> None:
    begun.log.append(KEY, [event("a")], after=0)
    with DatabaseStore(store_place, clock=lambda: datetime(2026, 1, 1, tzinfo=UTC)) as other:
        assert list(other.log.entries(KEY)) == [event("a")]
        other.log.append(KEY, [event("b")], after=1)
        with pytest.raises(Conflict, match="another program"):
            begun.log.append(KEY, [event("c")], after=1)
        assert begun.log.append(KEY, [event("c")], after=2) == 3
        assert [one.values["text"] for one in other.log.entries(KEY)] == ["a", "b", "c"]


def test_only_one_of_many_writers_gets_each_place(begun: DatabaseStore, store_place: str) -> None:
    won: list[int] = []

    def write(name: int) -> None:
        with DatabaseStore(store_place, clock=lambda: datetime(2026, 1, 1, tzinfo=UTC)) as own:
            for place in range(15):
                try:
                    own.log.append(KEY, [event(f"{name}")], after=place)
                except Conflict:
                    continue
                won.append(place)

    threads = [threading.Thread(target=write, args=(name,)) for name in range(3)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert len(won) == len(set(won)) == begun.log.anchor(KEY).count


def test_a_store_is_there_after_it_was_closed(store_place: str) -> None:
    with DatabaseStore(store_place, clock=lambda: datetime(2026, 1, 1, tzinfo=UTC)) as one:
        one.log.begin(KEY, HEADER, author="x")
        one.log.append(KEY, [reading(1)], after=0)
        anchor = one.log.anchor(KEY)
    with DatabaseStore(store_place, clock=lambda: datetime(2026, 1, 1, tzinfo=UTC)) as two:
        assert two.log.anchor(KEY) == anchor
        assert str(anchor) == f"1:{anchor.head[:16]}"
        assert list(two.log.entries(KEY)) == [reading(1)]
