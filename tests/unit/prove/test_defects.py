"""Thin, bare, thick and silent lengths: where, why, and what to do."""

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from mainwright.folder.records import read_record_files
from mainwright.plan.host import resolve_host
from mainwright.plan.result import LinedStretch
from mainwright.prove.as_lined import AsLined
from mainwright.prove.defects import Defect, find_defects, scan_defects
from mainwright.prove.scans import ScannedMetre, judge_scan
from mainwright.prove.thickness import lay
from mainwright.prove.timeline import timelines
from mainwright.science.bore.ring import ring_area
from mainwright.science.rings.thin import ThinArea
from tests.unit.prove.demo_plan import a_run, demo_plan
from tests.unit.prove.records import Rig, as_planned, csv_bytes, drive


def found(
    rig: Rig, *, events: str = "", direction: str = "increasing", keep: Callable[[float], bool] = lambda way: True,
    change: Callable[[LinedStretch], LinedStretch] = lambda one: one, coat_max: float | None = None,
) -> tuple[Defect, ...]:  # fmt: skip
    plan, run = demo_plan(), a_run(direction)
    rows = [row for row in drive(run, rig) if keep(row[1])]
    files = {f"run_{run.id}.csv": csv_bytes(rows)}
    if events:
        files["events.csv"] = ("run,time,kind,chainage_m,note\n" + events.replace("RUN", run.id)).encode()
    read = read_record_files(files)
    assert read.faults == ()
    readings = read.records.readings[0].readings
    laid = lay(plan.job, run, readings)
    stretches = [change(one) for one in plan.stretches]
    host = [replace(one, lining=replace(one.lining, single_coat_max=coat_max)) for one in resolve_host(plan.job).stretches]
    return find_defects(AsLined(plan.job, run, stretches, host, read.records.events, timelines(run, readings)), laid)


def stall(way: float) -> tuple[float, float | None]:
    return (1.0, 0.3) if 30.0 <= way < 44.0 else (1.0, 1.0)


def test_nothing_is_found_where_nothing_is_wrong() -> None:
    assert found(as_planned) == ()


@pytest.mark.parametrize("direction", ["increasing", "decreasing"])
def test_a_stall_is_a_thin_length_with_its_cause_and_a_second_coat(direction: str) -> None:
    run = a_run(direction)
    (one,) = found(stall, direction=direction)
    where = (run.start + 30.0, run.start + 44.0) if direction == "increasing" else (run.end - 44.0, run.end - 30.0)
    assert (one.kind, one.remedy) == ("thin", "second_coat")
    assert one.start == pytest.approx(where[0], abs=0.6)
    assert one.end == pytest.approx(where[1], abs=0.6)
    assert one.causes[0].text == "the pump gave {share} of its output: {flow}"
    # The mortar of the second coat is what the ring of the aim lacks, over the efficiency and with the waste.
    asked = next(part for part in demo_plan().stretches if part.start <= one.start < part.end)
    assert asked.aim is not None
    assert one.worst is not None
    whole = ring_area(thickness=asked.aim, bore=asked.bore_clean) - ring_area(thickness=one.worst, bore=asked.bore_clean)
    assert one.mortar == pytest.approx(whole * one.length / 0.97 * 1.03, rel=0.1)
    assert one.area == pytest.approx(3.14159 * asked.bore_clean * one.length, rel=1e-3)
    assert one.depth == pytest.approx(asked.minimum - one.worst)


def test_an_event_there_is_named_with_its_time() -> None:
    run = a_run()
    (one,) = found(
        stall,
        events=f"RUN,2026-05-04T08:10:00Z,alarm,{run.start + 33:.1f},hopper empty\nRUN,2026-05-04T08:11:00Z,alarm,{run.start + 5:.1f},else\n",
    )
    told = [cause for cause in one.causes if cause.text == "{when}: {what}, {note}"]
    assert [dict(cause.values)["note"] for cause in told] == ["hopper empty"]
    assert dict(told[0].values)["when"] == "10:10"  # by the clock of the job's time zone


def test_the_rest_of_a_run_that_was_given_up_is_bare() -> None:
    run = a_run()
    (one,) = [part for part in found(as_planned, keep=lambda way: way <= 40.0) if part.kind == "bare"]
    assert (one.kind, one.remedy) == ("bare", "line")
    assert one.end == pytest.approx(run.end)
    assert one.causes[0].text == "the head never passed here by its readings"


def test_a_short_place_at_the_opening_is_patched_by_hand() -> None:
    def short(way: float) -> tuple[float, float | None]:
        return (1.0, 0.2) if 0.5 <= way < 1.2 else (1.0, 1.0)

    (one,) = [part for part in found(short) if part.kind == "thin"]
    assert one.remedy == "hand_patch"
    assert one.length <= 1.0


