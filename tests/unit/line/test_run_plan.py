"""From a planned run to what is followed."""

from dataclasses import replace

import pytest

from mainwright.demo.job import demo_files
from mainwright.errors import InputError
from mainwright.folder.reading import read_files
from mainwright.line.deposit_map import DepositMap
from mainwright.line.run_plan import run_plan
from mainwright.plan.plan import make_plan


def test_a_run_driven_as_planned_lays_the_aim_everywhere() -> None:
    job = read_files(demo_files()).job
    assert job is not None
    plan = make_plan(job)
    several = [run for run in plan.runs if len(run.settings) > 1]
    assert several
    for run in [*several, plan.runs[0]]:
        followed = run_plan(job, run, minimum=0.005, maximum=0.009)
        assert followed.lengths[0].start == 0.0
        assert followed.lengths[-1].end == pytest.approx(run.length)
        deposit = DepositMap(followed, bin_length=0.5)
        time = way = 0.0
        deposit.add(number=0, time=time, way=way, flow=run.flow, guess=0.0)
        for number, one in enumerate(followed.lengths, start=1):
            time += (one.end - one.start) / one.speed
            way = one.end
            deposit.add(number=number, time=time, way=way, flow=run.flow, guess=0.0)
        assert time == pytest.approx(run.lining_time, rel=1e-9)
        edges = [one.start for one in followed.lengths]
        for at, thrown in zip(deposit.profile().ways, deposit.profile().thrown, strict=True):
            if all(abs(at - edge) > 0.5 for edge in edges) and at < run.length - 0.5:
                assert thrown == pytest.approx(followed.at(at).aim, rel=1e-9)
        assert followed.chainage(0.0) == (run.start if run.direction == "increasing" else run.end)
    with pytest.raises(InputError, match="each coat is followed"):
        run_plan(job, replace(plan.runs[0], coats=2), minimum=0.005, maximum=None)
