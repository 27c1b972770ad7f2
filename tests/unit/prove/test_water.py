"""The gate before customers."""

import pytest

from mainwright.prove.water import WaterProof, judge_water
from tests.unit.prove.demo_plan import read

HEAD = "point,time,parameter,value,unit,lab\n"
GOOD = "end,2026-06-01T08:00:00Z,E. coli,0,/100 ml,lab\nend,2026-06-01T08:00:00Z,Coliform bacteria,0,/100 ml,lab\nend,2026-06-01T08:00:00Z,pH,9.1,,lab\n"


def judged(rows: str, **files: str) -> WaterProof:
    return judge_water(read({"water_tests.csv": HEAD + rows} | {f"{name}.csv": text for name, text in files.items()}))


def test_released_by_clean_samples() -> None:
    found = judged(GOOD)
    assert found.verdict == "released"
    assert all(one.passes for one in found.tests)


def test_without_a_test_it_is_missing() -> None:
    found = judge_water(read({}))
    assert found.verdict == "missing"
    assert found.because[0].text == "no water test is on record"


@pytest.mark.parametrize(
    ("row", "verdict"),
    [
        ("end,2026-06-02T08:00:00Z,E. coli,2,/100 ml,lab\n", "not_released"),
        ("end,2026-06-02T08:00:00Z,pH,9.8,,lab\n", "not_released"),
        ("end,2026-06-02T08:00:00Z,aluminium,0.3,mg/l,lab\n", "not_released"),
        ("end,2026-06-02T08:00:00Z,aluminium,150,µg/l,lab\n", "released"),
        ("end,2026-06-02T08:00:00Z,iron,5,mg/l,lab\n", "released"),
        ("middle,2026-06-02T08:00:00Z,E. coli,0,/100 ml,lab\n", "missing"),
    ],
)
def test_each_result(row: str, verdict: str) -> None:
    assert judged(GOOD + row).verdict == verdict


def test_a_later_clean_sample_stands_for_an_earlier_failed_one() -> None:
    failed = "end,2026-05-30T08:00:00Z,E. coli,4,/100 ml,lab\n"
    assert judged(failed + GOOD).verdict == "released"
    assert judged(GOOD + failed.replace("05-30", "06-03")).verdict == "not_released"


def test_samples_from_before_the_lining_show_nothing() -> None:
    done = "run,from_m,to_m,time_to\nR01,0,10,2026-06-05T10:00:00Z\n"
    found = judged(GOOD, runs_done=done)
    assert found.verdict == "missing"
    assert found.because[0].text == "every water test was taken before the last run was lined"
    assert not any(one.counts for one in found.tests)


def test_a_signed_deviation_stands_beside_the_verdict_and_does_not_change_it() -> None:
    events = "time,kind,note,who\n2026-06-06T09:00:00Z,hold_point,Water release: flushed and given back on the client's word,N. Marrow\n"
    found = judged("", events=events)
    assert found.verdict == "missing"
    assert [one.who for one in found.deviations] == ["N. Marrow"]
