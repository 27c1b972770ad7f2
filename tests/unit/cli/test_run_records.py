"""What is on record of one run, given to somebody who asks for more than its log."""

import hashlib
from pathlib import Path

import pytest
from click import UsageError

from mainwright import bootstrap
from mainwright.bootstrap import open_store
from mainwright.errors import InputError, NotFound
from mainwright.folder.records import read_records
from mainwright.workflow.live_ports import RunKey
from tests.unit.cli.test_keep import make_plan_of, run, run_raising


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("run-records")
    bootstrap.make_recorded(place / "job", make_plan_of(place / "plan"))
    records = place / "job" / "records"
    (records / "photos").mkdir()
    (records / "photos" / "lip.jpg").write_bytes(b"jpg")
    (records / "photos" / "of another run.jpg").write_bytes(b"another")
    with (records / "observations.csv").open("a", encoding="utf-8") as file:
        file.write("R06,lined,690,6,6,lip,12,lip.jpg,,,camera\nR01,lined,30,6,6,lip,12,of another run.jpg,,,camera\n")
    # What was found: within R06, at its far end, which the next run has too, and elsewhere.
    done = read_records(place / "job").records.runs_done
    low, high = next((one.start, one.end) for one in done if one.run == "R06")
    rows = "".join(f"{at},,root,no,20,,found by {who},{who}\n" for at, who in ((low + 1.0, "a"), (high, "b"), (low - 2.0, "c")))
    (records / "obstructions.csv").write_text(f"chainage_m,time,kind,on_drawing,minutes,photo,note,who\n{rows}", encoding="utf-8")
    (records / "connections_found.csv").write_text(
        f"chainage_m,clock,seen_by,ref,time,who\n{low + 3.0},3,camera,,,a\n{high + 3.0},3,camera,,,b\n", encoding="utf-8"
    )
    bootstrap.import_job(place / "job", store=str(place / "store.sqlite"), author="a")
    return place / "store.sqlite"


def test_rows_scans_and_photographs_of_the_run_and_of_no_other(store: Path, tmp_path: Path) -> None:
    told = run("export", "TL-03", "R06", "--out", tmp_path / "R06.run", "--records", tmp_path / "R06", "--store", store)
    assert told.return_value == 0
    # The run was never followed here: it has no log, and that is said.
    assert "R06.run is not written" in told.stderr
    assert not (tmp_path / "R06.run").exists()
    names = {one.relative_to(tmp_path / "R06").as_posix() for one in (tmp_path / "R06").rglob("*") if one.is_file()}
    assert {"records/rings_R06_cleaned.parquet", "records/rings_R06_lined.parquet", "records/run_R06.csv", "records/photos/lip.jpg"} < names
    assert {"records/bare_places.csv", "records/thickness.csv", "records/observations.csv", "SHA256SUMS"} < names
    assert not any("R01" in name or "another" in name for name in names)
    before, given = read_records(store.parent / "job").records, read_records(tmp_path / "R06")
    assert given.faults == ()
    assert given.records.thickness == tuple(one for one in before.thickness if one.run == "R06")
    assert given.records.bare_places == before.bare_places
    assert [one.run for one in given.records.readings] == ["R06"]
    assert [one.who for one in given.records.obstructions] == ["a", "b"]
    assert [one.who for one in given.records.connections_found] == ["a"]
    whole = (tmp_path / "R06" / "SHA256SUMS").read_text(encoding="utf-8").splitlines()
    assert {line[66:] for line in whole} == names - {"SHA256SUMS"}
    for line in whole:
        assert hashlib.sha256((tmp_path / "R06" / line[66:]).read_bytes()).hexdigest() == line[:64]
    scan = "records/rings_R06_lined.parquet"
    assert (tmp_path / "R06" / scan).read_bytes() == (store.parent / "job" / scan).read_bytes()


def test_with_the_log_where_there_is_one(store: Path, tmp_path: Path) -> None:
    with open_store(str(store)) as opened:
        opened.log.begin(RunKey("TL-03", "R05"), {"plan": 1}, author="a")
    told = run("export", "TL-03", "R05", "--out", tmp_path / "R05.run", "--records", tmp_path / "R05", "--store", store)
    assert told.return_value == 0
    assert (tmp_path / "R05.run").is_file()
    assert not list((tmp_path / "R05" / "records").glob("rings_*"))


def test_what_cannot_be_given(store: Path, tmp_path: Path) -> None:
    with pytest.raises(NotFound, match="Nothing is on record of run R99"):
        run_raising("export", "TL-03", "R99", "--out", tmp_path / "R99.run", "--records", tmp_path / "R99", "--store", store)
    assert not (tmp_path / "R99").exists()
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "a.txt").write_text("a", encoding="utf-8")
    with pytest.raises(InputError, match="nothing of another run"):
        run_raising("export", "TL-03", "R06", "--out", tmp_path / "R06.run", "--records", tmp_path / "full", "--store", store)
    with pytest.raises(UsageError, match="goes with a RUN"):
        run_raising("export", "TL-03", "--out", tmp_path / "all", "--records", tmp_path / "R06", "--store", store)
