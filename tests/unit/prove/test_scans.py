"""Verdicts of a run by its scans."""

from dataclasses import replace

import pytest

from mainwright.plan.result import LinedStretch, Run
from mainwright.prove.scans import ScannedMetre, ScanProof, judge_scan, least_asked
from mainwright.science.rings.thin import ThinArea
from mainwright.words.message import message
from tests.unit.prove.demo_plan import a_run, demo_plan


def _run() -> tuple[Run, list[LinedStretch]]:
    run = replace(a_run(), start=100.0, end=110.0, length=10.0)
    one = replace(demo_plan().stretches[0], start=0.0, end=105.0, minimum=0.004)
    return run, [one, replace(one, start=105.0, end=300.0, minimum=0.005)]


def _judged(*, minimum: float = 0.0056, deviation: float = 0.0002, areas: tuple[ThinArea, ...] = (), last: int = 110) -> ScanProof:
    run, stretches = _run()
    metres = [ScannedMetre(float(at), 0.0058, 0.006, 0.0056) for at in range(98, last)]
    return judge_scan(
        run,
        stretches,
        metres=metres,
        areas=areas,
        minimum=minimum,
        minimum_deviation=deviation,
        unseen=deviation,
        unseen_because=message("entered"),
    )


def _area(start: float, minimum: float) -> ThinArea:
    return ThinArea(start, start + 0.1, 11.0, 1.0, 0.006, minimum)


def test_the_greatest_minimum_is_looked_for() -> None:
    assert least_asked(*_run()) == 0.005


def test_a_good_run_meets_what_was_asked() -> None:
    found = _judged()
    assert found.verdict == "meets"
    assert found.mean == pytest.approx(0.006)
    assert [one.chainage for one in found.metres] == [float(at) for at in range(100, 110)]
    assert found.unread == ()


def test_an_area_is_judged_by_its_own_stretch() -> None:
    assert _judged(areas=(_area(101.0, 0.0045),)).verdict == "meets"
    found = _judged(areas=(_area(101.0, 0.0045), _area(107.0, 0.0045), _area(90.0, 0.001)))
    assert found.verdict == "does_not_meet"
    assert [one.start for one in found.thin] == [107.0]


def test_what_scans_cannot_see_leaves_it_open() -> None:
    assert _judged(deviation=0.0003).verdict == "meets"
    assert _judged(deviation=0.0005).verdict == "incomplete"


def test_metres_that_nobody_read_leave_it_open() -> None:
    found = _judged(last=107)
    assert found.verdict == "incomplete"
    assert found.unread == (107.0, 108.0, 109.0)
