"""Ring scans as Parquet and as Arrow files: the same rings, told apart by what they hold, and faults that say where."""

import io
import os
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pyarrow import ipc

from mainwright.bootstrap import rings, rings_file
from mainwright.bootstrap.scans import any_scan, scanned_runs
from mainwright.cli.roof import run
from mainwright.demo.scans import demo_scans
from mainwright.errors import FaultyInput, InputError
from mainwright.folder.records import read_records
from mainwright.folder.scan_arrow import ArrowRings
from mainwright.folder.scan_files import ParquetRings
from mainwright.folder.scan_points import PointRings
from mainwright.folder.scan_source import AnyRings, ring_source
from mainwright.job.records import Records
from mainwright.workflow.scan_ports import RingChunk
from tests.unit.prove.demo_plan import demo_plan
from tests.unit.science.rings.simulated import Sensor, make_truth, scan
from tests.unit.workflow.test_scanning import write_scan

RESULTS = ("profile.csv", "rings.json", "thickness_grid.parquet", "thin_areas.csv")


def write_arrow(path: Path, table: pa.Table, *, batch: int = 1000, compression: str | None = None) -> Path:
    with ipc.new_file(path, table.schema, options=ipc.IpcWriteOptions(compression=compression)) as writer:
        writer.write_table(table, max_chunksize=batch)
    return path


def small(count: int = 30, points: int = 24, *, kind: pa.DataType | None = None) -> pa.Table:
    rng = np.random.default_rng(count)
    radii = rng.normal(200.0, 0.3, (count, points)).astype(np.float32)
    radii[rng.random(radii.shape) < 0.05] = np.nan
    rows = pa.array(list(radii), kind or pa.list_(pa.float32(), points))
    return pa.table(
        {"odometer_m": np.arange(count) * 0.005, "roll_deg": rng.normal(0.0, 3.0, count), "radius_mm": rows, "note": ["a"] * count}
    )


def whole(source: AnyRings, *, size: int = 16, skip: int = 0) -> RingChunk:
    parts = list(source.chunks(size=size, skip=skip))
    assert all(len(one.odometer) == size for one in parts[:-1])
    return RingChunk(
        np.concatenate([one.odometer for one in parts]),
        np.concatenate([one.roll for one in parts]),
        np.concatenate([one.radii for one in parts]),
    )


def same(one: RingChunk, two: RingChunk) -> None:
    for name in ("odometer", "roll", "radii"):
        assert getattr(one, name).tobytes() == getattr(two, name).tobytes()


def test_the_same_map_from_either_layout(tmp_path: Path) -> None:
    rng = np.random.default_rng(12)
    truth = make_truth(rng, length=6.0, patches=2)
    paths = {}
    for which, seen in (
        ("cleaned", scan(truth, Sensor(points=120), rng, lined=False)),
        ("lined", scan(truth, Sensor(points=120, drift=0.003, start=0.1, mounting=0.05), rng, lined=True)),
    ):
        first = write_scan(tmp_path / f"{which}.parquet", seen, groups=700)
        assert rings_file(first, out=tmp_path / f"{which}.arrow") == len(seen.radii)
        rings_file(tmp_path / f"{which}.arrow", out=tmp_path / f"{which}_again.parquet")
        write_arrow(tmp_path / f"{which}.feather", pq.read_table(first), batch=10**6, compression="lz4")
        paths[which] = [f"{which}{ending}" for ending in (".parquet", ".arrow", "_again.parquet", ".feather")]
    found = []
    for cleaned, lined in zip(paths["cleaned"], paths["lined"], strict=True):
        rings(cleaned=tmp_path / cleaned, lined=tmp_path / lined, out=tmp_path / f"out_{cleaned}", minimum_mm=4.9)
        found.append([(tmp_path / f"out_{cleaned}" / name).read_bytes() for name in RESULTS])
    assert found[1:] == [found[0]] * 3


@settings(max_examples=30, deadline=None)
@given(st.integers(1, 60), st.integers(1, 70), st.integers(1, 33), st.integers(0, 3), st.sampled_from([None, "lz4", "zstd"]))
def test_chunks_do_not_hang_on_batches(count: int, batch: int, size: int, skip: int, compression: str | None) -> None:
    table = small(count)
    place = Path(os.environ["MAINWRIGHT_LAYOUTS"])
    arrow = ArrowRings(write_arrow(place / "a.arrow", table, batch=batch, compression=compression))
    pq.write_table(table, place / "a.parquet", row_group_size=batch)
    assert arrow.rings == count
    if count > size * skip:
        same(whole(arrow, size=size, skip=skip), whole(ParquetRings(place / "a.parquet"), size=size, skip=skip))
    else:
        assert not list(arrow.chunks(size=size, skip=skip))


