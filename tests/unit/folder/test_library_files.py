"""What goes out of the library comes back as it was: values, bytes, and a whole library with its history."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any, Final

from hypothesis import given, settings
from hypothesis import strategies as st

from mainwright.folder.library_files import EntryFiles
from mainwright.job.columns import TABLES
from mainwright.job.document import Document
from mainwright.job.table import harmless_text
from mainwright.workflow.comparing import compare_documents
from mainwright.workflow.library import Library
from mainwright.workflow.library_entry import Entry, EntryRevision, Facts
from mainwright.workflow.library_file import library_text, read_library
from mainwright.workflow.library_parts import KINDS, Kind, check_part, keys_of, part_of
from mainwright.workflow.library_taking import taken_into
from mainwright.workflow.store_ports import KeptRecord, NewRecord

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mainwright.workflow.library_parts import Tables
    from mainwright.workflow.library_taking import How

FILES: Final = EntryFiles()

_TEXT: Final = st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=12) | st.sampled_from(
    ["=1+1", "'=1+1", "''@x", "-2", "+49", "a,b", 'say "x"', "a;b", "'", "ＡＢ", "＝x"]
)
_MONEY: Final = st.floats(0, 1e6).map(lambda value: float(f"{value:.8g}"))


@st.composite
def price_lists(draw: st.DrawFn) -> dict[str, Any]:
    items = draw(st.lists(_TEXT, min_size=1, max_size=6, unique=True))
    rows = []
    for item in items:
        low, rate, high = sorted(draw(st.tuples(_MONEY, _MONEY, _MONEY)))
        rows.append({"item": item, "unit": draw(_TEXT), "low": low, "rate": rate, "high": high})
    return {"prices": rows}


@st.composite
def plants(draw: st.DrawFn) -> dict[str, Any]:
    names = draw(st.lists(_TEXT, min_size=1, max_size=3, unique=True))
    size = st.floats(1, 1000).map(lambda value: float(f"{value:.8g}"))
    return {
        "hose": [{"name": one, "length_m": draw(size), "bore_mm": draw(size)} for one in names],
        "mixer": [{"name": one, "batch_l": draw(size), "cycle_minutes": draw(size)} for one in names[:1]],
        "crews": [{"crew": one, "skill": "lining", "count": draw(st.integers(1, 9))} for one in names],
    }


@settings(max_examples=150, deadline=None)
@given(data=st.data(), kind=st.sampled_from(["plant", "prices"]))
def test_files_come_back_as_the_same_values_and_the_same_bytes(data: st.DataObject, kind: Kind) -> None:
    tables = data.draw(price_lists() if kind == "prices" else plants())
    assert check_part(kind, tables) == ()
    files = FILES.write(kind, tables)
    read = FILES.read(kind, files)
    assert (read.faults, read.told) == ((), ())
    assert read.tables == tables
    assert FILES.write(kind, read.tables) == files
    for name, content in files.items():
        if name.endswith(".csv"):
            import csv
            import io

            cells = [cell for row in csv.reader(io.StringIO(content.decode())) for cell in row]
            assert all(harmless_text(cell) == cell or _number(cell) for cell in cells), cells


def _number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


class Shelf:
    """A library in memory."""

    def __init__(self) -> None:
        self.kept: list[KeptRecord] = []

    def library(self, name: str) -> list[KeptRecord]:
        assert name == "entries"
        return list(self.kept)

    def add_to_library(self, name: str, new: Sequence[NewRecord], *, author: str) -> None:
        assert name == "entries"
        for one in new:
            place = len(self.kept) + 1
            self.kept.append(
                KeptRecord(
                    place, one.kind, one.row, author, datetime(2026, 4, 13, 7, 0, place % 60, tzinfo=UTC), "page", None, one.corrects
                )
            )


_FACTS: Final = st.builds(Facts, _TEXT, st.dates(), st.sampled_from(["read", "practice"]), _TEXT, st.just("EUR"), st.just("") | _TEXT)


@settings(max_examples=60, deadline=None)
@given(steps=st.lists(st.tuples(st.integers(0, 2), _FACTS, price_lists(), st.booleans()), max_size=6))
def test_a_library_goes_elsewhere_whole_and_is_taken_in_once(steps: list[tuple[int, Facts, Any, bool]]) -> None:
    here, there = Library(Shelf()), Library(Shelf())
    for which, facts, tables, withdraw in steps:
        names = [one.id for one in here.entries()]
        name = here.keep("prices", facts, tables, author="A. Lead", entry=names[which] if which < len(names) else None)
        if withdraw:
            here.withdraw(name, author="B")
    text = library_text(here.entries())
    entries, faults = read_library(text.encode())
    assert faults == ()
    added = [there.take_in(one, author="C") for one in entries]
    assert sum(added) == sum(len(one.history) for one in here.entries())
    assert [there.take_in(one, author="C") for one in entries] == [0] * len(entries)
    told = [[(step.facts, step.tables, step.author, step.time, step.withdrawn) for step in one.history] for one in there.entries()]
    mine = [
        [(step.facts, step.tables, step.author, step.time, step.withdrawn) for step in one.history]
        for one in sorted(here.entries(), key=lambda one: one.id)
    ]
    assert told == mine
    assert all(step.taken_in_by == "C" for one in there.entries() for step in one.history)


@settings(max_examples=60, deadline=None)
@given(given_=price_lists(), own=price_lists(), how=st.sampled_from(["replace", "merge"]))
def test_what_is_taken_stands_in_the_job_and_nothing_else_is_touched(given_: Tables, own: Tables, how: How) -> None:
    revision = EntryRevision(
        1, Facts("P", datetime(2026, 3, 1, tzinfo=UTC).date(), "read", "o", "EUR"), given_, "A", datetime(2026, 3, 1, tzinfo=UTC)
    )
    job = Document({"job": [{"name": "J", "currency": "EUR"}], **own})
    after = taken_into(job, Entry("p", "prices", (revision,), 1), revision, how=how)
    items = {row["item"]: row for row in after.rows("prices")}
    assert all(items[row["item"]] == row for row in given_["prices"])
    mine = {row["item"] for row in own["prices"]} - {row["item"] for row in given_["prices"]}
    assert set(items) == {row["item"] for row in given_["prices"]} | (mine if how == "merge" else set())
    assert after.rows("job") == job.rows("job")
    assert {row["name"] for row in after.rows("origins")} == {row["item"] for row in given_["prices"]}
    # Taken again it changes nothing, and the job that was is not changed in place.
    again = taken_into(after, Entry("p", "prices", (revision,), 1), revision, how=how)
    assert compare_documents(after, again) == ()
    assert job.rows("prices") == own["prices"]


def test_an_entry_holds_only_tables_and_keys_that_there_are() -> None:
    for kind, names in KINDS.items():
        for name in names:
            keys = keys_of(name)
            assert keys
            assert set(keys) <= {column.name for column in TABLES[name].columns}
            assert part_of(kind, {name: [{"unknown": 1}]}) == ({}, (f"{name}.unknown",))
    assert "confidence" not in keys_of("lining")
    assert "pressure_bar" not in keys_of("test")
    assert "first_day" not in keys_of("crews")
