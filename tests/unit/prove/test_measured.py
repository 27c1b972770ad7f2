"""The bill as done: each place once, by the contract's rules, until a day."""

from dataclasses import replace
from datetime import date
from typing import Any

from mainwright.job.measurement import Measurement
from mainwright.plan.bill import bill_of_plan
from mainwright.prove.measured import Measured, measure
from tests.unit.prove.demo_plan import demo_plan, read

HEAD = "run,from_m,to_m,outcome,time_to\n"


def _found(rows: str, *, until: date | None = None, **rules: object) -> dict[str, Measured]:
    plan = demo_plan()
    job = replace(plan.job, measurement=Measurement(**rules))  # type: ignore[arg-type]
    return {one.item: one for one in measure(job, plan.runs, read({"runs_done.csv": HEAD + rows}), until=until)}


def _run() -> tuple[str, str, float, float]:
    run = demo_plan().runs[0]
    return run.id, f"lining_dn{run.dn}", run.start, run.end


def test_a_run_that_failed_and_was_redone_is_paid_once() -> None:
    name, item, start, end = _run()
    rows = f"{name},{start},{start + 30},aborted,\n{name},{start},{end},complete,\n"
    once = _found(rows)[item]
    assert once.quantity == end - start
    assert once.records == ("runs_done.csv:1", "runs_done.csv:2")
    assert _found(rows)["set_up_run"].quantity == 1.0
    assert _found(rows, redone="paid")[item].quantity == end - start + 30.0
    assert _found(rows, redone="paid")["set_up_run"].quantity == 2.0


def test_the_least_length_is_not_paid_for_a_part() -> None:
    name, item, start, end = _run()
    part, whole = f"{name},{start},{start + 10},aborted,\n", f"{name},{start},{end},complete,\n"
    assert _found(part, minimum_length=5000.0)[item].quantity == 10.0
    assert _found(whole, minimum_length=5000.0)[item].quantity == 5000.0


def test_until_a_day_by_the_calendar_of_the_job() -> None:
    name, item, start, end = _run()
    # 22:30 UTC is half past midnight of the next day in the job's time zone.
    rows = f"{name},{start},{end},complete,2026-05-04T22:30:00+00:00\n"
    assert item not in _found(rows, until=date(2026, 5, 4))
    assert _found(rows, until=date(2026, 5, 5))[item].quantity == end - start
    undated = f"{name},{start},{end},complete,\n"
    assert item not in _found(undated, until=date(2026, 5, 5))
    assert item in _found(undated)


def test_what_is_done_whole_measures_as_the_bill_says() -> None:
    plan = demo_plan()
    rules: dict[str, Any] = {"rounding": 0.5, "round_to": "up", "fittings": "deducted", "fitting_length": 0.3, "minimum_length": 70.0}
    job = replace(plan.job, measurement=Measurement(**rules))
    bill = {one.item: one.quantity for one in bill_of_plan(job, openings=(), runs=plan.runs, cleaning=())}
    rows = "".join(f"{run.id},{run.start},{run.end},complete,\n" for run in plan.runs)
    found = _found(rows, **rules)
    lined = {item: one.quantity for item, one in found.items() if item.startswith("lining_dn")}
    assert lined == {item: quantity for item, quantity in bill.items() if item.startswith("lining_dn")}


def test_quantities_count_signed_and_never_beside_other_records() -> None:
    plan = demo_plan()
    rows = (
        "item,time,quantity,unit,signed_by,time_signed\n"
        "traffic_day,2026-05-04T15:00:00+00:00,2,day,clerk,2026-05-04T16:00:00+00:00\n"
        "traffic_day,2026-05-05T15:00:00+00:00,1,day,,\n"
        "lining_dn150,2026-05-05T15:00:00+00:00,999,m,clerk,2026-05-05T16:00:00+00:00\n"
        "obstruction,2026-05-05T15:00:00+00:00,1,each,clerk,2026-05-05T16:00:00+00:00\n"
    )
    run = next(one for one in plan.runs if one.dn == 150)
    done = f"{HEAD}{run.id},{run.start},{run.end},complete,\n"
    found = {one.item: one for one in measure(plan.job, plan.runs, read({"quantities.csv": rows, "runs_done.csv": done}))}
    assert found["traffic_day"].quantity == 2.0
    assert found["traffic_day"].records == ("quantities.csv:1",)
    assert found["lining_dn150"].records == ("runs_done.csv:1",)
    assert "obstruction" not in found