@pytest.fixture(autouse=True)
def _place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("MAINWRIGHT_LAYOUTS", str(tmp_path))


@pytest.mark.parametrize("kind", [pa.list_(pa.float32()), pa.list_(pa.float64()), pa.large_list(pa.float32()), pa.list_(pa.int16(), 24)])
def test_every_kind_of_list_is_read_and_written(kind: pa.DataType, tmp_path: Path) -> None:
    table = small()
    values = np.nan_to_num(np.stack(table["radius_mm"].to_numpy()), nan=0.0)
    if pa.types.is_integer(kind.value_type):
        values = np.rint(values).astype(np.int16)
    rows = [None, None, *values[2:].tolist()]
    table = table.set_column(2, "radius_mm", pa.array(rows, kind))
    one = ArrowRings(write_arrow(tmp_path / "a.arrow", table, batch=1 if pa.types.is_float32(kind.value_type) else 7))
    found = whole(one)
    assert np.isnan(found.radii[:2]).all()
    np.testing.assert_array_equal(found.radii[2:], values[2:].astype(np.float32) * np.float32(1e-3))
    rings_file(tmp_path / "a.arrow", out=tmp_path / "b.arrow")
    rings_file(tmp_path / "a.arrow", out=tmp_path / "b.parquet")
    for name in ("b.arrow", "b.parquet"):
        same(whole(ring_source(tmp_path / name)), found)
    with ipc.open_file(tmp_path / "b.arrow") as file:
        again = file.read_all()
    assert again.schema.field("radius_mm").type == pa.list_(pa.float32(), 24)
    assert again["note"].to_pylist() == ["a"] * 30


def test_what_it_holds_counts_and_not_its_name(tmp_path: Path) -> None:
    table = small()
    write_arrow(tmp_path / "one.parquet", table)
    pq.write_table(table, tmp_path / "two.arrow")
    (tmp_path / "three.txt").write_text("x_m,y_m,z_m\n" + "".join(f"0.{one},0.2,0.0\n" for one in range(30)), encoding="utf-8")
    kinds = [type(ring_source(tmp_path / name)) for name in ("one.parquet", "two.arrow", "three.txt")]
    assert kinds == [ArrowRings, ParquetRings, PointRings]


def test_points_become_rings(tmp_path: Path) -> None:
    angle = np.arange(72) * (2.0 * np.pi / 72)
    rows = [f"{0.1 * ring:.1f},{0.2 * np.sin(one):.9f},{0.2 * np.cos(one):.9f}" for ring in range(40) for one in angle]
    (tmp_path / "p.csv").write_text("x_m,y_m,z_m\n" + "\n".join(rows) + "\n", encoding="utf-8")
    assert rings_file(tmp_path / "p.csv", out=tmp_path / "p.arrow") == 40
    one, two = whole(ring_source(tmp_path / "p.csv")), whole(ring_source(tmp_path / "p.arrow"))
    np.testing.assert_allclose(two.radii, one.radii, rtol=3e-7)
    np.testing.assert_array_equal(two.odometer, one.odometer)
    assert not two.roll.any()


def _told(path: Path) -> str:
    with pytest.raises(FaultyInput) as caught:
        list(ring_source(path).chunks(size=16, skip=0))
    return "\n".join(map(str, caught.value.faults))


def test_faults_say_where(tmp_path: Path) -> None:
    table = small()
    path = write_arrow(tmp_path / "a.arrow", table, batch=10)
    data = path.read_bytes()
    path.write_bytes(data[:-100])
    assert "not copied whole" in _told(path)
    path.write_bytes(b"")
    assert "it is empty" in _told(path)
    path.write_bytes(data.replace(b"radius_mm", b"radius_cm"))
    assert "radius_mm: the column is missing" in _told(path)
    odd = pa.array([[1.0] * 24] * 17 + [[1.0] * 25] + [[1.0] * 24] * 12, pa.list_(pa.float32()))
    write_arrow(path, table.set_column(2, "radius_mm", odd), batch=10)
    assert (
        _told(path) == "a.arrow:18: radius_mm: it has 25 radii where the ring before has 24: as many in each ring are right (line = ring)"
    )
    write_arrow(path, table.set_column(0, "odometer_m", pa.array([0.1] * 22 + [None] + [0.1] * 7)), batch=10)
    assert "a.arrow:23: odometer_m or roll_deg: it is no number" in _told(path)
    with pytest.raises(FaultyInput):
        rings_file(path, out=tmp_path / "b.parquet")
    assert not (tmp_path / "b.parquet").exists()
    stream = io.BytesIO()
    with ipc.new_stream(stream, table.schema) as writer:
        writer.write_table(table)
    path.write_bytes(stream.getvalue())
    assert "it is a stream of Arrow" in _told(path)
    path.write_bytes(b"FEA1 and so on")
    assert "Feather of version 1" in _told(path)
    (tmp_path / "a.bin").write_bytes(b"nothing")
    assert "no ring scan that is known" in _told(tmp_path / "a.bin")


