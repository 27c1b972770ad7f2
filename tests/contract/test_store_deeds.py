"""Who did what: only added to, found again by what is asked, alike in both stores."""

from datetime import UTC, datetime, timedelta

import pytest

from mainwright.store.store import DatabaseStore
from mainwright.workflow.deeds import Deed, Wanted


def deed(what: str = "saved", **more: str) -> Deed:
    return Deed(what, more.pop("who", "Ada"), more.pop("role", "lead"), more.pop("device", "local"), **more)


def test_deeds_come_back_latest_first(store: DatabaseStore) -> None:
    one = store.deeds.add(deed(job="A", before="aa", after="bb", detail="table main"))
    two = store.deeds.add(deed("refused", who="", role="nobody", device="", where="127.0.0.2"))
    assert [one.place, two.place] == [1, 2]
    assert list(store.deeds.find(Wanted())) == [two, one]
    assert store.verify().sound


@pytest.mark.parametrize(
    ("wanted", "places"),
    [
        (Wanted(job="A"), [4, 1]),
        (Wanted(what=frozenset({"refused"})), [2]),
        (Wanted(what=frozenset()), []),
        (Wanted(text="BEN"), [3]),
        (Wanted(text="100%"), [4]),
        (Wanted(text="phone"), [2]),
        (Wanted(text="%"), [4]),
        (Wanted(below=3), [2, 1]),
    ],
)
def test_what_is_asked_is_found(store: DatabaseStore, wanted: Wanted, places: list[int]) -> None:
    store.deeds.add(deed(job="A"))
    store.deeds.add(deed("refused", device="phone-1"))
    store.deeds.add(deed(who="Ben", job="B"))
    store.deeds.add(deed(job="A", detail="100% of it"))
    assert [one.place for one in store.deeds.find(wanted)] == places


def test_time_and_number_limit_what_is_found(store: DatabaseStore) -> None:
    kept = [store.deeds.add(deed()) for _ in range(5)]
    middle = kept[2].time
    assert [one.place for one in store.deeds.find(Wanted(since=middle))] == [5, 4, 3]
    assert [one.place for one in store.deeds.find(Wanted(until=middle))] == [2, 1]
    assert [one.place for one in store.deeds.find(Wanted(), most=2)] == [5, 4]
    assert store.deeds.find(Wanted(since=datetime(2026, 4, 13, tzinfo=UTC) + timedelta(days=9))) == []


def test_any_text_can_be_kept(store: DatabaseStore) -> None:
    store.deeds.add(deed(who="=1+1", detail="\x00 \ud800 ünder 管"))
    (found,) = store.deeds.find(Wanted())
    assert found.deed.who == "=1+1"
    assert found.deed.detail.endswith("ünder 管")
    assert store.verify().sound
