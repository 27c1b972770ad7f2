"""``import``, ``export`` and ``verify`` as somebody uses them."""

import json
from pathlib import Path

from click.testing import CliRunner, Result

from mainwright.bootstrap import open_store
from mainwright.cli.root import cli
from mainwright.demo.job import write_demo
from mainwright.folder.reading import read_folder
from mainwright.workflow.live_ports import LogEntry, RunKey


def run(*arguments: object) -> Result:
    return CliRunner().invoke(cli, [str(one) for one in arguments], standalone_mode=False)


def test_a_job_goes_in_and_comes_out_the_same(tmp_path: Path) -> None:
    write_demo(tmp_path / "job")
    (tmp_path / "job" / "records").mkdir()
    (tmp_path / "job" / "records" / "curing.csv").write_text(
        "run,time,temperature_c\nR01,2026-05-11T16:00:00+02:00,11.5\n", encoding="utf-8"
    )
    store = tmp_path / "store.sqlite"
    first = run("import", tmp_path / "job", "--store", store)
    assert first.return_value == 0
    assert "number 1) kept; 1 records added" in first.stderr
    again = run("import", tmp_path / "job", "--store", store)
    assert "was kept already; 0 records added" in again.stderr
    assert run("export", "TL-03", "--out", tmp_path / "out", "--store", store).return_value == 0
    before, after = read_folder(tmp_path / "job").job, read_folder(tmp_path / "out").job
    assert before == after
    assert (tmp_path / "out" / "records" / "curing.csv").read_text(encoding="utf-8") == (
        tmp_path / "job" / "records" / "curing.csv"
    ).read_text(encoding="utf-8")


def test_a_run_is_carried_and_verified(tmp_path: Path) -> None:
    van, office = tmp_path / "van.sqlite", tmp_path / "office.sqlite"
    with open_store(str(van)) as store:
        store.log.begin(RunKey("TL-03", "R01"), {"plan": 1}, author="a")
        store.log.append(RunKey("TL-03", "R01"), [LogEntry("remark", 1.0, {"text": "dry"})], after=0)
    assert run("export", "TL-03", "R01", "--out", tmp_path / "R01.run", "--store", van).return_value == 0
    assert run("verify", tmp_path / "R01.run", "--strict").return_value == 0
    brought = run("import", tmp_path / "R01.run", "--store", office)
    assert "1 entries added, 1 kept" in brought.stderr
    assert "0 entries added, 1 kept" in run("import", tmp_path / "R01.run", "--store", office).stderr
    told = json.loads(run("verify", office, "--json").stdout)
    assert told["sound"]
    text = (tmp_path / "R01.run").read_text(encoding="utf-8").replace("dry", "wet")
    (tmp_path / "R01.run").write_text(text, encoding="utf-8")
    broken = run("verify", tmp_path / "R01.run", "--strict")
    assert broken.return_value == 1
    assert "line 2 was changed" in broken.stdout


def test_what_is_not_kept_is_told(tmp_path: Path) -> None:
    result = run("export", "none", "--out", tmp_path / "out", "--store", tmp_path / "store.sqlite")
    assert "there is no job none" in str(result.exception)
    assert not (tmp_path / "out").exists()


def test_a_faulty_folder_is_not_kept(tmp_path: Path) -> None:
    write_demo(tmp_path / "job")
    (tmp_path / "job" / "main.csv").write_text("from_m,to_m\n0,x\n", encoding="utf-8")
    result = run("import", tmp_path / "job", "--store", tmp_path / "store.sqlite")
    assert result.return_value == 2
    assert "main.csv:2: to_m" in result.stderr
