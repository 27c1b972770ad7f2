"""A job folder in the store: what is new, what corrects, what is missing, and the same folder out again."""

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mainwright.job.document import Document
from mainwright.store.store import DatabaseStore
from mainwright.workflow.keeping import FolderRecords, Kept, keep_job, records_in_force, records_of_folder
from mainwright.workflow.store_ports import KeptRecord

JOB = Document({"job": [{"reference": "TL-03", "name": "Tanner's Lane"}]})
Rows = list[dict[str, object]]


@pytest.fixture
def store(tmp_path: Path) -> Iterator[DatabaseStore]:
    with DatabaseStore(str(tmp_path / "store.sqlite"), clock=lambda: datetime(2026, 4, 13, tzinfo=UTC)) as opened:
        yield opened


def keep(
    store: DatabaseStore, *, replace: bool = False, plan: str | None = None, readings: dict[str, Rows] | None = None, **tables: Rows
) -> Kept:
    return keep_job(store, JOB, FolderRecords(tables, readings or {}, plan), author="a", replace=replace)


def folder(store: DatabaseStore) -> FolderRecords:
    with store.looking() as shelf:
        return records_of_folder(shelf.records("TL-03"))


def batch(number: int, cement: float = 25.0) -> dict[str, object]:
    return {"run": "R01", "batch": str(number), "time": "2026-05-04T07:00:00+00:00", "cement_kg": cement}


def reading(second: int, way: float | None) -> dict[str, object]:
    return {"time": f"2026-05-04T07:{second // 60:02}:{second % 60:02}+00:00", **({} if way is None else {"odometer_m": way})}


def test_the_same_folder_again_adds_nothing(store: DatabaseStore) -> None:
    first = keep(store, batches=[batch(1), batch(2)], curing=[{"run": "R01", "time": "t"}], plan="{}", readings={"R01": [reading(0, 0.0)]})
    assert (first.new, first.added, first.corrected, first.taken_away, first.missing) == (True, 5, 0, 0, 0)
    again = keep(store, curing=[{"run": "R01", "time": "t"}], batches=[batch(2), batch(1)], plan="{}", readings={"R01": [reading(0, 0.0)]})
    assert (again.new, again.records, again.missing) == (False, 0, 0)


def test_a_changed_row_corrects_and_stands_in_its_place(store: DatabaseStore) -> None:
    keep(store, batches=[batch(1), batch(2), batch(3)])
    changed = keep(store, batches=[batch(1), batch(2, cement=50.0), batch(3), batch(4)])
    assert (changed.added, changed.corrected, changed.missing) == (1, 1, 0)
    assert folder(store).tables == {"batches": [batch(1), batch(2, cement=50.0), batch(3), batch(4)]}
    with store.looking() as shelf:
        records = shelf.records("TL-03")
    assert [one.corrects for one in records] == [None, None, None, 2, None]
    assert records[1].row == batch(2)


def test_rows_of_two_vans_stand_beside_each_other(store: DatabaseStore) -> None:
    keep(store, batches=[batch(1)])
    other = keep(store, batches=[batch(2)])
    assert (other.added, other.corrected, other.missing) == (1, 0, 1)
    assert folder(store).tables == {"batches": [batch(1), batch(2)]}


def test_a_row_that_was_struck_out_is_taken_away_only_when_asked(store: DatabaseStore) -> None:
    keep(store, batches=[batch(1), batch(2)])
    assert keep(store, batches=[batch(1)]).missing == 1
    gone = keep(store, batches=[batch(1)], replace=True)
    assert (gone.taken_away, gone.missing) == (1, 0)
    assert folder(store).tables == {"batches": [batch(1)]}
    assert keep(store, batches=[batch(1), batch(2)]).added == 1
    assert folder(store).tables == {"batches": [batch(1), batch(2)]}


def test_equal_rows_are_counted(store: DatabaseStore) -> None:
    mark: dict[str, object] = {"run": "R01", "chainage_m": 1.0, "thickness_mm": 5.0}
    keep(store, thickness=[mark, mark])
    assert keep(store, thickness=[mark, mark, mark]).added == 1
    assert folder(store).tables == {"thickness": [mark, mark, mark]}
    # Which of three equal readings a fourth one would correct, nobody can say: it is a reading of its own.
    odd = {**mark, "thickness_mm": 6.0}
    assert keep(store, thickness=[mark, odd]).corrected == 0


def test_readings_go_on_or_are_replaced_whole(store: DatabaseStore) -> None:
    rows = [reading(second, 0.1 * second) for second in range(2500)]
    assert keep(store, readings={"R01": rows[:1200], "R02": rows[:3]}).added == 3
    more = keep(store, readings={"R01": rows, "R02": rows[:3]})
    assert (more.added, more.taken_away) == (2, 0)
    assert folder(store).readings == {"R01": rows, "R02": rows[:3]}
    assert keep(store, readings={"R01": rows[:10]}).records == 0
    other = [*rows[:100], reading(100, None), *rows[101:]]
    changed = keep(store, readings={"R01": other})
    assert (changed.added, changed.taken_away, changed.missing) == (3, 4, 1)
    assert folder(store).readings == {"R01": other, "R02": rows[:3]}


def test_the_issued_plan_is_one_and_the_latest(store: DatabaseStore) -> None:
    keep(store, plan='{"a": 1}\n')
    assert keep(store, plan='{"a": 2}\n').corrected == 1
    assert keep(store).missing == 0
    assert keep(store, replace=True).taken_away == 0
    assert folder(store).plan == '{"a": 2}\n'


def test_a_correction_of_a_correction() -> None:
    def kept(place: int, row: dict[str, object] | None, corrects: int | None = None) -> KeptRecord:
        return KeptRecord(place, "batches", row, "a", datetime(2026, 1, 1, tzinfo=UTC), "m", None, corrects)

    records = [kept(1, {"n": 1}), kept(2, {"n": 2}), kept(3, {"n": 3}, 1), kept(4, {"n": 4}, 3), kept(5, None, 2), kept(6, {"n": 6})]
    assert [one.place for one in records_in_force(records)] == [4, 6]


_cell = st.sampled_from(["1", "2", 1.0, 2.0, True])
_row = st.fixed_dictionaries({"run": st.sampled_from(["R01", "R02"])}, optional={"batch": _cell, "cement_kg": _cell, "who": _cell})


@given(st.lists(st.lists(_row, max_size=5), min_size=1, max_size=4))
@settings(max_examples=20)
def test_with_replace_the_store_holds_what_the_last_folder_held(tmp_path_factory: pytest.TempPathFactory, folders: list[Rows]) -> None:
    path = tmp_path_factory.mktemp("kept") / "store.sqlite"
    with DatabaseStore(str(path), clock=lambda: datetime(2026, 4, 13, tzinfo=UTC)) as opened:
        for rows in folders:
            keep(opened, batches=rows, replace=True)
            assert keep(opened, batches=rows, replace=True).records == 0
        held = folder(opened).tables.get("batches", [])
        assert sorted(map(_sorted, held)) == sorted(map(_sorted, folders[-1]))
        assert opened.verify().sound


def _sorted(row: object) -> str:
    assert isinstance(row, dict)
    return repr(sorted(row.items(), key=str))
