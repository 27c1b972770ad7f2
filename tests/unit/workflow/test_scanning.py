"""Two simulated scans through files to the results."""

import csv
import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from pyarrow import ipc

from mainwright.bootstrap import rings
from mainwright.cli.roof import run
from tests.unit.science.rings.simulated import Scan, Sensor, Truth, make_truth, scan


def write_scan(path: Path, seen: Scan, *, groups: int = 1000) -> Path:
    size = seen.radii.shape[1]
    radii = pa.FixedSizeListArray.from_arrays(pa.array((seen.radii * 1000).ravel()), size)
    table = pa.table(
        {
            "time": pa.array(np.arange(len(seen.radii)) * 100, pa.timestamp("ms", tz="UTC")),
            "odometer_m": seen.odometer,
            "roll_deg": np.rad2deg(seen.roll),
            "radius_mm": radii,
        }
    )
    pq.write_table(table, path, row_group_size=groups)
    return path


def _table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _turn(area: dict[str, str], hour: float) -> float:
    """Return how far the middle of an area lies from an hour of the clock [rad]."""
    begin, end = float(area["clock_from"]), float(area["clock_to"])
    middle = begin + 0.5 * ((end - begin) % 12.0)
    return float(np.angle(np.exp(1j * (middle - hour) * np.pi / 6.0)))


def _within(area: dict[str, str], hour: float) -> bool:
    """Return whether an hour of the clock lies in an area, or within 5 cm of it."""
    begin, end = float(area["clock_from"]), float(area["clock_to"])
    half = 0.5 * ((end - begin) % 12.0 or 12.0)
    return abs(_turn(area, hour)) <= half * np.pi / 6.0 + 0.05 / 0.2


@pytest.fixture(scope="module")
def scans(tmp_path_factory: pytest.TempPathFactory, full_size: bool) -> tuple[Path, Truth]:
    place = tmp_path_factory.mktemp("scans")
    rng = np.random.default_rng(21)
    length = 240.0 if full_size else 24.0
    truth = make_truth(rng, length=length, patches=round(length / 5.0))
    write_scan(place / "cleaned.parquet", scan(truth, Sensor(), rng, lined=False))
    sensor = Sensor(drift=0.005, start=0.15, slip=0.002, mounting=np.deg2rad(4.0))
    write_scan(place / "lined.parquet", scan(truth, sensor, rng, lined=True))
    return place, truth


