"""The rules for openings and limits, one by one, each where it just holds and where it just does not."""

from dataclasses import replace

import pytest

from mainwright.errors import InputError
from mainwright.job.job import Job
from mainwright.job.plant import Hose, LiningHead, Rope
from mainwright.job.survey import Feature, Ground, Level, Service, Stretch
from mainwright.plan.host import resolve_host
from mainwright.plan.layout.check import check_layout
from mainwright.plan.layout.choose import FixedRun, choose_layout
from mainwright.plan.layout.solution import LayoutSolution
from mainwright.units import to_si
from tests.unit.plan.layout.jobs import BASE, HEAD, HOSE, PLANT, prices, with_plant, with_runs

PRICED = replace(BASE, prices=prices(opening_verge=2000.0, opening_carriageway=3900.0, set_up_run=1400.0))


def layout(job: Job, **options: object) -> LayoutSolution:
    host = resolve_host(job)
    found = choose_layout(job, host, **options)  # type: ignore[arg-type]
    assert check_layout(job, host, found) == ()
    return found


def openings(job: Job, **options: object) -> list[float]:
    return [one.chainage for one in layout(job, **options).openings]


def degrees(angle: float) -> float:
    return to_si(angle, "deg")


def length(metres: float, **more: object) -> Job:
    return replace(PRICED, main=(Stretch(0.0, metres, 200, "grey_iron", bore=0.2),), **more)  # type: ignore[arg-type]


def test_a_run_of_exactly_the_limit_is_allowed_and_the_furthest_of_equals_is_taken() -> None:
    found = layout(length(300.0))
    assert [one.chainage for one in found.openings] == [0.0, 100.0, 200.0, 300.0]
    assert [run.limit for run in found.runs] == ["hose_length", "hose_length", "hose_length"]
    assert found.total_cost == pytest.approx(3 * 1400.0)
    assert found.candidates == 31


def test_the_grid_is_counted_from_the_first_chainage() -> None:
    job = replace(PRICED, main=(Stretch(3.5, 27.0, 200, "grey_iron", bore=0.2),))
    assert layout(job).candidates == 4  # 3.5, 13.5, 23.5, 27
    assert openings(job, locked=[13.5]) == [3.5, 13.5, 27.0]


@pytest.mark.parametrize(
    ("kind", "written", "must"),
    [
        *((kind, None, True) for kind in ("tee", "cross", "gate_valve", "butterfly_valve", "check_valve", "meter", "reducer", "end")),
        *((kind, None, False) for kind in ("air_valve", "hydrant", "washout", "flange_adaptor", "repair_clamp", "branch", "bend")),
        ("tee", "may", False),
        ("hydrant", "must", True),
    ],
)
def test_what_has_to_come_out(kind: str, written: str | None, must: bool) -> None:
    feature = Feature(43.0, kind, angle=degrees(22.5), opening=written)  # type: ignore[arg-type]
    found = layout(length(90.0, features=(feature,)))
    assert [one.chainage for one in found.openings] == ([0.0, 43.0, 90.0] if must else [0.0, 90.0])
    if must:
        assert found.runs[0].limit == "opening"


def test_what_is_written_does_not_win_over_the_angle() -> None:
    bend = Feature(43.0, "bend", angle=degrees(30.0), opening="may")
    found = layout(length(90.0, features=(bend,)))
    assert [one.chainage for one in found.openings] == [0.0, 43.0, 90.0]
    assert found.runs[0].limit == "max_bend"
    assert openings(with_runs(length(90.0, features=(bend,)), max_bend=degrees(30.0))) == [0.0, 43.0, 90.0]
    wide = with_plant(length(90.0, features=(bend,)), heads=(replace(HEAD, bend_max=degrees(30.0)),))
    assert openings(wide) == [0.0, 43.0, 90.0]
    assert openings(with_runs(wide, max_bend=degrees(30.0))) == [0.0, 90.0]


def test_bends_add_up_strictly_inside() -> None:
    bends = tuple(Feature(place, "bend", angle=degrees(22.5)) for place in (20.0, 40.0, 60.0))
    found = layout(length(90.0, features=bends))
    assert [one.chainage for one in found.openings] == [0.0, 60.0, 90.0]
    assert found.runs[0].bends_total == pytest.approx(degrees(45.0))
    assert found.runs[0].limit == "max_bends_total"


def test_a_change_of_size_and_a_step_of_bore_over_the_limit_need_an_opening() -> None:
    def job(dn: int, bore: float) -> Job:
        return replace(PRICED, main=(Stretch(0.0, 33.0, 200, "grey_iron", bore=0.2), Stretch(33.0, 90.0, dn, "grey_iron", bore=bore)))

    assert openings(job(200, 0.203)) == [0.0, 90.0]
    assert layout(job(200, 0.203)).candidates == 10
    assert openings(job(200, 0.2031)) == [0.0, 33.0, 90.0]
    assert openings(job(150, 0.2)) == [0.0, 33.0, 90.0]
    two = layout(job(200, 0.203)).runs[0].lining.settings
    assert [(one.start, one.end, one.bore) for one in two] == [(0.0, 33.0, 0.2), (33.0, 90.0, 0.203)]


