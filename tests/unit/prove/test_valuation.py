"""What is owed: only what is proven is in the sum, and the sum is what a surveyor would reckon by hand."""

import math
from dataclasses import replace
from datetime import date
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mainwright.demo.records import demo_records
from mainwright.folder.records import read_record_files
from mainwright.job.measurement import Payment
from mainwright.job.office import Price
from mainwright.job.records import PaymentMade, Records
from mainwright.prove.proof import Proof, prove
from mainwright.prove.valuation import Valuation, value
from tests.unit.prove.demo_plan import demo_plan, read


@cache
def _recorded() -> Records:
    plan = demo_plan()
    found = read_record_files(demo_records(plan.job, plan.runs))
    assert found.faults == ()
    return found.records


@cache
def _proof() -> Proof:
    return _proved(_recorded())


def _proved(records: Records) -> Proof:
    plan = demo_plan()
    return prove(plan.job, runs=plan.runs, stretches=plan.stretches, records=records, issued=None, bill=plan.bill)


def _made(
    records: Records | None = None,
    *,
    proof: Proof | None = None,
    until: date | None = None,
    final: bool = False,
    prices: tuple[Price, ...] | None = None,
    **payment: object,
) -> Valuation:
    plan = demo_plan()
    job = replace(plan.job, payment=Payment(**payment)) if payment else plan.job  # type: ignore[arg-type]
    job = job if prices is None else replace(job, prices=prices)
    records = _recorded() if records is None else records
    return value(job, _proof() if proof is None else proof, bill=plan.bill, records=records, until=until, final=final)


def _with_extras(rows: str) -> Valuation:
    head = "ref,time,kind,item,quantity,unit,rate,cause,instructed_by,signed_by,time_signed\n"
    records = read({"extras.csv": head + rows})
    plan = demo_plan()
    return value(plan.job, _proved(Records()), bill=plan.bill, records=records)


def test_the_sum_by_hand() -> None:
    made = _made(retention=0.05, retention_limit=0.03)
    prices = {one.item: one.rate for one in demo_plan().job.prices}
    assert made.sums.measured == pytest.approx(math.fsum(one.quantity * (prices[one.item] or 0.0) for one in made.lines))
    # One obstruction, nine hours of daywork, an hour and a half of standing, the hydrant that was ordered.
    assert made.sums.extras == pytest.approx(2900.0 + 9 * 58.0 + 1.5 * 210.0 + 1450.0)
    assert made.sums.contract is not None
    kept = min(0.05 * made.sums.gross, 0.03 * made.sums.contract)
    assert made.sums.due == pytest.approx(made.sums.gross - kept - 60000.0)


def test_every_line_and_extra_points_at_records() -> None:
    made = _made()
    assert made.lines
    assert all(one.records for one in made.lines)
    assert all(one.records for one in made.extras)


def test_what_is_not_proven_is_shown_and_in_no_sum() -> None:
    made = _made()
    held = {(one.item, one.records) for one in made.held}
    assert any(records == ("extras.csv:2",) for _, records in held)
    assert any(item.startswith("opening_") and len(records) == 1 for item, records in held)
    claimed = {row for one in made.lines for row in one.records} | {row for one in made.extras for row in one.records}
    assert not claimed & {record for one in made.held for record in one.records if not record.startswith("runs_done")}
    assert all(one.why for one in made.held)


def test_lining_may_wait_until_its_run_meets() -> None:
    lined, met = _made(lining="lined"), _made(lining="met")
    bad = [one.run for one in _proof().runs if one.verdict != "meets"]
    assert bad
    held = {one.item: one.quantity for one in met.held if one.item.startswith("lining_dn")}
    for dn in {run.dn for run in bad}:
        assert held[f"lining_dn{dn}"] == pytest.approx(sum(run.length for run in bad if run.dn == dn))
    assert lined.sums.measured - met.sums.measured == pytest.approx(
        sum(one.amount or 0.0 for one in met.held if one.item.startswith("lining"))
    )
    rows = [record for one in met.lines if one.item.startswith("lining_dn") for record in one.records]
    assert len(rows) == len(set(rows)) == len(_proof().runs) - len(bad)


def test_without_a_rate_nothing_is_claimed() -> None:
    prices = tuple(one for one in demo_plan().job.prices if one.item != "camera")
    made = _made(prices=prices)
    assert "camera" not in {one.item for one in made.lines}
    assert [one.amount for one in made.held if one.item == "camera"] == [None]


def test_a_price_in_another_unit_is_not_multiplied() -> None:
    prices = tuple(replace(one, unit="km") if one.item == "camera" else one for one in demo_plan().job.prices)
    assert "camera" not in {one.item for one in _made(prices=prices).lines}


def test_until_a_day_takes_less_and_never_more() -> None:
    days = [date(2026, 4, 1), date(2026, 5, 4), date(2026, 5, 5), date(2026, 5, 7), date(2027, 1, 1)]
    gross = [_made(until=day).sums.gross for day in days]
    assert gross == sorted(gross)
    assert gross[0] == 0.0
    assert gross[-1] == pytest.approx(_made().sums.gross)
    assert _made(until=date(2026, 5, 7)).sums.paid == 0.0


