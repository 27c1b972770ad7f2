"""A run as one file: out of one store and into another, twice, longer, otherwise, and with any byte changed."""

import random
from collections.abc import Iterator
from pathlib import Path

import pytest

from mainwright.errors import Conflict, InputError, NotFound
from mainwright.store.carry import verify_run_file
from mainwright.store.store import DatabaseStore
from mainwright.workflow.live_ports import LogEntry, RunKey
from tests.contract.conftest import SteadyClock
from tests.contract.test_store_run_log import event, reading

KEY = RunKey("MB-01", "R1", 1, 2)
HEADER = {"revision": "ab" * 32, "z": [1, 2.5, None, True, {"ä": "ß"}], "a": 1e-9}
GROUPS = (1, 4, 7, 1)


def entries(first: int, count: int) -> list[LogEntry]:
    return [event(f"Ж {number}") if number % 4 == 0 else reading(number, flow=None) for number in range(first, first + count)]


def begin(store: DatabaseStore) -> DatabaseStore:
    store.log.begin(KEY, HEADER, author="A. Writer")
    return store


def grow(store: DatabaseStore, groups: tuple[int, ...] = GROUPS) -> DatabaseStore:
    count = store.log.anchor(KEY).count
    for size in groups:
        count = store.log.append(KEY, entries(count, size), after=count)
    return store


@pytest.fixture
def van(tmp_path: Path) -> Iterator[DatabaseStore]:
    with DatabaseStore(str(tmp_path / "van.sqlite"), clock=SteadyClock()) as opened:
        yield grow(begin(opened))


def lines(store: DatabaseStore) -> list[str]:
    return list(store.log.export(KEY))


def test_a_run_has_the_same_hashes_in_every_store(van: DatabaseStore, store: DatabaseStore) -> None:
    store.log.begin(RunKey("Other", "R9"), {}, author="x")
    carried = store.log.take_in(lines(van), name="file")
    assert (carried.key, carried.added, carried.new, carried.longer_here) == (KEY, sum(GROUPS), True, False)
    assert carried.anchor == van.log.anchor(KEY) == store.log.anchor(KEY)
    assert list(store.log.entries(KEY)) == list(van.log.entries(KEY)) == entries(0, sum(GROUPS))
    assert store.log.header(KEY) == HEADER
    assert lines(store) == lines(van)
    report = store.verify(anchors=[carried.anchor])
    assert report.sound
    assert report.anchors == ((str(carried.anchor), "run R1 of job MB-01, part 2"),)


def test_the_same_file_again_adds_nothing(van: DatabaseStore, store: DatabaseStore) -> None:
    store.log.take_in(lines(van), name="file")
    again = store.log.take_in(lines(van), name="file")
    assert (again.added, again.new, again.longer_here) == (0, False, False)
    assert lines(store) == lines(van)


def test_a_later_file_adds_the_rest_and_an_earlier_one_nothing(van: DatabaseStore, store: DatabaseStore) -> None:
    early = lines(van)
    store.log.take_in(early, name="file")
    grow(van, (3, 2))
    later = store.log.take_in(lines(van), name="file")
    assert (later.added, later.new, later.longer_here) == (5, False, False)
    back = store.log.take_in(early, name="file")
    assert (back.added, back.longer_here) == (0, True)
    assert lines(store) == lines(van)
    assert store.verify().sound


def test_a_run_without_entries_is_carried_too(tmp_path: Path, store: DatabaseStore) -> None:
    with DatabaseStore(str(tmp_path / "van.sqlite"), clock=SteadyClock()) as van:
        assert store.log.take_in(lines(begin(van)), name="file").added == 0
        assert store.log.anchor(KEY) == van.log.anchor(KEY)
    assert store.verify().sound


