"""Many small jobs, with gaps in what is known: every plan keeps the laws, is JSON, and can be issued, followed and planned anew."""

import json
import math
import random
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from mainwright.job.job import Job
from mainwright.job.plant import Plant
from mainwright.job.records import Obstruction, Records, RunDone
from mainwright.job.survey import Feature, Ground, Service, Stretch
from mainwright.paper.plan_json import plan_json
from mainwright.plan.plan import make_plan
from mainwright.plan.result import Plan
from tests.unit.paper.test_plan_json import check_promises
from tests.unit.plan.small_job import small_job, small_plant
from tests.unit.plan.test_plan import in_english, laws

KINDS = (
    "bend", "tee", "gate_valve", "air_valve", "hydrant", "branch", "repair_clamp", "washout", "butterfly_valve", "check_valve",
)  # fmt: skip
MATERIALS = ("grey_iron", "steel", "ductile_iron", "asbestos_cement", "other", "pvc")


def some_main(luck: random.Random) -> tuple[Stretch, ...]:
    reached = luck.choice([0.0, 0.0, -50.0, 1000.0])
    rows: list[Stretch] = []
    for _ in range(luck.randint(1, 4)):
        length = luck.choice([3.0, luck.uniform(5.0, 200.0), round(luck.uniform(5.0, 300.0), 1)])
        dn = luck.choice([80, 100, 150, 200, 300, 600])
        rows.append(
            Stretch(
                reached, reached + length, dn, luck.choice(MATERIALS),  # type: ignore[arg-type]
                bore=luck.choice([None, dn * 1.01e-3, dn * 0.98e-3]), wall=luck.choice([None, 0.01]), year=luck.choice([None, 1930]),
                deposit=luck.choice([None, 0.0, 0.005, 0.02]), existing_lining=luck.choice([None, "cement_mortar"]),
                roughness=luck.choice([None, 0.002]), joint=luck.choice([None, 3.66]), flow=luck.choice([None, 0.0, 0.004, 0.05]),
            )
        )  # fmt: skip
        reached += length
    return tuple(rows)


def some_job(luck: random.Random) -> Job:
    main = some_main(luck)
    start, end = main[0].start, main[-1].end

    def place() -> float:
        return round(luck.uniform(start, end), 1)

    features = [
        Feature(
            place() if luck.random() < 0.9 else luck.choice([start, end]), luck.choice(KINDS),  # type: ignore[arg-type]
            angle=luck.choice([None, math.radians(11.25), math.radians(22.5), math.radians(45.0)]), size=luck.choice([None, 80]),
            opening=luck.choice([None, None, "must", "may"]), state=luck.choice([None, "holds", "lets_by"]),
        )
        for _ in range(luck.randint(0, 8))
    ]  # fmt: skip
    cuts = sorted({start, end, *(place() for _ in range(luck.randint(0, 4)))})
    ground = [
        Ground(
            low, high, luck.choice([None, "verge", "carriageway", "railway"]),
            luck.choice([None, 1.2, 2.4]), luck.choice([None, True, True, False]),
        )
        for low, high in pairwise(cuts)
    ]  # fmt: skip
    services = [
        Service(place(), luck.choice([None, "left", "right"]), ref=luck.choice([None, f"S{n}"]), stop_tap=luck.choice([None, "holds"]))
        for n in range(luck.randint(0, 15))
    ]
    whole = small_plant()
    some = Plant(
        pumps=luck.choice([(), whole.pumps]), hoses=luck.choice([(), whole.hoses]), heads=luck.choice([(), whole.heads]),
        mixers=luck.choice([(), whole.mixers]), clearing_rate=luck.choice([None, 0.003]),
    )  # fmt: skip
    job = small_job()
    lining = replace(
        job.lining, single_coat_max=luck.choice([None, 0.004, 0.015]), pit_allowance=luck.choice([0.0, 0.0005]),
        eccentricity=luck.choice([0.0, 0.0005]), flow_bias=luck.choice([0.0, 0.02]),
    )  # fmt: skip
    return replace(
        job, main=main, features=tuple(sorted(features, key=lambda one: one.chainage)), ground=luck.choice([(), tuple(ground)]),
        services=tuple(sorted(services, key=lambda one: one.chainage)), plant=luck.choice([whole, some]), lining=lining,
        prices=luck.choice([(), job.prices]), water=luck.choice([None, job.water]),
        runs=replace(job.runs, max_length=luck.choice([None, 40.0, 180.0])),
    )  # fmt: skip


def some_records(luck: random.Random, plan: Plan) -> Records:
    done = [run for run in plan.runs if luck.random() < 0.4]
    rows = []
    for run in done:
        outcome = luck.choice(["complete", "complete", "aborted"])
        end = run.end if outcome == "complete" else run.start + 0.6 * run.length
        rows.append(RunDone(run.id, run.start, end, direction=run.direction, outcome=outcome))  # type: ignore[arg-type]
    low, high = plan.job.main[0].start, plan.job.main[-1].end
    found = [Obstruction(round(luck.uniform(low, high), 1), luck.choice([None, "bend", "stone"])) for _ in range(luck.randint(0, 2))]
    return Records(runs_done=tuple(rows), obstructions=tuple(found))


def document_of(plan: Plan) -> Any:  # noqa: ANN401 - JSON
    found = json.loads(plan_json(plan, word=in_english))
    check_promises(found)
    if plan.layout.total_cost is not None:
        laws(plan)
    return found


def test_every_plan_keeps_the_laws(full_size: bool) -> None:
    planned = 0
    for seed in range(400 if full_size else 16):
        luck = random.Random(seed)
        job = some_job(luck)
        first = make_plan(job)
        issued = document_of(first)
        if first.layout.total_cost is None:
            assert first.runs == ()
            assert any(warning.severity == "stop" for warning in first.warnings)
            continue
        planned += 1
        second = make_plan(job, records=some_records(luck, first), issued=issued)
        document = document_of(second)
        frozen = {(run.id, run.start, run.end) for run in second.runs if run.done}
        third = make_plan(job, records=Records(), issued=document)
        document_of(third)
        assert {run.id for run in third.runs if run.done} == {name for name, _, _ in frozen}, seed
        assert sum(run.length for run in third.runs if run.done) == pytest.approx(sum(end - start for _, start, end in frozen)), seed
        assert not {run.id for run in third.runs} & (set(second.retired) | set(first.retired)), seed
    assert planned >= 8
