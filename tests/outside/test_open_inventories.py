"""Eight mains of two cities, taken in and planned: what comes out agrees with what others worked out from the same records.

The tables hold, besides the cities' records, lengths, gaps and deflections that were computed apart from this program; those are
the outside values. Nothing of the data is kept here.
"""

import csv
import gzip
import json
import math
from collections.abc import Iterator, Mapping
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from mainwright import bootstrap
from mainwright.folder.inventory import FileInventory
from mainwright.job.columns import TABLES
from mainwright.plan.result import Plan
from mainwright.workflow.mapping_reader import mapping_of
from mainwright.workflow.source import TakeInReport
from mainwright.workflow.take_in_text import report_document
from mainwright.workflow.taking_in import take_in

MAPPINGS = Path(__file__).parents[2] / "docs" / "how-to" / "mappings"
DEMO = Path(__file__).parents[2] / "src" / "mainwright" / "demo" / "marrowby"
CITIES = {"V": ("vancouver", "pipes-with-chainage.toml"), "K": ("kitchener", "pipes-along-a-street.toml")}
MAINS = ("VE1", "VE2", "VE3", "VE4", "VE5", "KS1", "KS2", "KS3")
LINING = """
[lining]
governing_document = "Works specification (invented)"
nominal_mm = 6.0
minimum_mm = 4.0
maximum_mm = 10.0
"""
ROWS = {name: table for name, table in TABLES.items() if not table.is_toml}

pytestmark = pytest.mark.open_data


def _table(folder: Path, name: str, main: str) -> list[dict[str, str]]:
    with (folder / "mains" / name).open(encoding="utf-8", newline="") as stream:
        return [row for row in csv.DictReader(stream) if row["main_id"] == main]


@cache
def _planned(data: Path, place: Path, main: str) -> tuple[TakeInReport, Plan]:
    city, mapping = CITIES[main[0]]
    whole = place / f"{main}.toml"
    whole.write_text((MAPPINGS / mapping).read_text(encoding="utf-8") + LINING, encoding="utf-8")
    folder = place / main
    report, read = bootstrap.take_in(table=data / "mains" / f"{city}_pipes.csv", mapping=whole, out=folder, main=main)
    assert read.faults == ()
    for name in ("plant.toml", "prices.csv"):
        (folder / name).write_bytes((DEMO / name).read_bytes())
    checked = bootstrap.check(folder)
    assert checked.read.faults == ()
    assert checked.plan is not None
    return report, checked.plan


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("open")


@pytest.fixture(params=MAINS)
def planned(request: pytest.FixtureRequest, open_data: Path, place: Path) -> tuple[str, TakeInReport, Plan]:
    return (request.param, *_planned(open_data, place, request.param))


@pytest.fixture(scope="module", autouse=True)
def forget() -> Iterator[None]:
    yield
    _planned.cache_clear()


def _mm(plan: Plan) -> Iterator[tuple[int, float]]:
    return ((one.dn, 1000.0 * one.bore_clean) for one in plan.stretches)


@pytest.mark.outside("table of the eight mains: length_m, pipes, gap_m, worked out from the cities' records by its makers")
def test_lengths_pipes_and_gaps(planned: tuple[str, TakeInReport, Plan], open_data: Path) -> None:
    main, report, plan = planned
    (row,) = _table(open_data, f"{CITIES[main[0]][0]}_mains.csv", main)
    length = plan.job.main[-1].end - plan.job.main[0].start
    assert length == pytest.approx(float(row["length_m"]), abs=0.1)
    assert report.tallies[0].uses == (("main", int(row["pipes"]), int(row["pipes"])),)
    gaps = sum(one.end - one.start for one in plan.job.main if one.material == "other")
    assert gaps == pytest.approx(float(row.get("gap_m", 0.0)), abs=0.1)
    assert len([one for one in report.noted if one.code == "gap"]) == len([one for one in plan.job.main if one.material == "other"])
    sizes = {int(size) for size in (row["dn_mm"].split("/"))}
    assert {one.dn for one in plan.job.main} == sizes


@pytest.mark.outside("table of bends: deflection at every vertex of at least 1 degree, worked out from the cities' lines by its makers")
@pytest.mark.parametrize("main", [name for name in MAINS if name.startswith("V")])
def test_bends_from_the_map(main: str, open_data: Path, place: Path) -> None:
    _, plan = _planned(open_data, place, main)
    published = {
        float(row["chainage_m"]): float(row["deflection_deg_right_positive"]) for row in _table(open_data, "vancouver_bends.csv", main)
    }
    vertices = [float(row["chainage_m"]) for row in _table(open_data, "vancouver_geometry.csv", main)]
    found = {
        one.chainage: math.degrees(one.angle or 0.0) * (1 if "right" in (one.note or "") else -1)
        for one in plan.job.features
        if one.kind == "bend"
    }
    assert set(published) <= set(found)
    for chainage, turn in found.items():
        # The points are given to the centimetre, the published angles come from the city's own digits: half a centimetre at each end.
        here = vertices.index(chainage)
        legs = chainage - vertices[here - 1], vertices[here + 1] - chainage
        rounding = math.degrees(sum(0.0071 / leg for leg in legs)) * 1.5 + 0.06
        if chainage in published:
            assert turn == pytest.approx(published[chainage], abs=rounding)
        else:
            assert abs(turn) - rounding < 1.0