def test_a_damaged_batch_is_told_with_its_ring(tmp_path: Path) -> None:
    path = write_arrow(tmp_path / "a.arrow", small(), batch=10, compression="zstd")
    with ipc.open_file(path) as file:
        blocks = [file.get_batch(index).get_total_buffer_size() for index in range(file.num_record_batches)]
    assert len(blocks) == 3
    data = bytearray(path.read_bytes())
    # Frames of zstd begin with this; those of the third batch are spoiled, and ring 21 is its first.
    places = [place for place in range(len(data)) if data[place : place + 4] == b"\x28\xb5\x2f\xfd"]
    for place in places[len(places) * 2 // 3 :]:
        data[place : place + 8] = b"\xff" * 8
    path.write_bytes(bytes(data))
    assert _told(path).startswith("a.arrow:21: the rings from here on cannot be read")


@pytest.mark.parametrize("kind", [pa.list_(pa.float32(), 24), pa.large_list(pa.float64())])
@pytest.mark.parametrize("compression", [None, "lz4"])
def test_damage_anywhere_is_told_or_changes_values(kind: pa.DataType, compression: str | None, tmp_path: Path) -> None:
    rng = np.random.default_rng(8)
    path = write_arrow(tmp_path / "a.arrow", small(kind=kind), batch=10, compression=compression)
    data = path.read_bytes()
    for _ in range(120):
        spoiled = np.frombuffer(data, dtype=np.uint8).copy()
        spoiled[rng.integers(6, len(data), rng.integers(1, 5))] = rng.integers(0, 256)
        path.write_bytes(spoiled.tobytes())
        told: tuple[object, ...] = ()
        found = 0
        try:
            found = sum(len(one.odometer) for one in ring_source(path).chunks(size=16, skip=0))
        except FaultyInput as caught:
            told = caught.faults
        assert found <= 30
        assert all(str(one).startswith("a.arrow:") for one in told)


def test_stopped_and_gone_on_in_the_middle_of_a_file(tmp_path: Path) -> None:
    rng = np.random.default_rng(3)
    truth = make_truth(rng, length=40.0, patches=0)
    write_scan(tmp_path / "c.parquet", scan(truth, Sensor(points=48), rng, lined=False))
    rings_file(tmp_path / "c.parquet", out=tmp_path / "c.arrow")
    rings(cleaned=tmp_path / "c.arrow", lined=None, out=tmp_path / "whole")

    def stop(done: int, of: int) -> None:
        if done > 0.4 * of:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        rings(cleaned=tmp_path / "c.arrow", lined=None, out=tmp_path / "out", progress=stop)
    told: list[int] = []
    rings(cleaned=tmp_path / "c.arrow", lined=None, out=tmp_path / "out", progress=lambda done, of: told.append(done))
    assert told[0] > 0.4 * 8000
    for name in ("profile.csv", "rings.json"):
        assert (tmp_path / "out" / name).read_bytes() == (tmp_path / "whole" / name).read_bytes()


def test_a_run_is_proved_by_arrow_files(tmp_path: Path) -> None:
    plan = demo_plan()
    one = next(run for run in plan.runs if run.id == "R06")
    (tmp_path / "records").mkdir()
    for name, data in demo_scans(plan.job, one, bore=one.settings[0].bore).items():
        # A part with the planted area is enough.
        pq.write_table(pq.read_table(io.BytesIO(data)).slice(1000, 1200), tmp_path / "records" / name)
    before = scanned_runs(tmp_path, runs=plan.runs, stretches=plan.stretches, records=Records())
    for path in list((tmp_path / "records").iterdir()):
        rings_file(path, out=path.with_suffix(".arrow"))
        path.unlink()
    assert any_scan(tmp_path)
    assert not read_records(tmp_path).unknown
    assert scanned_runs(tmp_path, runs=plan.runs, stretches=plan.stretches, records=Records()) == before


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pq.write_table(small(), tmp_path / "a.parquet")
    assert run(["rings-file", str(tmp_path / "a.parquet"), "--out", str(tmp_path / "new" / "a.arrow")]) == 0
    assert "30 rings" in capsys.readouterr().err
    assert isinstance(ring_source(tmp_path / "new" / "a.arrow"), ArrowRings)
    assert run(["rings-file", str(tmp_path / "a.parquet"), "--out", str(tmp_path / "a.txt")]) == 2
    assert ".arrow, .feather or .parquet" in capsys.readouterr().err
    with pytest.raises(InputError, match="at least one"):
        rings_file(write_arrow(tmp_path / "none.arrow", small().slice(0, 0)), out=tmp_path / "b.arrow")