def test_too_much_is_told_too_and_no_mortar_is_put_on_it() -> None:
    def flood(way: float) -> tuple[float, float | None]:
        return (0.4, 1.0) if 30.0 <= way < 32.0 else (1.0, 1.0)

    (one,) = found(flood)
    assert (one.kind, one.remedy, one.mortar) == ("thick", "look", None)
    assert one.causes[0].text == "the head ran at {share} of its speed: {speed}"


def test_a_coat_that_would_pass_the_maximum_is_no_remedy() -> None:
    (one,) = found(stall, change=lambda one: replace(one, maximum=0.0066))
    assert one.remedy == "second_coat"

    def ragged(way: float) -> tuple[float, float | None]:
        return (1.0, 0.2 if int(way / 3.0) % 2 else 0.7) if 30.0 <= way < 44.0 else (1.0, 1.0)

    thin = [part for part in found(ragged, change=lambda one: replace(one, maximum=0.0066)) if part.kind == "thin"]
    assert "reline" in {part.remedy for part in thin}


def test_what_is_too_thick_for_one_coat_is_laid_in_several() -> None:
    (one,) = found(stall)
    (other,) = found(stall, coat_max=0.002)
    assert one.remedy == other.remedy == "second_coat"
    assert other.mortar == one.mortar
    assert "count" not in dict(one.text.values)
    assert other.worst is not None
    # What is missing up to the aim, in coats of at most 2 mm.
    aim = next(part.aim or part.nominal for part in demo_plan().stretches if part.end > other.start)
    assert dict(other.text.values)["count"] == math.ceil((aim - other.worst) / 0.002 - 1e-9)
    assert math.ceil((aim - other.worst) / 0.002) > 1


def test_a_silent_length_is_to_be_measured() -> None:
    run = a_run()
    silent = [part for part in found(as_planned, keep=lambda way: not 20.0 < way < 30.0) if part.kind == "silent"]
    assert [(part.remedy, part.mortar) for part in silent] == [("measure", None)]
    assert silent[0].start == pytest.approx(run.start + 20.0, abs=0.5)


def scanned(area: ThinArea, *, lies: float, maximum: float | None = None) -> Defect:
    plan, run = demo_plan(), a_run()
    stretches = [replace(one, maximum=maximum) if maximum is not None else one for one in plan.stretches]
    metres = tuple(ScannedMetre(float(metre), lies, lies, lies) for metre in range(int(run.start), math.ceil(run.end)))
    scan = judge_scan(
        run, stretches, metres=metres, areas=[area], minimum=area.minimum, minimum_deviation=1e-4, unseen=0.0, unseen_because=None
    )
    (one,) = scan_defects(AsLined(plan.job, run, stretches, (), (), ()), scan)
    return one


def asked_at(chainage: float) -> LinedStretch:
    return next(part for part in demo_plan().stretches if part.start <= chainage < part.end)


def thin_at(start: float, *, length: float = 0.6, minimum: float = 0.002) -> ThinArea:
    return ThinArea(start=start, end=start + length, clock_start=11.0, clock_end=1.0, area=0.05, minimum=minimum)


def test_a_thin_area_of_the_scans_is_told_with_its_place_on_the_clock_and_a_further_coat() -> None:
    run = a_run()
    asked = asked_at(run.start + 40.0)
    aim = asked.aim or asked.nominal
    one = scanned(thin_at(run.start + 40.0), lies=aim, maximum=3.0 * aim)
    assert (one.kind, one.by, one.clock_start, one.clock_end, one.remedy) == ("thin", "scan", 11.0, 1.0, "second_coat")
    assert one.depth == pytest.approx(asked.minimum - 0.002)
    # The coat that the area lacks goes all round on what lies there: the ring between the two bores, by the disc formula.
    bore, coat = asked.bore_clean - 2.0 * aim, aim - 0.002
    assert one.mortar == pytest.approx(math.pi / 4.0 * (bore**2 - (bore - 2.0 * coat) ** 2) * 0.6 / 0.97 * 1.03, rel=1e-6)


def test_a_thin_area_within_reach_of_an_opening_is_filled_by_hand_and_no_more() -> None:
    run = a_run()
    asked = asked_at(run.start + 40.0)
    aim = asked.aim or asked.nominal
    one = scanned(thin_at(run.start + 0.2), lies=aim)
    assert one.remedy == "hand_patch"
    assert one.mortar == pytest.approx(0.05 * (aim - 0.002) * 1.03)


def test_where_a_further_coat_would_pass_the_maximum_the_ring_is_lined_again() -> None:
    run = a_run()
    asked = asked_at(run.start + 40.0)
    aim = asked.aim or asked.nominal
    one = scanned(thin_at(run.start + 40.0), lies=aim, maximum=aim + 0.001)
    assert one.remedy == "reline"
    assert one.mortar == pytest.approx(ring_area(thickness=aim, bore=asked.bore_clean) * 0.6 / 0.97 * 1.03)
