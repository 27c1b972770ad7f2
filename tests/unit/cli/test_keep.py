"""``import``, ``export`` and ``verify`` as somebody uses them."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from mainwright import bootstrap
from mainwright.bootstrap import open_store
from mainwright.cli.root import cli
from mainwright.demo.job import write_demo
from mainwright.errors import InputError
from mainwright.folder.reading import read_folder
from mainwright.folder.records import read_records
from mainwright.plan.result import Plan
from mainwright.workflow.deeds import Wanted
from mainwright.workflow.live_ports import LogEntry, RunKey


def run(*arguments: object) -> Result:
    return CliRunner().invoke(cli, [str(one) for one in arguments], standalone_mode=False)


def run_raising(*arguments: object) -> None:
    """Run a command in the open: what it raises comes through."""
    cli.main([str(one) for one in arguments], standalone_mode=False)


def test_folder_and_store_have_one_revision_and_one_proof(tmp_path: Path) -> None:
    """Unknown columns count too, and a job that was given out again is proved as it was before."""
    made = make_plan_of(tmp_path / "job")
    job = tmp_path / "recorded"
    bootstrap.make_recorded(job, made)
    with (job / "main.csv").open(encoding="utf-8") as file:
        lines = file.read().splitlines()
    (job / "main.csv").write_text("\n".join([lines[0] + ",painted", *(f"{line},blue" for line in lines[1:])]) + "\n", encoding="utf-8")
    store = tmp_path / "store.sqlite"
    first = run("import", job, "--store", store, "--json", "--who", "A. Writer")
    assert first.return_value == 0, first.stderr
    told = json.loads(first.stdout)
    assert told["revision"] == read_folder(job).document.revision()
    assert told["records"]["added"] > 20
    assert json.loads(run("import", job, "--store", store, "--json").stdout)["records"] == {
        "added": 0,
        "corrected": 0,
        "taken_away": 0,
        "missing": 0,
    }
    out = tmp_path / "out"
    assert run("export", "TL-03", "--out", out, "--store", store).return_value == 0
    assert read_folder(out).document.revision() == told["revision"]
    assert read_records(out).records == read_records(job).records
    assert (out / "plan.json").read_bytes() == (job / "plan.json").read_bytes()
    again = json.loads(run("import", out, "--store", store, "--json").stdout)
    assert (again["new"], again["records"]["added"], again["records"]["corrected"]) == (False, 0, 0)


def make_plan_of(folder: Path) -> Plan:
    from mainwright.plan.plan import make_plan

    bootstrap.make_demo(folder)
    job = bootstrap.read_job(folder).job
    assert job is not None
    return make_plan(job)


def test_a_job_goes_in_and_comes_out_the_same(tmp_path: Path) -> None:
    write_demo(tmp_path / "job")
    (tmp_path / "job" / "records").mkdir()
    (tmp_path / "job" / "records" / "curing.csv").write_text(
        "run,time,temperature_c\nR01,2026-05-11T16:00:00+02:00,11.5\n", encoding="utf-8"
    )
    store = tmp_path / "store.sqlite"
    first = run("import", tmp_path / "job", "--store", store)
    assert first.return_value == 0
    assert "number 1) kept; 1 record added" in first.stderr
    again = run("import", tmp_path / "job", "--store", store)
    assert "was kept already; 0 records added" in again.stderr
    assert run("export", "TL-03", "--out", tmp_path / "out", "--store", store).return_value == 0
    before, after = read_folder(tmp_path / "job").job, read_folder(tmp_path / "out").job
    assert before == after
    with pytest.raises(InputError, match="a folder that does not exist yet or is empty"):
        run_raising("export", "TL-03", "--out", tmp_path / "out", "--store", store)
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
    assert "1 entry added; the file ends at 1:" in brought.stderr
    again = run("import", tmp_path / "R01.run", "--store", office, "--json")
    with open_store(str(office)) as opened:
        noted = [one.deed for one in opened.deeds.find(Wanted())]
    assert [(one.what, one.role, one.detail.partition(":")[0]) for one in noted] == [
        ("files taken in", "terminal", "mainwright import R01.run")
    ]
    assert "0 entries added" in again.stderr
    anchor = json.loads(again.stdout)["anchor"]
    told = json.loads(run("verify", office, "--json", "--anchor", f"1:{anchor['head']}").stdout)
    assert told["sound"]
    assert told["chains"][0]["head"] == anchor["head"]
    assert told["anchors"] == [{"anchor": f"1:{anchor['head'][:16]}", "in": "run R01 of job TL-03"}]
    lost = run("verify", office, "--strict", "--anchor", f"2:{anchor['head']}")
    assert lost.return_value == 1
    assert "no chain passes through 2:" in lost.stdout
    with pytest.raises(InputError, match="a count, a colon, and 8 to 64 digits"):
        run_raising("verify", office, "--anchor", "2:xyz")
    text = (tmp_path / "R01.run").read_text(encoding="utf-8").replace("dry", "wet")
    (tmp_path / "R01.run").write_text(text, encoding="utf-8")
    broken = run("verify", tmp_path / "R01.run", "--strict")
    assert broken.return_value == 1
    assert "line 2: it was changed" in broken.stdout


def test_a_run_that_went_on_in_two_places(tmp_path: Path) -> None:
    key = RunKey("TL-03", "R01")
    for place in ("van", "office"):
        with open_store(str(tmp_path / f"{place}.sqlite")) as store:
            store.log.begin(key, {"plan": 1}, author=place)
    run("export", "TL-03", "R01", "--out", tmp_path / "R01.run", "--store", tmp_path / "van.sqlite")
    told = run("import", tmp_path / "R01.run", "--store", tmp_path / "office.sqlite")
    assert told.return_value == 2
    assert "was begun otherwise" in told.stderr


def test_what_is_not_kept_is_told(tmp_path: Path) -> None:
    result = run("export", "none", "--out", tmp_path / "out", "--store", tmp_path / "store.sqlite")
    assert "there is no job none" in str(result.exception)
    assert not (tmp_path / "out").exists()


def test_who_brought_what_stands_in_the_list_of_deeds(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("USER", "ada")
    store = tmp_path / "store.sqlite"
    write_demo(tmp_path / "job")
    for _ in range(2):  # the second adds nothing
        assert run("import", tmp_path / "job", "--store", store).return_value == 0
    first = read_folder(tmp_path / "job").document.revision()
    text = (tmp_path / "job" / "job.toml").read_text(encoding="utf-8")
    (tmp_path / "job" / "job.toml").write_text(text.replace("Tallow Lane main", "Tallow Lane"), encoding="utf-8")
    assert run("import", tmp_path / "job", "--store", store, "--who", "Ben").return_value == 0
    second = read_folder(tmp_path / "job").document.revision()
    with open_store(str(store)) as opened:
        found = [one.deed for one in opened.deeds.find(Wanted(job="TL-03"))]
    assert [(one.what, one.who, one.role, one.device, one.before, one.after) for one in found] == [
        ("files taken in", "Ben", "terminal", "local", first, second),
        ("files taken in", "ada", "terminal", "local", None, first),
    ]
    assert found[1].detail.startswith("mainwright import job: ")
    assert str(tmp_path) not in found[1].detail
    assert bootstrap.verify(str(store)).sound


def test_cells_that_a_spreadsheet_would_run_are_told_and_carried_as_typed(tmp_path: Path) -> None:
    write_demo(tmp_path / "job")
    lines = (tmp_path / "job" / "main.csv").read_text(encoding="utf-8").splitlines()
    (tmp_path / "job" / "main.csv").write_text(
        "\n".join([lines[0] + ",painted", *(f"{one},=1+1" for one in lines[1:])]) + "\n", encoding="utf-8"
    )
    store = tmp_path / "store.sqlite"
    brought = run("import", tmp_path / "job", "--store", store)
    assert "Caution: a spreadsheet would take these cells" in brought.stderr
    assert "main.csv, line 2, painted" in brought.stderr
    given = run("export", "TL-03", "--out", tmp_path / "out", "--store", store)
    assert "and 4 more" in given.stderr
    assert (tmp_path / "out" / "main.csv").read_bytes() == (tmp_path / "job" / "main.csv").read_bytes()


def test_a_faulty_folder_is_not_kept(tmp_path: Path) -> None:
    write_demo(tmp_path / "job")
    (tmp_path / "job" / "main.csv").write_text("from_m,to_m\n0,x\n", encoding="utf-8")
    result = run("import", tmp_path / "job", "--store", tmp_path / "store.sqlite")
    assert result.return_value == 2
    assert "main.csv:2: to_m" in result.stderr
