"""What every store must do with jobs and records."""

from datetime import UTC, datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mainwright.demo.job import demo_files
from mainwright.errors import InputError, NotFound
from mainwright.folder.reading import read_files
from mainwright.job.document import Document
from mainwright.store.store import DatabaseStore
from mainwright.workflow.store_ports import NewRecord


def job(reference: str = "MB-01", **more: object) -> Document:
    return Document({"job": [{"reference": reference, "name": "Marrowby", **more}]}, headers={"main": ("from_m", "to_m")})  # type: ignore[dict-item]


def test_an_empty_store_has_no_job(store: DatabaseStore) -> None:
    with store.looking() as shelf:
        assert shelf.jobs() == []
        assert shelf.records("MB-01") == ()
        assert shelf.records_anchor("MB-01") is None
        for call in (shelf.history, shelf.document):
            with pytest.raises(NotFound, match="there is no job MB-01 here"):
                call("MB-01")


def test_a_job_comes_back_with_its_revision(store: DatabaseStore) -> None:
    document = read_files(demo_files()).document
    with store.transaction() as shelf:
        kept = shelf.put(document, author="A. Writer")
    assert (kept.number, kept.revision, kept.author) == (1, document.revision(), "A. Writer")
    assert kept.time.tzinfo == UTC
    with store.looking() as shelf:
        back = shelf.document(kept.job)
        assert back.revision() == document.revision()
        assert back.to_plain() == document.to_plain()
        assert shelf.jobs() == shelf.history(kept.job) == [kept]


def test_the_same_revision_again_adds_nothing_and_an_older_one_does(store: DatabaseStore) -> None:
    first, second = job(), job(client="Waterworks")
    with store.transaction() as shelf:
        one = shelf.put(first, author="a")
        assert shelf.put(first, author="b") == one
        two = shelf.put(second, author="b")
        undone = shelf.put(shelf.document("MB-01", one.revision), author="c")
        assert [kept.number for kept in (one, two, undone)] == [1, 2, 3]
    with store.looking() as shelf:
        assert shelf.history("MB-01") == [one, two, undone]
        assert shelf.jobs() == [undone]
        assert shelf.document("MB-01").tables == first.tables
        assert shelf.document("MB-01", two.revision[:12]).tables == second.tables


def test_jobs_stand_apart(store: DatabaseStore) -> None:
    with store.transaction() as shelf:
        for reference in ("Zü/2", "A-1", "Zü/2 "):
            shelf.put(job(reference), author="a")
        shelf.put(job("Zü/2", client="x"), author="a")
    with store.looking() as shelf:
        assert [(one.job, one.number) for one in shelf.jobs()] == [("Zü/2", 2), ("A-1", 1), ("Zü/2 ", 1)]


def test_revisions_by_their_first_digits(store: DatabaseStore) -> None:
    with store.transaction() as shelf:
        kept = shelf.put(job(), author="a")
    with store.looking() as shelf:
        assert shelf.document("MB-01", kept.revision[:4].upper()).revision() == kept.revision
        with pytest.raises(InputError, match="at least its first 4 digits"):
            shelf.document("MB-01", kept.revision[:3])
        with pytest.raises(NotFound, match="has no revision ffff_"):
            shelf.document("MB-01", "ffff_")
        with pytest.raises(NotFound, match="has no revision %%%%"):
            shelf.document("MB-01", "%%%%")


def test_a_job_without_a_reference_is_refused(store: DatabaseStore) -> None:
    with pytest.raises(InputError, match="reference of the job"), store.transaction() as shelf:
        shelf.put(Document({}), author="a")


