"""Clouds of points made into rings."""

from pathlib import Path

import laspy
import numpy as np
import pytest
from numpy.typing import NDArray

from mainwright.bootstrap import rings
from mainwright.errors import FaultyInput
from mainwright.folder.scan_points import PointRings
from mainwright.science.rings.fit import reduce_rings
from tests.unit.science.rings.simulated import Scan, Sensor, make_truth, scan

Floats = NDArray[np.float64]


@pytest.fixture(scope="module")
def seen() -> Scan:
    rng = np.random.default_rng(3)
    return scan(make_truth(rng, length=3.0, patches=0), Sensor(points=240, roll=0.0, roll_noise=0.0, empty=0.0), rng, lined=False)


def _points(seen: Scan, *, spiral: bool = False) -> Floats:
    size = seen.radii.shape[1]
    angle = np.arange(size) * (2.0 * np.pi / size)
    x = np.repeat(np.round(seen.odometer, 4), size)
    if spiral:
        x = x + np.tile(np.arange(size) * (0.005 / size), len(seen.radii))
    radii = seen.radii.astype(np.float64)
    points = np.column_stack([x, (radii * np.sin(angle)).ravel(), (radii * np.cos(angle)).ravel()])
    return np.asarray(points[np.isfinite(points).all(axis=1)])


def _las(path: Path, points: Floats) -> Path:
    header = laspy.LasHeader(point_format=0, version="1.2")
    header.scales = np.full(3, 1e-5)
    cloud = laspy.LasData(header)
    cloud.x, cloud.y, cloud.z = points.T
    cloud.write(path)
    return path


def _csv(path: Path, points: Floats, *, comma: bool = False) -> Path:
    if comma:
        lines = ["x_m;note;y_m;z_m", *(f"{x:.5f};;{y:.5f};{z:.5f}".replace(".", ",") for x, y, z in points)]
    else:
        lines = ["x_m,y_m,z_m", *(f"{x:.5f},{y:.5f},{z:.5f}" for x, y, z in points)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.mark.parametrize("kind", ["las", "laz", "csv", "comma"])
def test_rings_come_back(kind: str, seen: Scan, tmp_path: Path) -> None:
    points = _points(seen)
    name = tmp_path / f"cloud.{'csv' if kind == 'comma' else kind}"
    source = PointRings(_las(name, points) if kind in ("las", "laz") else _csv(name, points, comma=kind == "comma"))
    chunks = list(source.chunks(size=100, skip=0))
    assert sum(one.odometer.size for one in chunks) == len(seen.radii)
    assert source.rings == pytest.approx(len(seen.radii), rel=0.05)
    radii = np.concatenate([one.radii for one in chunks])
    assert np.concatenate([one.odometer for one in chunks]) == pytest.approx(seen.odometer, abs=1e-4)
    assert (np.isnan(radii) == np.isnan(seen.radii)).mean() > 0.99
    assert np.nanmedian(np.abs(radii - seen.radii)) < 2e-5
    later = list(source.chunks(size=100, skip=2))
    assert len(later) == len(chunks) - 2
    assert np.array_equal(later[0].radii, chunks[2].radii, equal_nan=True)


@pytest.mark.parametrize("sense", [1, -1])
def test_a_spiral_is_cut_into_slices(seen: Scan, tmp_path: Path, sense: int) -> None:
    points = _points(seen, spiral=True)[::sense]
    (chunk,) = PointRings(_las(tmp_path / "cloud.laz", points)).chunks(size=100_000, skip=0)
    found = reduce_rings(radii=chunk.radii, roll=chunk.roll)
    assert found.radius.size == pytest.approx(300, abs=2)
    assert np.nanmedian(found.radius) == pytest.approx(0.203, abs=2e-4)
    assert (np.sign(np.diff(chunk.odometer)) == sense).all()


def test_the_bore_from_points(seen: Scan, tmp_path: Path) -> None:
    _, summary = rings(cleaned=_las(tmp_path / "cloud.LAZ", _points(seen)), lined=None, out=tmp_path / "out")
    assert summary.bore_cleaned == pytest.approx(0.406, abs=3e-4)
    assert (tmp_path / "out" / "bore.csv").exists()


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("a,b\n1,2\n", r"cloud.csv:1: x_m: the column is missing"),
        ("x_m,y_m,z_m\n" + "0,0.2,0\n" * 30 + "0,,0\n", r"cloud.csv:32: x_m, y_m, z_m: it is no number"),
        ("x_m,y_m,z_m\n" + "0,0.2,0\n" * 30 + "0,a,0\n", r"cannot be read as CSV"),
        ("x_m,y_m,z_m\n0,0.2,0\n", r"the file has 1 points"),
    ],
)
def test_faults_say_where(text: str, told: str, tmp_path: Path) -> None:
    path = tmp_path / "cloud.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FaultyInput, match="fault") as caught:
        list(PointRings(path).chunks(size=10, skip=0))
    assert any(told.replace("cloud.csv:", "", 1) in str(one) or told in str(one) for one in caught.value.faults)


