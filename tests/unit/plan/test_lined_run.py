"""One lined run: mortar, speeds, coats, connections and supply, against sums done here by hand."""

import math
from dataclasses import replace

import pytest

from mainwright.job.job import Job
from mainwright.job.plant import Hose, Mixer
from mainwright.job.survey import Service, Stretch
from mainwright.plan.host import resolve_host
from mainwright.plan.lined_run import line_run
from mainwright.plan.lining import Equipment, RunLining
from mainwright.plan.placing import Linings
from mainwright.plan.result import Direction
from mainwright.units import to_si
from tests.unit.plan.layout.jobs import BASE, HEAD, MIXER, PUMP, ROPE, with_lining, with_plant


def lined(job: Job, start: float, end: float, *, direction: Direction = "increasing", **equipment: object) -> RunLining:
    tools = Equipment(PUMP, Hose("H", 150.0, 12.0, 0.038), HEAD, ROPE, MIXER)
    return line_run(Linings(job, resolve_host(job)), start, end, equipment=replace(tools, **equipment), direction=direction)  # type: ignore[arg-type]


def test_speed_of_the_set_point() -> None:
    # D 200 mm, 5 mm, 20 l/min, nothing lost: 6.5 m/min by the ring's volume.
    job = with_lining(BASE, nominal=0.005, minimum=0.004)
    found = lined(job, 0.0, 65.3, pump=replace(PUMP, flow=to_si(20.0, "l_min")))
    assert found.speed * 60.0 == pytest.approx(20.0 / (math.pi * 5.0 * 195.0 * 1e-3))
    assert found.lining_time == pytest.approx(65.3 / found.speed)
    assert found.flow == pytest.approx(to_si(20.0, "l_min"))
    assert (found.coats, found.aim_met) == (1, True)


def test_what_is_mixed_is_the_sum_of_its_parts() -> None:
    job = with_lining(BASE, deposit_efficiency=0.97, pit_allowance=0.0003)
    found = lined(job, 0.0, 100.0)
    ring = math.pi * 0.006 * 0.194 * 100.0 / 0.97
    pits = math.pi * 0.2 * 0.0003 * 100.0 / 0.97
    assert (found.ring, found.pits, found.joints) == pytest.approx((ring, pits, 0.0))
    assert found.waste == pytest.approx(0.03 * (ring + pits))
    assert found.hose_filling == pytest.approx(0.170, abs=0.0005)  # 150 m of 38 mm, all of it, dead length too
    assert found.mortar == pytest.approx(1.03 * (ring + pits) + math.pi / 4 * 0.038**2 * 150.0)
    assert found.mortar_per_length == pytest.approx(math.pi * 0.006 * 0.194)
    assert found.residence == pytest.approx(found.hose_filling / PUMP.flow)


def test_the_flow_is_lowered_for_the_whole_run_where_one_bore_would_be_too_fast() -> None:
    rows = (Stretch(0.0, 40.0, 150, "grey_iron", bore=0.150), Stretch(40.0, 100.0, 150, "grey_iron", bore=0.152))
    job = replace(BASE, main=rows)
    found = lined(job, 0.0, 100.0, head=replace(HEAD, speed_max=to_si(5.0, "m_min")))
    slow, fast = found.settings[1], found.settings[0]
    assert fast.speed == pytest.approx(to_si(5.0, "m_min"))
    assert slow.speed < fast.speed
    assert found.flow == pytest.approx(fast.speed * fast.mortar_per_length)
    assert found.flow == pytest.approx(slow.speed * slow.mortar_per_length)
    assert found.flow < PUMP.flow


def test_a_thick_aim_is_laid_in_coats_each_in_the_bore_that_the_last_one_left() -> None:
    job = with_lining(BASE, nominal=0.012, minimum=0.010, single_coat_max=0.005, pit_allowance=0.0005)
    found = lined(job, 0.0, 50.0, head=replace(HEAD, speed_max=None))
    assert found.coats == 3
    bores = [coat[0].bore for coat in found.coat_settings]
    assert bores == pytest.approx([0.2, 0.192, 0.184])
    assert [coat[0].aim for coat in found.coat_settings] == pytest.approx([0.004] * 3)
    # The coats together are the ring of the whole aim, and their times the time of all.
    assert sum(coat[0].mortar_per_length for coat in found.coat_settings) == pytest.approx(math.pi * 0.012 * 0.188)
    assert sum(50.0 / coat[0].speed for coat in found.coat_settings) == pytest.approx(found.lining_time)
    assert found.settings[0].aim == pytest.approx(0.012)
    assert found.hose_filling == pytest.approx(3 * math.pi / 4 * 0.038**2 * 150.0)


@pytest.mark.parametrize("direction", ["increasing", "decreasing"])
def test_connections_are_cleared_one_after_the_other(direction: Direction) -> None:
    services = (Service(10.0, ref="a"), Service(11.0, ref="b", live=False), Service(12.0, ref="c"), Service(90.0, ref="d"))
    job = with_plant(replace(BASE, services=services), clearing_rate=12.0 / 3600.0)
    found = lined(job, 0.0, 100.0, direction=direction)
    order = ["a", "c", "d"] if direction == "increasing" else ["d", "c", "a"]
    assert [one.service.ref for one in found.passes] == order
    way = [10.0, 12.0, 90.0] if direction == "increasing" else [10.0, 88.0, 90.0]
    assert [one.pass_at for one in found.passes] == pytest.approx([each / found.speed for each in way])
    now = 0.0
    for one in found.passes:
        assert (one.earliest, one.latest) == pytest.approx((one.pass_at + 1200.0, one.pass_at + 10800.0))
        now = max(now, one.earliest) + 300.0
        assert one.cleared == pytest.approx(now)
    assert found.clearing_end == pytest.approx(now)
    assert found.occupied == pytest.approx(3600.0 + max(found.lining_time, now) + 1800.0)


def test_a_connection_at_an_opening_belongs_to_the_run_that_begins_there_and_at_the_end_to_the_last() -> None:
    job = replace(BASE, services=(Service(0.0), Service(100.0), Service(300.0)))
    assert [one.service.chainage for one in lined(job, 0.0, 100.0).passes] == [0.0]
    assert [one.service.chainage for one in lined(job, 100.0, 300.0).passes] == [100.0, 300.0]


def test_how_far_a_slow_mixer_gets() -> None:
    # 20 l/min mixed, 30 pumped: 100 l in the hopper last 10 minutes.
    found = lined(BASE, 0.0, 300.0, mixer=Mixer("small", 0.100, 300.0, 0.100))
    assert found.supply_length == pytest.approx(600.0 * found.speed)
    assert lined(BASE, 0.0, 300.0).supply_length is None
    assert lined(BASE, 0.0, 20.0, mixer=Mixer("small", 0.100, 300.0, 0.100)).supply_length is None


def test_cold_mortar_lives_longer_and_sets_later_by_the_careful_end_of_the_laws() -> None:
    warm = Linings(BASE, resolve_host(BASE)).day
    job = replace(BASE, mortar=replace(BASE.mortar, mortar_temperature=to_si(10.0, "c"), wall_temperature=to_si(8.0, "c")))
    cold = Linings(job, resolve_host(job)).day
    assert (warm.usable, warm.set_time, warm.clearing_from) == pytest.approx((5400.0, 10800.0, 1200.0))
    assert cold.usable > warm.usable
    assert cold.clearing_from / warm.clearing_from >= cold.set_time / warm.set_time > 1.0