def test_an_error_takes_the_whole_transaction_back(store: DatabaseStore) -> None:
    class Change(RuntimeError):
        pass

    with store.transaction() as shelf:
        shelf.put(job("A"), author="a")

    def change() -> None:
        with store.transaction() as shelf:
            shelf.put(job("A", client="x"), author="a")
            shelf.put(job("B"), author="a")
            shelf.add_records("A", [NewRecord("batches", {"run": "R1"})], author="a", method="typed")
            raise Change

    with pytest.raises(Change):
        change()
    with store.looking() as shelf:
        assert [(one.job, one.number) for one in shelf.jobs()] == [("A", 1)]
        assert shelf.records("A") == ()
    assert store.verify().sound


def test_records_are_added_and_corrected_by_further_records(store: DatabaseStore) -> None:
    with store.transaction() as shelf:
        revision = shelf.put(job(), author="a").revision
        one, two = shelf.add_records(
            "MB-01",
            [NewRecord("thickness", {"run": "R1", "thickness_mm": 5.5}), NewRecord("batches", {"batch": "1"})],
            author="a",
            method="typed",
        )
    with store.transaction() as shelf:
        (three,) = shelf.add_records(
            "MB-01", [NewRecord("thickness", {"run": "R1", "thickness_mm": 5.6}, corrects=1)], author="b", method="import"
        )
        (four,) = shelf.add_records("MB-01", [NewRecord("batches", None, corrects=2)], author="b", method="import")
        assert shelf.add_records("MB-01", [], author="b", method="import") == ()
    with store.looking() as shelf:
        assert shelf.records("MB-01") == [one, two, three, four]
        anchor = shelf.records_anchor("MB-01")
    assert anchor is not None
    assert anchor.count == 4
    assert [one.place, two.place, three.place, four.place] == [1, 2, 3, 4]
    assert (three.corrects, three.author, three.method, three.revision) == (1, "b", "import", revision)
    assert three.time > one.time
    assert four.row is None


@pytest.mark.parametrize("corrects", [0, -1, 1, 7])
def test_what_is_not_there_cannot_be_corrected(store: DatabaseStore, corrects: int) -> None:
    with store.transaction() as shelf:
        shelf.put(job(), author="a")
    with pytest.raises(NotFound, match=f"no record {corrects} that could be corrected"), store.transaction() as shelf:
        shelf.add_records("MB-01", [NewRecord("batches", {"a": 1}, corrects=corrects)], author="a", method="typed")
    with pytest.raises(InputError, match="the place of the record that it takes away"), store.transaction() as shelf:
        shelf.add_records("MB-01", [NewRecord("batches", None)], author="a", method="typed")
    with pytest.raises(NotFound, match="there is no job XX here"), store.transaction() as shelf:
        shelf.add_records("XX", [NewRecord("batches", {"a": 1})], author="a", method="typed")


def test_a_look_sees_one_moment(store: DatabaseStore, store_place: str) -> None:
    with store.transaction() as shelf:
        shelf.put(job("A"), author="a")
    with DatabaseStore(store_place, clock=lambda: datetime(2026, 1, 1, tzinfo=UTC)) as other, store.looking() as look:
        assert len(look.jobs()) == 1
        with other.transaction() as shelf:
            shelf.put(job("B"), author="a")
        assert len(look.jobs()) == 1


_cells = st.dictionaries(
    st.text(max_size=5), st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=5)
)


@given(st.lists(st.tuples(st.text(min_size=1, max_size=5), _cells), max_size=6))
@settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_cells_come_back(store: DatabaseStore, rows: list[tuple[str, dict[str, object]]]) -> None:
    kinds = [kind.replace("\0", "0") for kind, _ in rows]
    with store.transaction() as shelf:
        shelf.put(job(), author="a")
        before = len(shelf.records("MB-01"))
        shelf.add_records("MB-01", [NewRecord(kind, row) for kind, (_, row) in zip(kinds, rows, strict=True)], author="ä", method="m")
        back = shelf.records("MB-01")[before:]
    assert [(one.kind, one.row) for one in back] == [(kind, row) for kind, (_, row) in zip(kinds, rows, strict=True)]