def test_zones_that_touch_are_one_and_nothing_opens_inside() -> None:
    ground = (
        Ground(0.0, 47.0, "verge", dig=True),
        Ground(47.0, 60.0, "railway", dig=False),
        Ground(60.0, 82.0, "watercourse", dig=False),
        Ground(82.0, 160.0, "verge", dig=True),
    )
    job = length(160.0, ground=ground)
    found = layout(job)
    assert found.candidates == 17 - 4 + 2  # without 50, 60, 70, 80; with 47 and 82
    assert [one.chainage for one in found.openings] == [0.0, 100.0, 160.0]
    assert "must_in_no_dig" not in [one.code for one in found.warnings]
    tight = with_plant(job, hoses=(replace(HOSE, length=40.0),))
    none = layout(tight)
    assert none.total_cost is None
    assert not none.openings
    stop = [one for one in none.warnings if one.severity == "stop"]
    assert [(one.code, one.start, one.end) for one in stop] == [("no_layout_hose_length", 47.0, 82.0)]


def test_bends_and_branches_under_a_zone_still_count() -> None:
    ground = (Ground(0.0, 40.0, "verge"), Ground(40.0, 60.0, "railway", dig=False), Ground(60.0, 90.0, "verge"))
    features = (Feature(45.0, "bend", angle=degrees(22.5)), Feature(50.0, "branch"), Feature(55.0, "bend", angle=degrees(22.5)))
    job = replace(
        length(90.0, ground=ground, features=features), prices=prices(opening_verge=2000.0, set_up_run=10.0, branch_treatment=7.0)
    )
    found = layout(job)
    assert found.total_cost == pytest.approx(2 * 2000.0 + 10.0 + 7.0)
    assert found.runs[0].bends_total == pytest.approx(degrees(45.0))
    more = replace(job, features=(*features, Feature(70.0, "bend", angle=degrees(11.25))))
    assert openings(more) == [0.0, 70.0, 90.0]


def test_what_must_come_out_inside_a_zone_stops_and_is_priced_by_its_surface() -> None:
    ground = (
        Ground(0.0, 40.0, "verge", dig=True),
        Ground(40.0, 60.0, "carriageway", dig=False),
        Ground(60.0, 90.0, "verge", dig=True),
    )
    found = layout(length(90.0, ground=ground, features=(Feature(50.0, "gate_valve"),)))
    assert [(one.chainage, one.cost) for one in found.openings] == [(0.0, 2000.0), (50.0, 3900.0), (90.0, 2000.0)]
    assert [(one.code, one.start, one.severity) for one in found.warnings if one.code == "must_in_no_dig"] == [
        ("must_in_no_dig", 50.0, "stop")
    ]


def test_where_ground_meets_the_cheaper_that_may_be_dug_counts() -> None:
    def cost_at_40(before: Ground, after: Ground) -> float | None:
        found = layout(length(90.0, ground=(before, after)), locked=[40.0])
        return found.openings[1].cost

    verge, road = Ground(0.0, 40.0, "verge"), Ground(40.0, 90.0, "carriageway")
    assert cost_at_40(verge, road) == 2000.0
    assert cost_at_40(replace(verge, dig=False), road) == 3900.0
    assert cost_at_40(replace(verge, dig=False), replace(road, start=50.0)) is None  # silent ground may be dug, its surface is unknown


def test_deep_openings_pay_by_the_metre() -> None:
    ground = (Ground(0.0, 50.0, "verge", 1.5), Ground(50.0, 90.0, "verge", 2.25))
    job = replace(length(90.0, ground=ground), prices=prices(opening_verge=2000.0, opening_extra_depth=1000.0))
    assert [one.cost for one in layout(job).openings] == [2000.0, 2750.0]


def test_two_runs_share_the_pump_and_the_head_travels_towards_it() -> None:
    job = replace(length(200.0), prices=prices(opening_verge=2000.0, set_up_run=1400.0, set_up_pump=900.0))
    found = layout(job)
    assert [run.direction for run in found.runs] == ["increasing", "decreasing"]
    assert [one.pump_here for one in found.openings] == [False, True, False]
    assert found.total_cost == pytest.approx(2 * 1400.0 + 900.0)


def test_of_equals_the_head_travels_downhill() -> None:
    def way(first: float, last: float) -> str:
        return layout(length(90.0, levels=(Level(0.0, pipe=first), Level(90.0, pipe=last)))).runs[0].direction

    assert way(10.0, 9.0) == "increasing"
    assert way(9.0, 10.0) == "decreasing"
    assert way(9.0, 9.0) == "increasing"


def test_the_hose_that_holds_least_mortar_is_taken_where_it_reaches() -> None:
    hoses = (Hose("long", 162.0, 12.0, 0.05), Hose("short", 112.0, 12.0, 0.038))
    found = layout(with_plant(length(250.0, features=(Feature(150.0, "tee"),)), hoses=hoses))
    assert [run.equipment.hose.name for run in found.runs if run.equipment.hose] == ["long", "short"]


