"""A lining thicker on one side: unseen by two scans alone, seen with a reference that both have in common."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from mainwright.bootstrap import rings
from mainwright.bootstrap.scans import scanned_runs
from mainwright.cli.roof import run
from mainwright.demo.job import demo_files
from mainwright.folder.reading import read_files
from mainwright.folder.records import read_records
from mainwright.job.records import BarePlace, Records
from mainwright.words.message import Message
from mainwright.words.wording import word
from mainwright.workflow.scan_ports import ScanSummary
from tests.unit.prove.demo_plan import demo_plan
from tests.unit.science.rings.simulated import STEP, Scan, Sensor, Truth, make_truth, scan
from tests.unit.workflow.test_scanning import write_scan

ECCENTRIC = 0.001
BARE = ((0.0, 0.7), (8.3, 9.0))
MOUNTING = np.deg2rad(4.0)


@pytest.fixture(scope="module")
def truth() -> Truth:
    whole = make_truth(np.random.default_rng(6), length=9.0, patches=0, eccentric=ECCENTRIC)
    lining = whole.lining.copy()
    for start, end in BARE:
        lining[round(start / STEP) : round(end / STEP)] = 0.0
    return replace(whole, lining=lining)


@pytest.fixture(scope="module")
def scans(truth: Truth) -> tuple[Scan, Scan]:
    rng = np.random.default_rng(7)
    return (
        scan(truth, Sensor(points=360), rng, lined=False),
        scan(truth, Sensor(points=360, drift=0.003, start=0.1, mounting=MOUNTING), rng, lined=True),
    )


def said(text: Message | None, language: str = "en") -> str:
    assert text is not None
    return word(text, language=language, units="metric")


def _surveyed(path: Path, seen: Scan, *, mounting: float) -> Path:
    """Write a scan with the way of its head in a pipe that runs up and to the left."""
    write_scan(path, seen)
    turn = seen.roll + mounting
    up = 0.003 * seen.chainage - (seen.up * np.cos(turn) - seen.right * np.sin(turn))
    right = -0.002 * seen.chainage - (seen.right * np.cos(turn) + seen.up * np.sin(turn))
    table = pq.read_table(path)
    for name, values in (("head_up_mm", 1e3 * up), ("head_right_mm", 1e3 * right), ("head_deviation_mm", np.full(up.size, 0.1))):
        table = table.append_column(name, pa.array(values))
    pq.write_table(table, path)
    return path


def _off(truth: Truth, out: Path) -> float:
    """Return how far the cells of the lining are off, at the median [mm]."""
    grid = pq.read_table(out / "thickness_grid.parquet")
    thick = grid["thickness_mm"].to_numpy().reshape(-1, 72)
    chainage = grid["chainage_m"].to_numpy()[::72]
    true = 1000.0 * truth.cell_thickness()
    row = np.round(chainage / 0.05 - 0.5).astype(int)
    lined = (chainage > BARE[0][1] + 0.1) & (chainage < BARE[1][0] - 0.1)
    return float(np.nanmedian(np.abs(thick[lined] - true[row[lined]])))


def _deviation(summary: ScanSummary) -> float:
    assert summary.thickness_min_deviation is not None
    return summary.thickness_min_deviation


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory, scans: tuple[Scan, Scan]) -> dict[str, Path]:
    place = tmp_path_factory.mktemp("reference")
    (place / "bare.csv").write_text("from_m,to_m,kind\n" + "".join(f"{start},{end},pit\n" for start, end in BARE), encoding="utf-8")
    return {
        "cleaned": write_scan(place / "c.parquet", scans[0]),
        "lined": write_scan(place / "l.parquet", scans[1]),
        "bare": place / "bare.csv",
        "cleaned_path": _surveyed(place / "cp.parquet", scans[0], mounting=0.0),
        "lined_path": _surveyed(place / "lp.parquet", scans[1], mounting=MOUNTING),
    }


def test_without_a_reference_it_is_carried(files: dict[str, Path], truth: Truth, tmp_path: Path) -> None:
    _, found = rings(cleaned=files["cleaned"], lined=files["lined"], out=tmp_path)
    assert found.gauge_places == 0
    assert "nothing is known" in said(found.unseen_because)
    assert found.thickness_p50 is not None
    assert found.unseen == pytest.approx(found.thickness_p50 / 2.0)
    assert _deviation(found) > 2.5 * ECCENTRIC
    # The median over the clock of |e cos a| is e / sqrt 2: the scans alone are off by what they cannot see.
    assert _off(truth, tmp_path) == pytest.approx(1000.0 * ECCENTRIC / 2.0**0.5, abs=0.1)


def test_bare_ends_in_both_scans_show_it(files: dict[str, Path], truth: Truth, tmp_path: Path) -> None:
    _, found = rings(cleaned=files["cleaned"], lined=files["lined"], out=tmp_path, bare=files["bare"], minimum_mm=2.0)
    assert found.gauge_places == 2
    assert "bare places before and after" in said(found.unseen_because)
    assert _deviation(found) < 0.4e-3
    assert _off(truth, tmp_path) < 0.15
    # Nobody lined the open ends: they are neither the smallest thickness nor a thin area.
    assert found.areas == 0
    assert found.thickness_min is not None
    assert abs(found.thickness_min - truth.cell_thickness()[16:164].min()) < 4.0 * _deviation(found)


def test_a_bare_fitting_stays_a_thin_area(files: dict[str, Path], tmp_path: Path) -> None:
    (tmp_path / "bare.csv").write_text(files["bare"].read_text(encoding="utf-8").replace("pit", "fitting"), encoding="utf-8")
    _, found = rings(cleaned=files["cleaned"], lined=files["lined"], out=tmp_path / "o", bare=tmp_path / "bare.csv", minimum_mm=2.0)
    assert found.areas == 2
    assert found.gauge_places == 2


def test_surveyed_heads_show_it(files: dict[str, Path], truth: Truth, tmp_path: Path) -> None:
    _, found = rings(cleaned=files["cleaned_path"], lined=files["lined_path"], out=tmp_path, bare=files["bare"])
    assert found.gauge_places == 9
    assert said(found.unseen_because) == "bare places and the surveyed way of the head before and after, and half of what they differ"
    told = "blanke Stellen und der vermessene Weg des Messkopfs davor und dahinter, und die Hälfte ihres Unterschieds"
    assert said(found.unseen_because, "de") == told
    assert _deviation(found) < 0.3e-3
    assert _off(truth, tmp_path) < 0.12


def test_one_surveyed_pass_alone_is_no_reference(files: dict[str, Path], tmp_path: Path) -> None:
    _, found = rings(cleaned=files["cleaned_path"], lined=files["lined"], out=tmp_path)
    assert found.gauge_places == 0


def test_without_eccentricity_none_is_found(tmp_path: Path) -> None:
    rng = np.random.default_rng(3)
    round_one = make_truth(rng, length=4.0, patches=0)
    lining = round_one.lining.copy()
    lining[:120] = lining[-120:] = 0.0
    even = replace(round_one, lining=lining)
    cleaned = write_scan(tmp_path / "c.parquet", scan(even, Sensor(points=360), rng, lined=False))
    lined = write_scan(tmp_path / "l.parquet", scan(even, Sensor(points=360), rng, lined=True))
    (tmp_path / "bare.csv").write_text("from_m,to_m,kind\n0,0.6,pit\n3.4,4,pit\n", encoding="utf-8")
    rings(cleaned=cleaned, lined=lined, out=tmp_path / "a")
    rings(cleaned=cleaned, lined=lined, out=tmp_path / "b", bare=tmp_path / "bare.csv")
    grids = [pq.read_table(tmp_path / one / "thickness_grid.parquet")["thickness_mm"].to_numpy() for one in "ab"]
    # Half the spread of the difference is what the reference says: nought within its own deviation.
    assert np.nanmax(np.abs(grids[0] - grids[1])) < 0.25


def test_columns_in_another_order(files: dict[str, Path], tmp_path: Path) -> None:
    table = pq.read_table(files["cleaned_path"])
    pq.write_table(table.select(table.column_names[::-1]), tmp_path / "turned.parquet")
    rings(cleaned=files["cleaned_path"], lined=None, out=tmp_path / "a")
    rings(cleaned=tmp_path / "turned.parquet", lined=None, out=tmp_path / "b")
    assert (tmp_path / "a" / "profile.csv").read_bytes() == (tmp_path / "b" / "profile.csv").read_bytes()


def test_faults(files: dict[str, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "bare.csv").write_text("from_m,to_m,kind\n1,0.5,pit\nx,2,sleeve\n", encoding="utf-8")
    given = ["rings", "--cleaned", str(files["cleaned"]), "--out", str(tmp_path / "o"), "--bare", str(tmp_path / "bare.csv")]
    assert run(given) == 2
    told = capsys.readouterr().err
    assert "bare.csv:2: to_m: it is 0.5: over from_m is right" in told
    assert "bare.csv:3: from_m: it is x" in told
    assert "bare.csv:3: kind: it is sleeve: pit or fitting is right" in told
    table = pq.read_table(files["cleaned_path"])
    pq.write_table(table.drop_columns(["head_right_mm"]), tmp_path / "half.parquet")
    assert run(["rings", "--cleaned", str(tmp_path / "half.parquet"), "--out", str(tmp_path / "o")]) == 2
    assert "head_right_mm: the column is missing" in capsys.readouterr().err


def test_bare_places_on_record_reach_the_proof_from_folder_and_store(truth: Truth, scans: tuple[Scan, Scan], tmp_path: Path) -> None:
    planned = demo_plan().runs[5]
    shift = planned.start - 1.0
    lined_run = replace(planned, start=shift + BARE[0][1], end=shift + BARE[1][0])
    rows = [f"{planned.id},{start + shift},{end + shift},pit,,cut back,crew" for start, end in BARE]
    # As much of another run tells nothing of this one.
    rows.append(f"R01,{shift + 4.0},{shift + 5.0},fitting,,,crew")
    files = demo_files() | {"records/bare_places.csv": "\n".join(["run,from_m,to_m,kind,time,note,who", *rows, ""]).encode()}
    for name, data in files.items():
        (tmp_path / "job" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "job" / name).write_bytes(data)
    for which, seen in zip(("cleaned", "lined"), scans, strict=True):
        write_scan(tmp_path / "job" / "records" / f"rings_{planned.id}_{which}.parquet", replace(seen, odometer=seen.odometer + shift))
    store = tmp_path / "store.sqlite"
    assert run(["import", str(tmp_path / "job"), "--store", str(store)]) == 0
    reference = read_files(demo_files()).job
    assert reference is not None
    assert run(["export", reference.info.reference, "--out", str(tmp_path / "again"), "--store", str(store)]) == 0
    proofs = []
    for folder in ("job", "again"):
        found = read_records(tmp_path / folder)
        assert found.faults == ()
        assert found.records.bare_places == (
            *(BarePlace(planned.id, start + shift, end + shift, "pit", note="cut back", who="crew") for start, end in BARE),
            BarePlace("R01", shift + 4.0, shift + 5.0, "fitting", who="crew"),
        )
        proofs.append(
            scanned_runs(tmp_path / folder, runs=(lined_run,), stretches=demo_plan().stretches, records=found.records)[planned.id].proof
        )
    assert proofs[0] == proofs[1]
    (without,) = scanned_runs(tmp_path / "again", runs=(lined_run,), stretches=demo_plan().stretches, records=Records()).values()
    assert proofs[0].minimum_deviation is not None
    assert without.proof.minimum_deviation is not None
    assert proofs[0].minimum_deviation < 0.4e-3
    assert without.proof.minimum_deviation > 2e-3
    assert "bare places" in said(proofs[0].unseen_because)
    assert proofs[0].minimum is not None
    assert proofs[0].minimum > 2e-3
