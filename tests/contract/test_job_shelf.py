"""What every shelf of jobs must do for the pages, whatever store lies under it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mainwright.bootstrap.serving import page_use_cases
from mainwright.demo.job import demo_files
from mainwright.errors import InputError, MainwrightError, NotFound
from mainwright.folder.reading import read_files
from mainwright.job.document import Document
from mainwright.workflow.library import Library
from mainwright.workflow.library_entry import Facts
from mainwright.workflow.store_ports import NewRecord

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from mainwright.store.store import DatabaseStore
    from mainwright.workflow.jobs_at_hand import JobShelf

    Open = Callable[[], JobShelf]


def job(reference: str = "MB-01", **more: object) -> Document:
    return Document({"job": [{"reference": reference, "name": "Marrowby", **more}]})  # type: ignore[dict-item]


@pytest.fixture
def opened(store: DatabaseStore) -> Open:
    """Open the shelf, each time as another program would: nothing that one remembers is known to the other."""
    return lambda: page_use_cases(store).jobs.shelf


@pytest.fixture
def shelf(opened: Open) -> Iterator[JobShelf]:
    return opened()  # type: ignore[return-value]


def test_an_empty_shelf_has_nothing(shelf: JobShelf) -> None:
    assert [*shelf.stamps(), *shelf.latest(), *shelf.record_counts()] == []
    assert list(shelf.library("entries")) == []


def test_a_shelf_without_a_store_has_nothing_and_keeps_nothing() -> None:
    shelf = page_use_cases().jobs.shelf
    assert [*shelf.stamps(), *shelf.latest(), *shelf.record_counts()] == []
    assert list(shelf.library("entries")) == []
    with pytest.raises(NotFound, match="No store is open"):
        shelf.save(job(), author="A")
    with pytest.raises(NotFound, match="No store is open"):
        shelf.add_to_library("entries", [NewRecord("prices", {})], author="A")


def test_a_job_comes_back_as_it_was_saved(shelf: JobShelf) -> None:
    document = read_files(demo_files()).document
    name = shelf.save(document, author="A. Writer")
    assert shelf.document(name).to_plain() == document.to_plain()
    assert shelf.document(name, document.revision()[:8]).revision() == document.revision()
    read = shelf.read(name)
    assert read.job is not None
    assert read.job.revision == document.revision()
    assert [one.author for one in shelf.history(name)] == ["A. Writer"]
    assert shelf.latest()[name] == shelf.history(name)[-1]


def test_a_name_can_stand_in_an_address_and_belongs_to_one_job(shelf: JobShelf, opened: Open) -> None:
    names = [shelf.save(job(reference), author="A") for reference in ("TL/03 ü", "TL 03 ü", "../x", "%2e%2e", "ü")]
    assert len(set(names)) == 5
    assert all(name and set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-") for name in names)
    again = opened()
    assert list(again.stamps()) == list(again.latest()) == names
    assert [again.document(name).rows("job")[0]["reference"] for name in names] == ["TL/03 ü", "TL 03 ü", "../x", "%2e%2e", "ü"]


def test_a_stamp_differs_once_the_job_was_changed_and_only_then(shelf: JobShelf, opened: Open) -> None:
    one, other = shelf.save(job(), author="A"), shelf.save(job("MB-02"), author="A")
    before = dict(shelf.stamps())
    assert dict(shelf.stamps()) == dict(opened().stamps()) == before
    opened().save(job(client="Waterworks"), author="B")
    after = dict(shelf.stamps())
    assert after[one] != before[one]
    assert after[other] == before[other]
    assert shelf.document(one).rows("job")[0]["client"] == "Waterworks"
    assert shelf.latest()[one].number == 2


def test_the_same_document_adds_no_revision_and_an_older_one_does(shelf: JobShelf) -> None:
    first, second = job(), job(client="Waterworks")
    name = shelf.save(first, author="A")
    assert shelf.save(first, author="B") == name
    shelf.save(second, author="B")
    shelf.save(shelf.document(name, first.revision()), author="C")
    assert [(one.number, one.author, one.revision) for one in shelf.history(name)] == [
        (1, "A", first.revision()),
        (2, "B", second.revision()),
        (3, "C", first.revision()),
    ]


def test_a_faulty_job_is_kept_with_what_was_typed(shelf: JobShelf) -> None:
    name = shelf.save(Document({"job": [{"reference": "X", "name": "X", "first_day": "soon"}]}), author="A")
    read = shelf.read(name)
    assert read.job is None
    assert any("soon" in repr(one) for one in read.faults)
    assert shelf.document(name).rows("job")[0]["first_day"] == "soon"


def test_what_is_not_there_is_refused(shelf: JobShelf) -> None:
    name = shelf.save(job(), author="A")
    with pytest.raises(NotFound, match="no revision"):
        shelf.document(name, "0" * 12)
    with pytest.raises(InputError, match="at least its first"):
        shelf.document(name, "0")
    with pytest.raises(InputError, match="reference"):
        shelf.save(Document({"job": [{"name": "X"}]}), author="A")
    for call in (shelf.history, shelf.document, shelf.records):
        with pytest.raises(NotFound, match="no job none"):
            call("none")


def test_records_are_only_added_to(shelf: JobShelf, opened: Open) -> None:
    name = shelf.save(job(), author="A")
    assert (shelf.record_count(name), list(shelf.records(name))) == (0, [])
    shelf.add_records(name, [NewRecord("batches", {"batch": 1}), NewRecord("batches", {"batch": 2})], author="B")
    shelf.add_records(name, [NewRecord("batches", {"batch": 3}, corrects=2)], author="C")
    shelf.add_records(name, [], author="D")
    found = opened().records(name)
    assert [(one.place, one.row, one.corrects, one.author) for one in found] == [
        (1, {"batch": 1}, None, "B"),
        (2, {"batch": 2}, None, "B"),
        (3, {"batch": 3}, 2, "C"),
    ]
    assert {one.revision for one in found} == {shelf.latest()[name].revision}
    assert shelf.record_count(name) == 3
    assert dict(opened().record_counts()) == {name: 3}
    with pytest.raises(NotFound, match="no record 9"):
        shelf.add_records(name, [NewRecord("batches", None, corrects=9)], author="C")
    assert shelf.record_count(name) == 3


def test_a_library_is_only_added_to_and_stands_apart_from_others(shelf: JobShelf, opened: Open) -> None:
    shelf.add_to_library("entries", [NewRecord("prices", {"a": 1}), NewRecord("plant", {"b": [1.5, "ü"]})], author="A")
    shelf.add_to_library("other", [NewRecord("prices", {"c": None})], author="B")
    shelf.add_to_library("entries", [], author="C")
    with pytest.raises(MainwrightError, match="no record 7"):
        shelf.add_to_library("entries", [NewRecord("prices", None, corrects=7)], author="C")
    shelf.add_to_library("entries", [NewRecord("prices", None, corrects=1)], author="C")
    found = opened().library("entries")
    assert [(one.place, one.kind, one.row, one.corrects, one.author) for one in found] == [
        (1, "prices", {"a": 1}, None, "A"),
        (2, "plant", {"b": [1.5, "ü"]}, None, "A"),
        (3, "prices", None, 1, "C"),
    ]
    assert all(one.time.tzinfo is not None for one in found)
    assert [one.row for one in opened().library("other")] == [{"c": None}]
    assert dict(opened().stamps()) == {}


_FACTS = st.builds(
    Facts,
    st.text(min_size=1, max_size=20),
    st.dates(),
    st.sampled_from(["read", "memory"]),
    st.text(max_size=9),
    st.just("EUR"),
    st.text(max_size=9),
)
_ROWS: Any = st.lists(st.fixed_dictionaries({"item": st.text(min_size=1, max_size=9), "rate": st.floats(0, 1e9)}), min_size=1, max_size=4)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=st.lists(st.tuples(st.integers(0, 2), _FACTS, _ROWS, st.booleans()), min_size=1, max_size=6))
def test_every_revision_of_an_entry_stays_as_it_was(store: DatabaseStore, steps: list[tuple[int, Facts, Any, bool]]) -> None:
    shelf = page_use_cases(store).jobs.shelf
    before = {one.id: one.history for one in Library(shelf).entries()}
    told: dict[str, list[tuple[Facts, object]]] = {}
    for which, facts, rows, withdraw in steps:
        names = list(told)
        name = Library(shelf).keep("prices", facts, {"prices": rows}, author="A", entry=names[which] if which < len(names) else None)
        told.setdefault(name, []).append((facts, {"prices": rows}))
        if withdraw:
            Library(shelf).withdraw(name, author="B")
    there = {one.id: one for one in Library(page_use_cases(store).jobs.shelf).entries()}
    for name, said in told.items():
        assert [(one.facts, one.tables) for one in there[name].history if not one.withdrawn] == said
    assert {name: there[name].history for name in before} == before