def test_no_head_for_a_size_is_told_where() -> None:
    found = layout(with_plant(length(90.0), heads=(LiningHead("B", 250, 600, "winched"),)))
    assert {one.code for one in found.warnings if one.severity == "stop"} == {"no_layout_lining_head"}


def test_a_bad_aim_is_not_hidden_and_ends_no_plan() -> None:
    lining = replace(BASE.lining, maximum=0.0061, flow_deviation=0.2, nominal=0.006, minimum=0.0055)
    found = layout(replace(length(90.0), lining=lining))
    assert "aim_conflict" in {one.code for one in found.warnings}


def test_rope_too_short_and_too_weak() -> None:
    assert openings(with_plant(length(100.0), ropes=(Rope("R", 60.0, 80e3, 5.0),))) == [0.0, 60.0, 100.0]
    weak = layout(with_plant(length(100.0), ropes=(Rope("R", 400.0, 9e3, 5.0),)))
    assert len(weak.runs) > 1
    assert weak.runs[0].limit == "rope_pull"
    for run in weak.runs:
        assert run.lining.rope_pull is not None
        assert run.lining.rope_pull <= 9e3 / 5.0


def test_too_many_connections_shorten_the_run() -> None:
    services = tuple(Service(5.0 + 2.0 * k) for k in range(40))
    slow = with_plant(length(90.0, services=services), clearing_rate=8.0 / 3600.0)
    found = layout(slow)
    assert found.runs[0].limit in ("connections", "shift")
    assert len(found.runs) > 1
    for run in found.runs:
        assert all(one.cleared is not None and one.cleared <= one.latest + 1e-6 for one in run.lining.passes)
    assert sum(len(run.lining.passes) for run in found.runs) == 40
    assert len(layout(with_plant(slow, clearing_rate=60.0 / 3600.0)).runs) == 1


def test_a_shift_too_short_for_anything_is_said() -> None:
    found = layout(replace(length(90.0), shift=replace(BASE.shift, length=5000.0)))
    assert found.total_cost is None
    assert {one.code for one in found.warnings if one.severity == "stop"} == {"no_layout_shift"}


def test_done_runs_stay_and_the_rest_is_planned_around_them() -> None:
    job = length(300.0)
    found = layout(job, fixed_runs=[FixedRun(120.0, 237.5, "decreasing")])
    done = [run for run in found.runs if run.done]
    assert [(run.start, run.end, run.direction, run.limit) for run in done] == [(120.0, 237.5, "decreasing", "done")]
    assert [one.chainage for one in found.openings] == [0.0, 100.0, 120.0, 237.5, 300.0]
    with pytest.raises(InputError, match="do not overlap"):
        layout(job, fixed_runs=[FixedRun(0.0, 50.0, "increasing"), FixedRun(40.0, 90.0, "increasing")])
    with pytest.raises(InputError, match="fixed run"):
        layout(job, fixed_runs=[FixedRun(250.0, 350.0, "increasing")])


def test_what_may_not_be_opened_is_avoided_and_a_must_there_stops() -> None:
    job = length(200.0)
    assert openings(job) == [0.0, 100.0, 200.0]
    assert openings(job, forbidden=[100.0], prices_of_limits=False) == [0.0, 90.0, 190.0, 200.0]
    found = layout(replace(job, features=(Feature(100.0, "tee"),)), forbidden=[100.0])
    assert [one.code for one in found.warnings if one.severity == "stop"] == ["must_in_no_dig"]


def test_no_plant_at_all_gives_a_plan_that_says_so() -> None:
    bare = with_plant(with_runs(length(300.0), max_length=120.0), pumps=(), hoses=(), heads=(), ropes=(), mixers=())
    found = layout(bare)
    assert [one.chainage for one in found.openings] == [0.0, 120.0, 240.0, 300.0]
    assert {"no_pump", "no_hose", "no_lining_head"} <= {one.code for one in found.warnings}
    assert "plant.pump.flow_l_min" in {one.what for one in found.assumed}


def test_what_has_no_price_is_listed_as_assumed() -> None:
    job = replace(length(90.0, ground=(Ground(0.0, 90.0, "footway"),)), prices=prices(set_up_run=1400.0))
    found = layout(job)
    assert found.total_cost == pytest.approx(1400.0)
    what = {one.what for one in found.assumed}
    assert {"prices.opening_footway", "prices.set_up_pump"} <= what
    assert "prices.set_up_run" not in what
    assert [one.cost for one in found.openings] == [None, None]


def test_the_plant_of_these_tests_limits_what_it_should() -> None:
    assert PLANT.hoses == (HOSE,)
    assert HOSE.length - HOSE.dead_length == 100.0


def test_a_grid_too_fine_to_wait_for_is_refused() -> None:
    with pytest.raises(InputError, match="opening_spacing_grid"):
        layout(with_runs(length(1000.0), opening_spacing_grid=0.01))
    with pytest.raises(InputError, match="opening_spacing_grid"):
        layout(with_runs(length(1000.0), opening_spacing_grid=1e-7))