def test_records_without_a_time_are_told_of() -> None:
    run = demo_plan().runs[0]
    records = read({"runs_done.csv": f"run,from_m,to_m\n{run.id},{run.start},{run.end}\n"})
    made = _made(records, proof=_proved(records), until=date(2026, 5, 7))
    assert made.sums.gross == 0.0
    assert any("without a time" in note.text for note in made.notes)


@pytest.mark.parametrize(
    ("row", "proven"),
    [
        ("D1,2026-05-04T10:00:00+02:00,daywork,daywork_hour,4,hour,,client,,clerk,2026-05-04T16:00:00+02:00", True),
        ("D1,2026-05-04T10:00:00+02:00,daywork,daywork_hour,4,hour,,client,,clerk,2026-05-05T08:00:00+02:00", False),
        # The same day in the job's time zone, another one in UTC.
        ("D1,2026-05-04T23:30:00+02:00,daywork,daywork_hour,4,hour,,client,,clerk,2026-05-04T21:50:00+00:00", True),
        ("D1,2026-05-04T10:00:00+02:00,daywork,daywork_hour,4,hour,,client,,,", False),
        ("D1,2026-05-04T10:00:00+02:00,daywork,daywork_hour,4,hour,,contractor,,clerk,2026-05-04T16:00:00+02:00", False),
        ("S1,2026-05-04T10:00:00+02:00,standing_time,standing_hour,4,hour,,,,clerk,2026-05-04T16:00:00+02:00", False),
        ("V1,2026-05-04T10:00:00+02:00,variation,hydrant,1,each,1450,client,clerk,,", True),
        ("V1,2026-05-04T10:00:00+02:00,variation,hydrant,1,each,,client,clerk,,", False),
        ("V1,2026-05-04T10:00:00+02:00,variation,hydrant,1,each,1450,client,,,", False),
        ("D1,2026-05-04T10:00:00+02:00,daywork,daywork_hour,4,day,,client,,clerk,2026-05-04T16:00:00+02:00", False),
    ],
)
def test_the_proof_of_an_extra(row: str, *, proven: bool) -> None:
    made = _with_extras(row + "\n")
    assert (len(made.extras), len(made.held)) == ((1, 0) if proven else (0, 1))


@pytest.mark.parametrize(
    ("row", "claims", "held"),
    [
        ("repair_clamp,no,2026-05-04T10:00:00+02:00,p.jpg", 1, 0),
        ("repair_clamp,no,,p.jpg", 0, 1),
        ("repair_clamp,no,2026-05-04T10:00:00+02:00,", 0, 1),
        ("repair_clamp,yes,2026-05-04T10:00:00+02:00,p.jpg", 0, 0),
        ("repair_clamp,,2026-05-04T10:00:00+02:00,p.jpg", 0, 1),
    ],
)
def test_the_proof_of_an_obstruction(row: str, claims: int, held: int) -> None:
    plan = demo_plan()
    place = next(
        at / 2.0
        for at in range(int(2 * plan.job.main[0].start), int(2 * plan.job.main[-1].end))
        if all(abs(one.chainage - at / 2.0) > 5.0 for one in plan.job.features)
    )
    records = read({"obstructions.csv": f"chainage_m,kind,on_drawing,time,photo\n{place},{row}\n"})
    made = value(plan.job, _proved(records), bill=plan.bill, records=records)
    assert (len(made.extras), len(made.held)) == (claims, held)


def test_an_obstruction_that_the_survey_shows_is_held() -> None:
    plan = demo_plan()
    bend = next(one for one in plan.job.features if one.kind == "bend")
    records = read(
        {"obstructions.csv": f"chainage_m,kind,on_drawing,time,photo\n{bend.chainage},bend,no,2026-05-04T10:00:00+02:00,p.jpg\n"}
    )
    made = value(plan.job, _proved(records), bill=plan.bill, records=records)
    assert (len(made.extras), len(made.held)) == (0, 1)


def test_the_final_account_says_what_is_not_lined() -> None:
    plan = demo_plan()
    run = plan.runs[0]
    records = read({"runs_done.csv": f"run,from_m,to_m,time_to\n{run.id},{run.start},{run.end},2026-05-04T10:00:00+02:00\n"})
    made = value(plan.job, _proved(records), bill=plan.bill, records=records, final=True)
    note = next(one for one in made.notes if one.text.startswith("A final account"))
    assert run.id not in str(dict(note.values)["runs"]).split(", ")


@given(
    share=st.floats(0.0, 1.0),
    limit=st.none() | st.floats(0.0, 1.0),
    paid=st.floats(0.0, 1e6),
    freed=st.floats(0.0, 1e6),
)
def test_money_is_conserved(share: float, limit: float | None, paid: float, freed: float) -> None:
    when = _recorded().payments[0].time
    payments = (PaymentMade(when, "payment", paid), PaymentMade(when, "retention_released", freed))
    sums = _made(replace(_recorded(), payments=payments), retention=share, retention_limit=limit).sums
    assert sums.due + sums.paid + (sums.retention - sums.released) == pytest.approx(sums.gross, abs=1e-6)
    assert 0.0 <= sums.released <= sums.retention <= share * sums.gross + 1e-6
