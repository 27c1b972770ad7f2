"""Planning the rest anew: what is done is frozen, what was found is a must, ids stay with what stands and are never used twice."""

from dataclasses import replace
from datetime import UTC, datetime
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.errors import InputError
from mainwright.job.records import Obstruction, PumpTest, Records, RunDone
from mainwright.plan.changes import plan_changes
from mainwright.plan.issued import Issued
from mainwright.plan.replan import Frozen, freeze, name_runs, place_in, places_found, pumps_today, reasons_on_site
from mainwright.plan.result import Change, ConnectionWindow, Cost, Opening, Run, RunSetting
from mainwright.words.message import message
from mainwright.words.wording import word
from tests.unit.paper.test_plan_json import sample_run
from tests.unit.plan.small_job import small_job


def run(name: str, start: float, end: float, **changes: object) -> Run:
    settings = (RunSetting(start, end, 0.152, 0.0061, 0.0028, 0.2, 0.19, 0.21),)
    windows = tuple(
        ConnectionWindow(service.chainage, service.ref, 0.0, None, None)
        for service in small_job().services
        if start < service.chainage < end
    )
    made = replace(
        sample_run(), id=name, start=start, end=end, length=end - start, direction="increasing", settings=settings, windows=windows,
        connections=len(windows), bags=20, mortar=0.5, hose_filling=0.2, lining_time=(end - start) / 0.2,
    )  # fmt: skip
    return replace(made, **changes)  # type: ignore[arg-type]


def opening(chainage: float) -> Opening:
    return Opening(chainage, (message("end"),), "verge", 1.2, pump_here=False, cost=2200.0, must=True)


def issued() -> Issued:
    runs = (run("R01", 0.0, 120.0), run("R02", 120.0, 240.0), run("R03", 240.0, 300.0))
    return Issued("5a" * 32, "Mill Street main", runs, tuple(opening(place) for place in (0.0, 120.0, 240.0, 300.0)), 30000.0, ("R05",))


def said(change: Change, units: Literal["metric", "us"] = "metric") -> str:
    return word(change.text, language="en", units=units)


def frozen(*done: RunDone) -> Frozen:
    return freeze(small_job(), issued(), Records(runs_done=done))


def test_nothing_done_freezes_nothing() -> None:
    assert frozen() == Frozen((), ())


def test_a_run_that_is_done_is_frozen_as_it_was_issued() -> None:
    found = frozen(RunDone("R02", 120.0, 240.0, direction="increasing", outcome="complete"))
    assert found.runs == (replace(issued().runs[1], done=True),)


def test_a_tape_that_reads_a_little_less_is_the_same_run() -> None:
    found = frozen(RunDone("R01", 0.3, 119.4, outcome="complete"))
    assert (found.runs[0].start, found.runs[0].end) == (0.0, 120.0)


def test_an_aborted_run_is_done_as_far_as_it_came() -> None:
    found = frozen(RunDone("R01", 0.0, 83.0, direction="increasing", outcome="aborted"))
    (piece,) = found.runs
    assert (piece.id, piece.start, piece.end, piece.length, piece.done) == ("R01", 0.0, 83.0, 83.0, True)
    assert piece.mortar == pytest.approx(0.2 + 0.3 * 83.0 / 120.0)
    assert piece.lining_time == pytest.approx(83.0 / 0.2)
    assert piece.marks[-1].chainage == 83.0
    assert piece.connections == 1


def test_a_run_aborted_before_it_began_is_still_to_be_done() -> None:
    assert frozen(RunDone("R01", 0.0, 0.0, outcome="aborted")).runs == ()


def test_a_record_written_from_far_to_near_is_the_same_length() -> None:
    assert frozen(RunDone("R01", 120.0, 0.0, direction="decreasing", outcome="complete")).runs[0].start == 0.0


def test_the_way_that_the_head_really_went_wins() -> None:
    (piece,) = frozen(RunDone("R01", 0.0, 120.0, direction="decreasing", outcome="complete")).runs
    assert piece.direction == "decreasing"
    assert piece.marks[-1].elapsed == 0.0


def test_a_split_run_has_two_pieces_with_their_own_ids() -> None:
    found = frozen(RunDone("R02", 120.0, 160.0, outcome="split"), RunDone("R02", 190.0, 240.0, outcome="split"))
    assert [(piece.id, piece.start, piece.end) for piece in found.runs] == [("R02", 120.0, 160.0), ("R02-2", 190.0, 240.0)]