def test_nothing_was_lost_in_silence(planned: tuple[str, TakeInReport, Plan]) -> None:
    main, report, _ = planned
    document = report_document(report)
    assert not [one for one in report.noted if one.code in {"unknown_code", "no_column", "not_a_number", "missing"}]
    for one in report.tallies:
        used, over = sum(wanted for _, wanted, _ in one.uses), sum(rows for _, rows in one.passed_over)
        assert used + over >= one.read
    if main == "VE3":
        assert {("kind = valve_nearby", 29), ("kind = crossing_no_node", 3)} <= set(report.tallies[2].passed_over)
        assert [len(one.lines) for one in report.noted if one.code == "short"] == [4]
    assert json.loads(json.dumps(document)) == document


def test_plans_are_sane(planned: tuple[str, TakeInReport, Plan]) -> None:
    _, _, plan = planned
    for dn, bore in _mm(plan):
        assert 0.9 * dn < bore < 1.1 * dn
    assert plan.layout.total_cost is not None
    assert plan.runs[0].start == plan.job.main[0].start
    assert plan.runs[-1].end == plan.job.main[-1].end
    for before, after in pairwise(plan.runs):
        assert before.end == after.start
    longest = max(hose.length - hose.dead_length for hose in plan.job.plant.hoses)
    for run in plan.runs:
        assert run.length <= longest + 1e-9
        assert run.aim >= 0.006
        assert 0.02 < run.speed < 0.25
        ring = 3.141592653589793 * run.aim * (run.settings[0].bore - run.aim)
        assert run.mortar_per_length == pytest.approx(ring, rel=0.05)
    opened = {opening.chainage for opening in plan.openings}
    for one in plan.job.features:
        if one.kind in {"gate_valve", "tee", "end"} or (one.kind == "bend" and (one.angle or 0.0) > 0.3927):
            assert one.chainage in opened
    for left, right in pairwise(plan.job.main):
        if left.dn != right.dn:
            assert left.end in opened


def _verdicts(plan: Plan) -> Mapping[tuple[float, float], str]:
    return {(one.start, one.end): one.verdict for one in plan.suitability}


def _found(plan: Plan, start: float) -> str:
    (one,) = [one for one in plan.suitability if one.start == start]
    return " ".join(reason.found.text for reason in one.reasons)


def test_asbestos_cement_stops_the_plan_where_it_lies(open_data: Path, place: Path) -> None:
    _, plan = _planned(open_data, place, "KS1")
    rows = _table(open_data, "kitchener_pipes.csv", "KS1")
    recorded = sum(float(row["length_m"]) for row in rows if row["material"] == "AC")
    unsuitable = [span for span, verdict in _verdicts(plan).items() if verdict == "unsuitable"]
    assert sum(end - start for start, end in unsuitable) == pytest.approx(recorded, abs=0.1)
    assert all(one.material == "asbestos_cement" for one in plan.job.main if (one.start, one.end) in unsuitable)
    stops = [one for one in plan.warnings if one.severity == "stop" and one.start is not None]
    assert {(one.start, one.end) for one in stops} >= set(unsuitable)


@pytest.mark.parametrize(
    ("main", "words"), [("VE2", "cement mortar already"), ("VE4", "cement mortar already"), ("VE1", "Nothing on record")]
)
def test_what_is_lined_already_is_recognised(main: str, words: str, open_data: Path, place: Path) -> None:
    _, plan = _planned(open_data, place, main)
    assert words in _found(plan, 0.0)


def test_coal_tar_and_epoxy_are_flagged(open_data: Path, place: Path) -> None:
    _, steel = _planned(open_data, place, "VE3")
    start = next(one.start for one in steel.job.main if one.existing_lining == "coal_tar")
    assert "Coal tar" in _found(steel, start)
    for run in steel.runs:
        if run.start >= start and run.end <= steel.job.main[-2].end:
            assert "coal_tar" in {caution.code for caution in run.cautions}
    _, iron = _planned(open_data, place, "KS3")
    assert iron.job.main[0].existing_lining == "epoxy"
    assert any(reason.verdict != "suitable" for reason in iron.suitability[0].reasons if "lining" in reason.rule.text.lower())


