"""Openings and runs on the map."""

import json
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from pyproj import Geod, Transformer

from mainwright.job.survey import Alignment
from mainwright.paper.openings_geojson import render_openings
from mainwright.plan.result import Plan
from tests.unit.paper.sample import sample_plan, stopped_plan

GEOD = Geod(ellps="WGS84")


def _on(plan: Plan, alignment: Alignment | None) -> Plan:
    return replace(plan, job=replace(plan.job, alignment=alignment))


def _document(plan: Plan) -> dict[str, Any]:
    content = render_openings(plan)
    assert content is not None
    return json.loads(content)  # type: ignore[no-any-return]


@pytest.mark.outside("pyproj.Geod, geodesic length on WGS 84 (Karney 2013)")
def test_chainage_is_measured_along_the_line() -> None:
    plan = sample_plan()
    document = _document(plan)
    runs = [one for one in document["features"] if one["properties"]["kind"] == "run"]
    scale = float(document["line_length_m"]) / 1236.0
    for run, shown in zip(plan.runs, runs, strict=True):
        points: list[list[float]] = shown["geometry"]["coordinates"]
        length = GEOD.line_length([x for x, _ in points], [y for _, y in points])
        assert length == pytest.approx(run.length * scale, abs=0.01)


def test_runs_begin_and_end_at_openings() -> None:
    document = _document(sample_plan())
    points = [one["geometry"]["coordinates"] for one in document["features"] if one["properties"]["kind"] == "opening"]
    lines: list[list[object]] = [one["geometry"]["coordinates"] for one in document["features"] if one["properties"]["kind"] == "run"]
    assert [line[0] for line in lines] + [lines[-1][-1]] == points
    assert all(first[-1] == second[0] for first, second in pairwise(lines))


def test_a_projected_line_comes_back_to_its_place() -> None:
    away = Transformer.from_crs("OGC:CRS84", "EPSG:25832", always_xy=True)
    points = tuple(away.transform(x, y) for x, y in sample_plan().job.alignment.points)  # type: ignore[union-attr]
    plain = _document(sample_plan())
    moved = _document(_on(sample_plan(), Alignment("EPSG:25832", points, "alignment.gpkg")))
    for one, other in zip(plain["features"], moved["features"], strict=True):
        if one["properties"]["kind"] == "opening":
            (x1, y1), (x2, y2) = one["geometry"]["coordinates"], other["geometry"]["coordinates"]
            assert GEOD.inv(x1, y1, x2, y2)[2] < 0.5
    assert "transformation_accuracy_m" in moved


def test_a_line_of_another_length_is_scaled_and_told() -> None:
    plan = _on(sample_plan(), Alignment("EPSG:25832", ((500000.0, 5900000.0), (501000.0, 5900000.0)), "x"))
    document = _document(plan)
    assert document["line_length_m"] == 1000.0
    assert "scaled by 0.8091" in str(document["note"])
    assert _document(sample_plan())["note"] is None


def test_without_a_line_there_is_no_map() -> None:
    assert render_openings(_on(sample_plan(), None)) is None
    assert render_openings(_on(sample_plan(), Alignment(None, ((8.0, 53.0),), "x"))) is None
    assert render_openings(_on(sample_plan(), Alignment(None, ((8.0, 53.0), (8.0, 53.0)), "x"))) is None


def test_without_a_layout_the_map_is_empty() -> None:
    assert _document(stopped_plan())["features"] == []


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert render_openings(sample_plan()) == render_openings(sample_plan())