def test_a_second_coat_is_the_same_length_and_a_missing_one_is_told() -> None:
    two = replace(issued(), runs=(replace(issued().runs[0], coats=2), *issued().runs[1:]))
    one_coat = RunDone("R01", 0.0, 120.0, coat=1, outcome="complete")
    after_one = freeze(small_job(), two, Records(runs_done=(one_coat,)))
    assert [(warning.code, warning.severity) for warning in after_one.warnings] == [("coats_missing", "act")]
    after_two = freeze(small_job(), two, Records(runs_done=(one_coat, replace(one_coat, coat=2))))
    assert after_two.warnings == ()
    assert len(after_two.runs) == 1
    half = replace(one_coat, coat=2, end=60.0, outcome="aborted")
    after_half = freeze(small_job(), two, Records(runs_done=(one_coat, half)))
    assert [warning.code for warning in after_half.warnings] == ["coats_missing"]
    assert after_half.runs[0].end == 120.0


def test_what_an_earlier_plan_froze_stays_frozen() -> None:
    once = replace(issued(), runs=(replace(issued().runs[0], done=True), *issued().runs[1:]))
    assert freeze(small_job(), once, Records()).runs == (once.runs[0],)
    again = freeze(small_job(), once, Records(runs_done=(RunDone("R01", 0.0, 120.0, outcome="complete"),)))
    assert again.runs == (once.runs[0],)


def test_a_run_that_the_plan_does_not_have_is_told() -> None:
    with pytest.raises(InputError, match=r"runs_done\.csv: run is R09; allowed: a run of the issued plan: R01, R02, R03"):
        frozen(RunDone("R09", 0.0, 50.0))


def test_a_length_outside_its_run_is_told() -> None:
    with pytest.raises(InputError, match="of run R01 is 0 to 180 m; allowed: 0 to 120"):
        frozen(RunDone("R01", 0.0, 180.0))


def test_where_something_was_found_an_opening_must_be() -> None:
    found = (Obstruction(90.0, "brick"), Obstruction(66.003, "bend", on_drawing=True), Obstruction(83.0), Obstruction(83.0))
    assert places_found(small_job(), found) == (66.0, 83.0, 90.0)


@pytest.mark.parametrize(("written", "meant"), [(120.004, 120.0), (239.9999, 240.0), (119.9, 119.9), (66.0, 66.0), (300.004, 300.0)])
def test_a_written_chainage_means_the_place_beside_it(written: float, meant: float) -> None:
    assert place_in(small_job(), written) == meant


def test_an_obstruction_off_the_main_is_told() -> None:
    with pytest.raises(InputError, match=r"obstructions\.csv: chainage_m is 301\.0 m; allowed: 0 to 300, on the main"):
        places_found(small_job(), (Obstruction(301.0),))


def test_an_opening_says_what_was_found_or_why_it_was_there() -> None:
    found = (Obstruction(83.0, "brick"), Obstruction(90.0))
    done = Frozen((replace(issued().runs[0], done=True, end=70.0),), ())

    def reasons(chainage: float) -> list[str]:
        texts = reasons_on_site(opening(chainage), frozen=done, before=issued().openings, obstructions=found)
        return [text.text for text in texts]

    assert reasons(83.0) == ["obstruction found on site: {kind}"]
    assert reasons(90.0) == ["obstruction found on site"]
    assert reasons(70.0) == ["end of what is lined"]
    assert reasons(0.0) == reasons(240.0) == ["end"]


def test_ids_stay_with_what_stands_and_new_ones_are_new() -> None:
    spans = ((0.0, 83.0, "increasing"), (83.0, 120.0, "increasing"), (120.0, 240.0, "increasing"), (240.0, 300.0, "decreasing"))
    # R05 was retired by an earlier issue; the last run is drawn the other way, so it is another run.
    assert name_runs(spans, issued()) == ("R06", "R07", "R02", "R08")  # type: ignore[arg-type]


@given(st.lists(st.integers(1, 40), min_size=1, max_size=12, unique=True), st.sets(st.integers(0, 11)))
def test_no_id_is_ever_used_twice(cuts: list[int], done: set[int]) -> None:
    ends = [0, *sorted(cuts)]
    old = tuple(
        replace(run(f"R{k + 3:02d}", float(ends[k]), float(ends[k + 1])), done=k in done) for k in range(len(ends) - 1)
    )  # fmt: skip
    before = Issued("r", "job", old, (), None, ("R40",))
    spans = [(one.start, one.end, one.direction) for one in old if not one.done] + [(100.0, 110.0, "decreasing")]
    names = name_runs(spans, before)
    assert len(set(names)) == len(names)
    assert list(names[:-1]) == [one.id for one in old if not one.done]
    assert names[-1] == "R41"