def test_gaps_are_not_called_suitable(open_data: Path, place: Path) -> None:
    for main in ("VE1", "VE2", "VE4", "VE5"):
        _, plan = _planned(open_data, place, main)
        verdicts = _verdicts(plan)
        assert {verdicts[one.start, one.end] for one in plan.job.main if one.material == "other"} == {"unknown"}


FROM_LINES: dict[str, Any] = {
    "main": {
        "order": "geometry",
        "columns": {"dn": "diameter_mm", "material": {"column": "material", "values": {"Cast Iron": "grey_iron", "Steel": "steel"}}},
    },
    "geometry": {"wkt": "geometry_wkt", "crs": "EPSG:4326", "project_to": "EPSG:26910", "join_m": 12.0, "bends_from_deg": 1.0},
}


@pytest.mark.outside("table of the eight mains: order, chainages and gaps of the pipes, worked out from the same lines by its makers")
@pytest.mark.parametrize("main", ["VE1", "VE4", "VE5"])
def test_the_way_through_the_lines_of_the_city(main: str, open_data: Path) -> None:
    rows = _table(open_data, "vancouver_pipes.csv", main)
    content = {
        **FROM_LINES,
        "main": {**FROM_LINES["main"], "keep": ["pipe_id"], "rows": {"pipe_id": [row["pipe_id"] for row in rows if row["pipe_id"]]}},
    }
    mapping = mapping_of(content, tables=tuple(ROWS.values()), sections=())
    table = FileInventory(open_data / "vancouver" / "water_mains_east.csv.gz")
    result = take_in(table, mapping, tables=ROWS, main=None)
    found = [(float(str(row["from_m"])), float(str(row["to_m"])), row.get("pipe_id")) for row in result.rows["main"]]
    wanted = [(float(row["chainage_from_m"]), float(row["chainage_to_m"]), row["pipe_id"] or None) for row in rows]
    if found[0][2] != wanted[0][2]:
        length = found[-1][1]
        found = [(length - end, length - start, name) for start, end, name in reversed(found)]
    assert [name for _, _, name in found] == [name for _, _, name in wanted]
    for one, other in zip(found, wanted, strict=True):
        assert one[:2] == pytest.approx(other[:2], rel=2e-4, abs=0.1)


ZONES: dict[str, Any] = {
    "main": {
        "order": "OBJECTID",
        "length": "Shape__Length",
        "columns": {
            "dn": "PIPE_SIZE",
            "year": {"column": "INSTALLATION_DATE", "dates": "month_first"},
            "material": {"column": "MATERIAL", "values": {"CI": "grey_iron", "DI": "ductile_iron", "PVC": "pvc", "AC": "asbestos_cement"}},
        },
    }
}


def test_every_dirty_row_of_a_whole_zone_is_told(open_data: Path) -> None:
    """Two pressure zones as if they were one main: what the report says is what a plain count of the file says."""
    path = open_data / "kitchener" / "water_mains_zones_KIT5_KIT6.csv.gz"
    with gzip.open(path, "rt", encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    result = take_in(FileInventory(path), mapping_of(ZONES, tables=tuple(ROWS.values()), sections=()), tables=ROWS, main=None)
    told: dict[tuple[str, str], int] = {}
    for one in result.report.noted:
        told[one.code, one.column] = told.get((one.code, one.column), 0) + len(one.lines)
    mapped = {"CI", "DI", "PVC", "AC"}
    lengths = [float(row["Shape__Length"]) for row in rows]
    assert told["out_of_range", "PIPE_SIZE"] == sum(float(row["PIPE_SIZE"]) == 0 for row in rows if row["PIPE_SIZE"])
    assert told["unknown_code", "MATERIAL"] == sum(row["MATERIAL"] not in mapped for row in rows if row["MATERIAL"])
    assert told["short", ""] == sum(length < 1.0 for length in lengths)
    assert len(result.rows["main"]) == len(rows)
    assert float(str(result.rows["main"][-1]["to_m"])) == pytest.approx(math.fsum(lengths), abs=0.01)
    years = [row["INSTALLATION_DATE"].split(" ")[0].rsplit("/", 1)[-1] for row in sorted(rows, key=lambda row: int(row["OBJECTID"]))]
    assert [str(row.get("year", "")) for row in result.rows["main"]] == years


def test_a_whole_network_is_no_main(open_data: Path) -> None:
    mapping = mapping_of(FROM_LINES, tables=tuple(ROWS.values()), sections=())
    result = take_in(FileInventory(open_data / "vancouver" / "water_mains_east.csv.gz"), mapping, tables=ROWS, main=None)
    assert "main" not in result.rows
    (one,) = [one for one in result.report.noted if one.code == "no_way"]
    assert "too many for one main" in str(dict(one.message.values)["why"])