@pytest.mark.outside("thickness of a simulated lining whose every cell is known")
def test_two_scans_to_the_truth(scans: tuple[Path, Truth], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    place, truth = scans
    out = tmp_path / "out"
    arguments = [
        "--cleaned",
        str(place / "cleaned.parquet"),
        "--lined",
        str(place / "lined.parquet"),
        "--out",
        str(out),
        "--minimum-mm",
        "4.9",
    ]
    assert run(["rings", *arguments, "--json"]) == 0
    summary = json.loads(capsys.readouterr().out)
    assert summary["roll_deg"] == pytest.approx(4.0, abs=0.2)
    assert summary["lag_end_m"] - summary["lag_start_m"] == pytest.approx(0.005 * (truth.length - 3.0), abs=0.02)
    assert summary["unseen_mm"] == pytest.approx(summary["thickness_p50_mm"] / 2.0)
    assert sorted(one.name for one in out.iterdir()) == ["profile.csv", "rings.json", "thickness_grid.parquet", "thin_areas.csv"]

    grid = pq.read_table(out / "thickness_grid.parquet")
    assert grid.column_names == ["chainage_m", "clock", "thickness_mm", "points"]
    row = np.round(np.asarray(grid["chainage_m"]) / 0.05 - 0.5).astype(int)
    column = np.round(np.asarray(grid["clock"]) * 6 - 0.5).astype(int)
    thick = grid["thickness_mm"].to_numpy()
    true = 1000.0 * truth.cell_thickness()
    opening = truth.wall[: len(true) * 10].reshape(-1, 10, 72, 5).max(axis=(1, 3)) > 0.22
    here = row < len(true)
    error = (thick[here] - true[row[here], column[here]])[~opening[row[here], column[here]]]
    error = error[np.isfinite(error)]
    assert error.size > 0.99 * true.size
    assert abs(error.mean()) < 0.01
    assert error.std() < 0.15

    # Every true area of 50 cm2 or more under the minimum is there, and its edges are right to 5 cm where the waves of the lining leave it alone.
    areas = _table(out / "thin_areas.csv")
    looked = 0
    for middle, hour, half_length, half_width in truth.patches:
        rows = np.arange(int((middle - half_length) * 20), int((middle + half_length) * 20) + 1)
        turn = np.angle(np.exp(1j * ((np.arange(72) + 0.5) / 6.0 - hour) * np.pi / 6.0))
        inside = (((rows[:, None] + 0.5) * 0.05 - middle) / half_length) ** 2 + (turn * 0.203 / half_width) ** 2 < 1.0
        thin = inside & (true[rows] < 4.9)
        if thin.sum() * 0.05 * 2 * np.pi * 19.7 / 72 * 100 < 50.0:
            continue
        looked += 1
        at = np.unravel_index(np.argmin(np.where(thin, true[rows], np.inf)), thin.shape)
        place, clock = (rows[at[0]] + 0.5) * 0.05, (at[1] + 0.5) / 6.0
        found = [one for one in areas if float(one["from_m"]) - 0.05 <= place <= float(one["to_m"]) + 0.05 and _within(one, clock)]
        assert found, (middle, hour, half_length, half_width)
        around = (true[rows[0] - 4 : rows[-1] + 5] < 5.3).sum() - (true[rows] < 5.3)[inside].sum()
        if around == 0:
            assert abs(0.5 * (float(found[0]["from_m"]) + float(found[0]["to_m"])) - middle) < 0.05
            assert abs(_turn(found[0], hour)) * 0.2 < 0.05
    assert looked >= 0.8 * len(truth.patches)
    assert looked > 0

    profile = _table(out / "profile.csv")
    assert [float(one["chainage_m"]) for one in profile] == [float(metre) for metre in range(round(truth.length))]
    off = []
    for one in profile[:-1]:
        metre = int(float(one["chainage_m"]))
        cells = true[metre * 20 : metre * 20 + 20]
        off.append([float(one["thickness_p50_mm"]) - np.median(cells), float(one["thickness_p05_mm"]) - np.quantile(cells, 0.05)])
        assert float(one["bore_cleaned_mm"]) == pytest.approx(2000 * truth.wall[metre * 200 : metre * 200 + 200].mean(), abs=0.1)
    # A thin area hides its own first harmonic: single metres may be further off than the rest.
    assert (np.sqrt(np.mean(np.square(off), axis=0)) < [0.03, 0.08]).all()
    assert (np.quantile(np.abs(off), 0.98, axis=0) < [0.1, 0.3]).all()


def test_the_bore_alone(scans: tuple[Path, Truth], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["rings", "--cleaned", str(scans[0] / "cleaned.parquet"), "--out", str(tmp_path)]) == 0
    assert "Bore cleaned 406." in capsys.readouterr().out
    profile = _table(tmp_path / "profile.csv")
    assert profile[0]["bore_lined_mm"] == profile[0]["thickness_min_mm"] == ""
    # An ellipse whose second harmonic is 0.2 to 0.6 mm: longest less shortest diameter is four times that.
    assert 0.5 * 4 * 0.0002 / 0.406 < float(profile[3]["ovality"]) < 1.5 * 4 * 0.0006 / 0.406
    assert not (tmp_path / "thin_areas.csv").exists()
    bores = _table(tmp_path / "bore.csv")
    assert list(bores[0]) == ["chainage_m", "bore_mm", "clock", "method", "time", "who"]
    assert [float(one["chainage_m"]) for one in bores[:3]] == [0.5, 1.5, 2.5]
    assert bores[3]["bore_mm"] == profile[3]["bore_cleaned_mm"]
    assert bores[3]["method"] == "scan"


@pytest.mark.parametrize("share", [0.05, 0.3, 0.6, 0.95])
def test_stopped_and_gone_on(scans: tuple[Path, Truth], tmp_path: Path, share: float) -> None:
    cleaned, lined = scans[0] / "cleaned.parquet", scans[0] / "lined.parquet"
    rings(cleaned=cleaned, lined=lined, out=tmp_path / "whole")

    def stop(done: int, of: int) -> None:
        if done > share * of:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        rings(cleaned=cleaned, lined=lined, out=tmp_path / "out", progress=stop)
    assert not (tmp_path / "out" / "profile.csv").exists()
    told: list[int] = []
    rings(cleaned=cleaned, lined=lined, out=tmp_path / "out", progress=lambda done, of: told.append(done))
    assert told[0] > 0 or share < 0.1
    assert told == sorted(told)
    for name in ("profile.csv", "rings.json", "thickness_grid.parquet"):
        assert (tmp_path / "out" / name).read_bytes() == (tmp_path / "whole" / name).read_bytes()


def test_gauges_close_what_is_not_seen(tmp_path: Path) -> None:
    rng = np.random.default_rng(6)
    truth = make_truth(rng, length=8.0, patches=0, eccentric=0.001)
    cleaned = write_scan(tmp_path / "c.parquet", scan(truth, Sensor(points=360), rng, lined=False))
    lined = write_scan(tmp_path / "l.parquet", scan(truth, Sensor(points=360), rng, lined=True))
    true = truth.cell_thickness()
    rows = ["chainage_m,clock,thickness_mm"]
    for place in (0.525, 7.525):
        rows += [f"{place},{hour},{1000 * true[int(place * 20), int(hour * 6)]:.3f}" for hour in (0.1, 3.1, 6.1, 9.1)]
    (tmp_path / "g.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")

    def spread(out: Path) -> float:
        grid = pq.read_table(out / "thickness_grid.parquet")["thickness_mm"].to_numpy()
        error = grid.reshape(-1, 72)[: len(true)] - 1000 * true[: len(grid) // 72]
        return float(np.nanmedian(np.abs(error)))

    _, before = rings(cleaned=cleaned, lined=lined, out=tmp_path / "a", eccentricity_mm=1.0)
    _, after = rings(cleaned=cleaned, lined=lined, out=tmp_path / "b", gauges=tmp_path / "g.csv", gauge_deviation_mm=0.1)
    assert spread(tmp_path / "a") > 0.5
    assert spread(tmp_path / "b") < 0.15
    assert after.gauge_places == 2
    assert before.thickness_min_deviation is not None
    assert after.thickness_min_deviation is not None
    assert before.thickness_min_deviation > 1e-3
    assert after.thickness_min_deviation < 0.4e-3


def test_fixed_points_move_the_chainage(scans: tuple[Path, Truth], tmp_path: Path) -> None:
    (tmp_path / "fixed.csv").write_text("pass,odometer_m,chainage_m\ncleaned,0,100\ncleaned,20,120.02\n", encoding="utf-8")
    _, summary = rings(cleaned=scans[0] / "cleaned.parquet", lined=None, out=tmp_path / "out", fixed=tmp_path / "fixed.csv")
    assert summary.start == pytest.approx(100.0025, abs=1e-4)
    assert summary.end == pytest.approx(100 + (scans[1].length - 0.0025) * 1.001, abs=1e-4)


def test_files_with_faults(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "no.parquet").write_text("x", encoding="utf-8")
    assert run(["rings", "--cleaned", str(tmp_path / "no.parquet"), "--out", str(tmp_path / "o")]) == 2
    assert "no Parquet" in capsys.readouterr().err
    pq.write_table(pa.table({"odometer_m": ["a"], "radius_mm": [1.0]}), tmp_path / "bad.parquet")
    assert run(["rings", "--cleaned", str(tmp_path / "bad.parquet"), "--out", str(tmp_path / "o")]) == 2
    told = capsys.readouterr().err
    assert "roll_deg: the column is missing" in told
    assert "odometer_m: it holds string" in told
    assert "radius_mm: it is double" in told
    assert not (tmp_path / "o").exists()
    (tmp_path / "fixed.csv").write_text("pass,odometer_m,chainage_m\ncleened,0,x\n", encoding="utf-8")
    pq.write_table(
        pa.table({"odometer_m": [0.0], "roll_deg": [0.0], "radius_mm": pa.array([[1.0] * 72], pa.list_(pa.float32(), 72))}),
        tmp_path / "ok.parquet",
    )
    assert (
        run(["rings", "--cleaned", str(tmp_path / "ok.parquet"), "--out", str(tmp_path / "o"), "--fixed", str(tmp_path / "fixed.csv")]) == 2
    )
    told = capsys.readouterr().err
    assert "fixed.csv:2: pass: it is cleened" in told
    assert "chainage_m: it is x" in told
    assert run(["rings", "--cleaned", str(tmp_path / "ok.parquet"), "--out", str(tmp_path / "o")]) == 2
    assert "at least 20" in capsys.readouterr().err


_REPEATED = """
import resource, sys
from pathlib import Path
from mainwright.bootstrap import rings
rings(cleaned=Path(sys.argv[1]), lined=Path(sys.argv[2]), out=Path(sys.argv[3]), minimum_mm=4.5)
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)
"""


def _lengthened(source: Path, path: Path, times: int, length: float) -> Path:
    """Write a scan again and again, one length behind the other."""
    table = pq.read_table(source)
    with pq.ParquetWriter(path, table.schema) if path.suffix == ".parquet" else ipc.new_file(path, table.schema) as writer:
        for turn in range(times):
            odometer = pa.array(table["odometer_m"].to_numpy() + turn * length)
            writer.write_table(table.set_column(1, "odometer_m", odometer), 1000)
    return path


@pytest.mark.parametrize("ending", ["parquet", pytest.param("arrow", marks=pytest.mark.slow)])
def test_memory_does_not_grow_with_the_scans(ending: str, tmp_path: Path, full_size: bool) -> None:
    # From a million points to a hundred million of both passes at full size, to ten million else.
    rng = np.random.default_rng(9)
    truth = make_truth(rng, length=3.5, patches=1)
    short = write_scan(tmp_path / "short.parquet", scan(truth, Sensor(), rng, lined=False))
    after = write_scan(tmp_path / "after.parquet", scan(truth, Sensor(), rng, lined=True))
    peaks = []
    for times in (1, 100 if full_size else 10):
        one = _lengthened(short, tmp_path / f"one.{ending}", times, truth.length)
        two = _lengthened(after, tmp_path / f"two.{ending}", times, truth.length)
        told = subprocess.run(  # noqa: S603
            [sys.executable, "-c", _REPEATED, str(one), str(two), str(tmp_path / f"out{times}")],
            capture_output=True, text=True, check=True,
        )  # fmt: skip
        peaks.append(int(told.stdout))
    # Room for the compiled code, which the small scans do without, and for a few numbers a ring.
    assert peaks[1] < peaks[0] + (250 if full_size else 150), peaks