def test_changes_are_told_in_words_with_their_numbers() -> None:
    runs = (run("R06", 0.0, 83.0), run("R07", 83.0, 120.0), run("R02", 120.0, 240.0), run("R03", 240.0, 300.0))
    found = plan_changes(
        issued(), openings=[opening(place) for place in (0.0, 83.0, 120.0, 240.0, 300.0)], runs=runs, services=small_job().services,
        cost=Cost(1.0, 34000.0, 2.0, ()), currency="EUR",
    )  # fmt: skip
    told = {change.subject: change for change in found}
    assert list(told) == ["openings", "runs", "sheets", "bags", "customers", "money"]
    assert said(told["openings"]) == "Openings: new at 83.0 m; no longer needed at –."
    assert said(told["openings"], units="us") == "Openings: new at 272.3 ft; no longer needed at –."
    assert said(told["runs"]) == "Runs: new R06, R07; no longer there R01; all others keep their id."
    assert (told["bags"].before, told["bags"].after) == (60.0, 80.0)
    assert said(told["customers"]) == "Customers: 2 connections now go with another run and need a new notice: S1, S2."
    assert (told["money"].before, told["money"].after) == (30000.0, 34000.0)


@pytest.mark.parametrize(
    "changes",
    [{"pump_setting": 61.0}, {"mortar": 0.51}, {"hose": "H2"}, {"windows": ()}, {"settings": (RunSetting(120.0, 240.0, 0.149, 0.0061, 0.0028, 0.21, 0.19, 0.22),)}],
)  # fmt: skip
def test_a_sheet_with_other_numbers_is_taken_back(changes: dict[str, object]) -> None:
    runs = (issued().runs[0], replace(issued().runs[1], **changes), issued().runs[2])  # type: ignore[arg-type]
    found = plan_changes(
        issued(), openings=issued().openings, runs=runs, services=(), cost=Cost(None, None, None, ()), currency="EUR"
    )  # fmt: skip
    sheets = next(change for change in found if change.subject == "sheets")
    assert sheets.after == 1.0
    assert said(sheets) == "Run sheets: R02 keep their id with other numbers: take the old sheets back."


def test_where_nothing_changed_it_is_said() -> None:
    found = plan_changes(
        issued(), openings=issued().openings, runs=issued().runs, services=small_job().services, cost=Cost(1.0, 30000.0, 2.0, ()),
        currency="EUR",
    )  # fmt: skip
    assert all(change.text.values == () for change in found)
    assert [change.after for change in found if change.subject in ("sheets", "customers")] == [0.0, 0.0]


def pump_test(*rows: tuple[float, float], day: int = 4, through: bool | None = True) -> tuple[PumpTest, ...]:
    when = datetime(2026, 5, day, 7, 30, tzinfo=UTC)
    return tuple(PumpTest("P1", litres / 1000.0, 60.0, when, setting, through_hose=through) for setting, litres in rows)


def test_the_last_test_through_the_hose_takes_the_place_of_the_jobs_own() -> None:
    records = Records(pump_test=(*pump_test((40.0, 19.0), (80.0, 38.0)), *pump_test((40.0, 18.0), (60.0, 27.5), day=5)))
    pump = pumps_today(small_job(), records).plant.pumps[0]
    assert [setting for setting, _ in pump.points] == [40.0, 60.0]
    assert [output for _, output in pump.points] == pytest.approx([18.0 / 60000.0, 27.5 / 60000.0])
    assert pump.tested_through_hose is True


@pytest.mark.parametrize("through", [False, None])
def test_an_open_bucket_takes_the_place_of_nothing(through: bool | None) -> None:
    assert pumps_today(small_job(), Records(pump_test=pump_test((40.0, 19.0), (80.0, 38.0), through=through))) == small_job()


def test_one_setting_is_no_test() -> None:
    assert pumps_today(small_job(), Records(pump_test=pump_test((40.0, 19.0), (40.0, 19.4)))) == small_job()


def test_a_long_list_is_counted() -> None:
    runs = tuple(run(f"R{n:02d}", 10.0 * n, 10.0 * n + 10.0) for n in range(20, 40))
    found = plan_changes(issued(), openings=(), runs=runs, services=(), cost=Cost(None, None, None, ()), currency="EUR")
    assert "R31 … (+8)" in said(found[1])