def test_what_went_on_in_two_places_is_a_conflict(van: DatabaseStore, store: DatabaseStore) -> None:
    store.log.take_in(lines(van), name="file")
    store.log.append(KEY, [event("office")], after=sum(GROUPS))
    van.log.append(KEY, [event("van")], after=sum(GROUPS))
    before = lines(store)
    with pytest.raises(Conflict, match=r"went on in another way here than in the file, from entry 14 on.*Nothing was taken in"):
        store.log.take_in(lines(van), name="file")
    assert lines(store) == before


def test_another_beginning_is_a_conflict(van: DatabaseStore, store: DatabaseStore) -> None:
    store.log.begin(KEY, HEADER, author="somebody else")
    with pytest.raises(Conflict, match=r"file: the store has a run R1 of job MB-01, part 2 already that was begun otherwise"):
        store.log.take_in(lines(van), name="file")
    assert store.log.anchor(KEY).count == 0


def test_a_run_that_is_not_there_cannot_be_given_out(store: DatabaseStore) -> None:
    with pytest.raises(NotFound, match="run R1 of job MB-01, part 2 has no log here"):
        lines(store)


def test_a_damaged_file_leaves_nothing(van: DatabaseStore, store: DatabaseStore) -> None:
    whole = lines(van)
    for broken in (whole[:-1], whole[:2] + whole[3:], [*whole, whole[-1]], whole[:-2] + whole[-1:], [], ["{}"], ["x"], ["[" * 100_000]):
        with pytest.raises(InputError, match="file, line"):
            store.log.take_in(broken, name="file")
        assert store.log.runs() == []
        assert not verify_run_file(broken, name="file").sound
    assert store.verify().sound


def test_it_says_which_line(van: DatabaseStore) -> None:
    whole = lines(van)

    def told(text: list[str]) -> tuple[str, ...]:
        return verify_run_file(text, name="R1.run").chains[0].broken

    assert told(whole) == ()
    assert told([*whole[:2], whole[2].replace("Ж 4", "Ж 5"), *whole[3:]]) == ("R1.run, line 3: it was changed, or what stands before it",)
    assert told(whole[:-1]) == (f"R1.run, line {len(whole)}: the end of the file is missing",)
    assert told([whole[0].replace(":", ": ", 1), *whole[1:]]) == ("R1.run, line 1: it is no line that `mainwright export` wrote",)
    later = [whole[0].replace('"mainwright_run":1', '"mainwright_run":2'), *whole[1:]]
    assert "written in form 2, by another version of Mainwright" in told(later)[0]


def test_any_byte_that_is_changed_is_found(van: DatabaseStore, full_size: bool) -> None:
    data = "\n".join(lines(van)).encode()
    random_ = random.Random(5)
    places = range(len(data)) if full_size else random_.sample(range(len(data)), 400)
    assert verify_run_file(data.decode().split("\n"), name="file").sound
    for place in places:
        changed = bytearray(data)
        changed[place] ^= random_.randrange(1, 256)
        text = bytes(changed).decode("utf-8", "replace").split("\n")
        assert not verify_run_file(text, name="file").sound, place


def test_an_anchor_tells_that_an_end_was_cut_off(van: DatabaseStore, tmp_path: Path) -> None:
    before = van.log.anchor(KEY)
    grow(van, (2,))
    after = van.log.anchor(KEY)
    assert van.verify(anchors=[before, after]).sound
    assert verify_run_file(lines(van), name="file", anchors=[before, after]).sound
    # Somebody who kept a copy of an earlier day puts it in the place of the real one: the chain is whole, the paper knows better.
    with DatabaseStore(str(tmp_path / "old.sqlite"), clock=SteadyClock()) as old:
        old.log.take_in([*lines(van)[:-2], f'{{"count":{before.count},"head":"{before.head}"}}'], name="file")
        assert old.verify(anchors=[before]).sound
        report = old.verify(anchors=[before, after])
    assert not report.sound
    assert report.anchors == ((str(before), "run R1 of job MB-01, part 2"), (str(after), None))
