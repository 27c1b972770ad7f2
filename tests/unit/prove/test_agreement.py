"""The mean of a run by each kind of evidence."""

import pytest

from mainwright.prove.agreement import Evidence, agree
from mainwright.prove.balance import mass_balance
from mainwright.prove.thickness import lay
from tests.unit.prove.demo_plan import a_run, demo_plan, read


def test_each_kind_gives_the_aim_back_and_they_agree() -> None:
    plan, run = demo_plan(), a_run()
    job = plan.job
    # What the plan places, and the hose: in one batch by absolute volumes (895 kg, 895 kg and 358 l to the cubic metre).
    pits = sum(3.14159265 * one.bore * job.lining.pit_allowance * (one.end - one.start) for one in run.settings)
    placed = (sum(one.mortar_per_length * (one.end - one.start) for one in run.settings) + pits) / job.lining.deposit_efficiency
    whole = placed + run.hose_filling
    batches = (
        f"run,batch,time,cement_kg,sand_kg,water_l\n{run.id},1,2026-05-04T07:00:00Z,{895.32 * whole},{895.32 * whole},{358.13 * whole}\n"
    )
    gauges = "run,chainage_m,thickness_mm,zone,over\n" + "".join(
        f"{run.id},{run.start + 5 + k},{1e3 * run.aim + 0.1 * (-1) ** k:.3f},interior,metal\n" for k in range(6)
    )
    records = read(
        {
            "batches.csv": batches,
            "thickness.csv": gauges + f"{run.id},{run.start + 1},1,end,metal\n{run.id},{run.start + 20},20,interior,pit\n",
        },
        run,
    )
    laid = lay(job, run, records.readings[0].readings)
    balance = mass_balance(job, run.id, records, pumped=laid.pumped, deposited=laid.deposited)
    found = agree(job, run, laid, balance, records.thickness)
    assert [one.kind for one in found.evidence] == ["readings", "batches", "gauge"]
    for one in found.evidence:
        assert one.mean == pytest.approx(run.aim, rel=0.01)
        assert one.deviation > 0.0
    assert found.differs == ()
    assert found.mean == pytest.approx(run.aim, rel=0.01)
    assert found.deviation is not None
    assert found.deviation < min(one.deviation for one in found.evidence)


def test_a_contradiction_is_said() -> None:
    plan, run = demo_plan(), a_run()
    records = read({}, run)
    laid = lay(plan.job, run, records.readings[0].readings)
    found = agree(plan.job, run, laid, None, (), scanned=Evidence("scan", run.aim - 0.001, 0.05e-3, 500))
    assert len(found.differs) == 1
    assert found.mean is not None
    assert run.aim - 0.001 < found.mean < run.aim


def test_without_evidence_there_is_no_mean() -> None:
    plan, run = demo_plan(), a_run()
    found = agree(plan.job, run, None, None, ())
    assert (found.evidence, found.mean, found.deviation) == ((), None, None)