@pytest.mark.parametrize("kind", ["laz", "csv"])
def test_the_roll_beside_the_points_is_that_of_the_ring(kind: str, seen: Scan, tmp_path: Path) -> None:
    # Near half a turn, where a roll goes on from the other side.
    roll = np.deg2rad(178.0) + np.deg2rad(4.0) * np.sin(np.arange(len(seen.radii)) / 40.0)
    told = np.rad2deg(np.angle(np.exp(1j * roll)))
    there = np.isfinite(seen.radii)
    rolls = np.broadcast_to(told[:, None], there.shape)[there]
    path, points = tmp_path / f"cloud.{kind}", _points(seen)
    if kind == "csv":
        rows = (f"{x:.5f},{y:.5f},{z:.5f},{turn:.6f}" for (x, y, z), turn in zip(points, rolls, strict=True))
        path.write_text("x_m,y_m,z_m,roll_deg\n" + "\n".join(rows) + "\n", encoding="utf-8")
    else:
        header = laspy.LasHeader(point_format=0, version="1.4")
        header.scales = np.full(3, 1e-5)
        header.add_extra_dim(laspy.ExtraBytesParams(name="roll_deg", type=np.float64))
        cloud = laspy.LasData(header)
        cloud.x, cloud.y, cloud.z = points.T
        cloud.roll_deg = rolls
        cloud.write(path)
    chunks = list(PointRings(path).chunks(size=100, skip=0))
    found = np.concatenate([one.roll for one in chunks])
    assert np.abs(np.angle(np.exp(1j * (found - roll)))).max() < 1e-6
    assert np.nanmedian(np.abs(np.concatenate([one.radii for one in chunks]) - seen.radii)) < 2e-5


def test_a_head_that_turns_within_a_slice_keeps_its_marks_where_they_are(tmp_path: Path) -> None:
    # A spiral of one turn a centimetre in a pipe with one mark at 3 o'clock, by a head that rolls by 6 degrees in a slice.
    size, turns = 720, 40
    at = (np.arange(size * turns) + 0.5) / size
    true = 2.0 * np.pi * (at % 1.0)
    roll = 6.0 * at
    sensor = true - np.deg2rad(roll)
    radius = np.where(np.abs(true - np.pi / 2.0) < 0.02, 0.23, 0.2)
    rows = (f"{x:.6f},{r * np.sin(a):.6f},{r * np.cos(a):.6f},{t:.4f}" for x, r, a, t in zip(0.01 * at, radius, sensor, roll, strict=True))
    (tmp_path / "p.csv").write_text("x_m,y_m,z_m,roll_deg\n" + "\n".join(rows) + "\n", encoding="utf-8")
    (chunk,) = PointRings(tmp_path / "p.csv").chunks(size=100, skip=0)
    marked = np.argmax(chunk.radii > 0.22, axis=1) * (2.0 * np.pi / chunk.radii.shape[1]) + chunk.roll
    assert np.abs(np.angle(np.exp(1j * (marked[1:-1] - np.pi / 2.0)))).max() < 0.03


def test_points_out_of_order_are_refused(seen: Scan, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("mainwright.folder.scan_points._BATCH", 50_000)
    points = _points(seen)
    mixed = np.concatenate([points[-60_000:], points[:-60_000]])
    with pytest.raises(FaultyInput, match="fault") as caught:
        list(PointRings(_las(tmp_path / "cloud.las", mixed)).chunks(size=10, skip=0))
    assert "points in order of x_m are right" in str(caught.value.faults[0])


def test_no_cloud(tmp_path: Path) -> None:
    (tmp_path / "cloud.las").write_bytes(b"nothing")
    with pytest.raises(FaultyInput, match="fault") as caught:
        PointRings(tmp_path / "cloud.las")
    assert "no LAS or LAZ" in str(caught.value.faults[0])
