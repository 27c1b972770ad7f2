"""Bore and lining values of each row of the main."""

from dataclasses import replace

import pytest

from mainwright.job.lining import LiningValues
from mainwright.job.survey import BoreReading, Stretch
from mainwright.plan.host import resolve_host
from tests.unit.plan.layout.jobs import BASE, with_lining


def test_readings_win_over_the_row_and_the_row_over_the_table() -> None:
    rows = (
        Stretch(0.0, 100.0, 150, "ductile_iron"),
        Stretch(100.0, 200.0, 150, "grey_iron", bore=0.151, bore_source="record", deposit=0.005),
        Stretch(200.0, 300.0, 150, "grey_iron", bore=0.150),
    )
    readings = (BoreReading(250.0, 0.1520), BoreReading(260.0, 0.1530))
    host = resolve_host(replace(BASE, main=rows, bores=readings))
    assert [one.bore for one in host.stretches] == pytest.approx([0.158, 0.151, 0.1525], abs=1e-12)
    assert [one.bore_source for one in host.stretches] == ["table", "record", "readings"]
    assert [one.bore_today for one in host.stretches] == pytest.approx([None, 0.141, None])
    assert [(a.what, a.value, a.unit) for a in host.assumed] == [("main.bore_mm[0-100]", 158.0, "mm")]
    assert len(host.sources) == 1


def test_a_reading_at_a_joint_belongs_to_the_row_that_it_resembles() -> None:
    rows = (Stretch(0.0, 100.0, 150, "grey_iron", bore=0.150), Stretch(100.0, 200.0, 200, "grey_iron", bore=0.200))
    host = resolve_host(replace(BASE, main=rows, bores=(BoreReading(100.0, 0.1516), BoreReading(100.0, 0.2025))))
    assert [one.bore for one in host.stretches] == [0.1516, 0.2025]


def test_without_table_the_nominal_size_is_taken_and_the_engineer_told() -> None:
    host = resolve_host(replace(BASE, main=(Stretch(0.0, 50.0, 110, "other"),)))
    assert host.stretches[0].bore == pytest.approx(0.110)
    assert host.stretches[0].bore_source == "dn"
    assert [(w.code, w.severity, w.start, w.end) for w in host.warnings] == [("bore_unknown", "act", 0.0, 50.0)]
    assert len(host.assumed) == 1


def test_readings_that_are_not_this_pipe_are_told() -> None:
    rows = (Stretch(0.0, 50.0, 150, "grey_iron", bore=0.150),)
    host = resolve_host(replace(BASE, main=rows, bores=(BoreReading(20.0, 0.158),)))
    assert [w.code for w in host.warnings] == ["bore_disagrees"]
    assert host.stretches[0].bore == 0.158


def test_the_first_fitting_row_of_by_dn_wins_and_the_rest_comes_from_the_table_above() -> None:
    job = with_lining(
        BASE,
        maximum=0.009,
        by_dn=(
            LiningValues(80, 150, "steel", nominal=0.007),
            LiningValues(80, 150, None, nominal=0.004, minimum=0.003),
            LiningValues(150, 200, None, nominal=0.010),
        ),
    )
    rows = (
        Stretch(0.0, 10.0, 150, "steel", bore=0.15),
        Stretch(10.0, 20.0, 150, "grey_iron", bore=0.15),
        Stretch(20.0, 30.0, 250, "grey_iron", bore=0.25),
    )
    values = [one.lining for one in resolve_host(replace(job, main=rows)).stretches]
    assert [(v.nominal, v.minimum, v.maximum) for v in values] == [(0.007, 0.005, 0.009), (0.004, 0.003, 0.009), (0.006, 0.005, 0.009)]


def test_a_mean_minimum_over_the_nominal_of_a_row_does_not_hold_there() -> None:
    job = with_lining(
        BASE,
        mean_minimum=0.0055,
        by_dn=(
            LiningValues(80, 150, None, nominal=0.004, minimum=0.003),
            LiningValues(200, 200, None, nominal=0.004, minimum=0.003, mean_minimum=0.0035),
            LiningValues(250, 250, None, nominal=0.0055, minimum=0.005),
        ),
    )
    rows = tuple(Stretch(10.0 * k, 10.0 * k + 10.0, dn, "grey_iron", bore=dn / 1000.0) for k, dn in enumerate((150, 200, 250, 300)))
    values = [one.lining.mean_minimum for one in resolve_host(replace(job, main=rows)).stretches]
    assert values == [None, 0.0035, 0.0055, 0.0055]


def test_neighbours_alike_in_bore_and_lining_are_one_length() -> None:
    rows = (
        Stretch(0.0, 10.0, 150, "grey_iron", bore=0.15, year=1911),
        Stretch(10.0, 20.0, 150, "grey_iron", bore=0.15, year=1934),
        Stretch(20.0, 30.0, 150, "grey_iron", bore=0.151),
    )
    host = resolve_host(replace(BASE, main=rows))
    assert [(one.start, one.end, one.bore) for one in host.lengths] == [(0.0, 20.0, 0.15), (20.0, 30.0, 0.151)]
    assert (host.start, host.end) == (0.0, 30.0)
