"""``mainwright plan`` and ``demo``: papers all or none, exit statuses, and nobody's files lost."""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from mainwright.cli.statuses import ANSWER_IS_NO, DONE, FAULTY_INPUT, INTERRUPTED, OUTSIDE_FAILED
from tests.unit.cli.helpers import SMALL_JOB, invoke, process, write_job

NO_LAYOUT = SMALL_JOB["job.toml"] + "\n[runs]\nmax_length_m = 5.0\nopening_spacing_grid_m = 100.0\n"


def test_papers_and_a_summary(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    ran = invoke(capsys, "plan", write_job(tmp_path / "job"), "--out", tmp_path / "papers")
    assert ran.status == DONE
    assert "Mill Lane main: 260.0 m in 2 stretches" in ran.out
    assert "Openings and runs" in ran.out
    assert "R01" in ran.out
    assert "plan.json" in ran.err
    plan = json.loads((tmp_path / "papers" / "plan.json").read_text())
    assert plan["layout"]["runs"] == 2
    assert sorted(path.name for path in (tmp_path / "papers").iterdir()) == ["bill.xlsx", "plan.json", "plan.pdf"]


def test_json_on_standard_output_is_the_file(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    ran = invoke(capsys, "plan", write_job(tmp_path / "job"), "--out", tmp_path / "papers", "--json")
    assert ran.out.encode() == (tmp_path / "papers" / "plan.json").read_bytes()


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_an_interrupted_plan_leaves_nothing(tmp_path: Path, number: signal.Signals) -> None:
    folder = write_job(tmp_path / "job")
    program = tmp_path / "program.py"
    program.write_text(
        "import sys, time\n"
        "from mainwright.cli.roof import run\n"
        "from mainwright.paper import papers\n"
        "def slow(plan, out, *, progress=None):\n"
        "    (out / 'plan.pdf').write_text('half')\n"
        "    print('writing', flush=True)\n"
        "    time.sleep(60)\n"
        "papers.write_papers = slow\n"
        f"sys.exit(run(['plan', {str(folder)!r}, '--out', {str(tmp_path / 'new' / 'papers')!r}]))\n",
        encoding="utf-8",
    )
    with subprocess.Popen([sys.executable, str(program)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as running:  # noqa: S603
        assert running.stdout is not None
        assert running.stdout.readline() == "writing\n"
        running.send_signal(number)
        _, said = running.communicate(timeout=60)
    assert running.returncode == INTERRUPTED
    assert "Nothing was left half-written" in said
    assert not (tmp_path / "new").exists()


def test_the_same_job_gives_the_same_bytes_in_another_place(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    for name in ("one", "two"):
        invoke(capsys, "plan", write_job(tmp_path / name / "job"), "--out", tmp_path / name / "papers")
    one, two = ({path.name: path.read_bytes() for path in (tmp_path / name / "papers").iterdir()} for name in ("one", "two"))
    assert one == two
    assert len(one) == 3


def test_faults_write_nothing(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    folder = write_job(tmp_path / "job", main_csv="from_m,to_m,dn,material\n0,120,150,wood\n")
    ran = invoke(capsys, "plan", folder, "--out", tmp_path / "papers")
    assert ran.status == FAULTY_INPUT
    assert "main.csv:2: material: " in ran.err
    assert "2 faults; nothing was written." in ran.err
    assert not ran.out
    assert not (tmp_path / "papers").exists()


def test_a_plan_that_no_layout_allows_is_done_unless_it_is_strict(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    folder = write_job(tmp_path / "job", job_toml=NO_LAYOUT)
    ran = invoke(capsys, "plan", folder, "--out", tmp_path / "papers")
    assert ran.status == DONE
    assert "NO LAYOUT keeps all limits" in ran.out
    assert "STOP" in ran.out
    assert json.loads((tmp_path / "papers" / "plan.json").read_text())["layout"]["total_cost"] is None
    assert invoke(capsys, "plan", folder, "--out", tmp_path / "papers", "--strict").status == ANSWER_IS_NO
    assert invoke(capsys, "plan", write_job(tmp_path / "other"), "--out", tmp_path / "papers", "--strict").status == DONE


def test_an_earlier_plan_is_replaced_and_other_files_stay(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    papers = tmp_path / "papers"
    folder = write_job(tmp_path / "job")
    invoke(capsys, "plan", folder, "--out", papers)
    (papers / "letter.txt").write_text("mine")
    (papers / "openings.geojson").write_text("of an earlier plan that had a map")
    write_job(folder, job_toml=SMALL_JOB["job.toml"].replace("6.0", "5.5"))
    assert invoke(capsys, "plan", folder, "--out", papers).status == DONE
    assert (papers / "letter.txt").read_text() == "mine"
    assert not (papers / "openings.geojson").exists()
    assert json.loads((papers / "plan.json").read_text())["stretches"][0]["lining_nominal_mm"] == 5.5


def test_somebody_elses_file_of_a_papers_name_stops_the_command(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    papers = tmp_path / "papers"
    papers.mkdir()
    (papers / "bill.xlsx").write_text("mine")
    ran = invoke(capsys, "plan", write_job(tmp_path / "job"), "--out", papers)
    assert ran.status == FAULTY_INPUT
    assert "bill.xlsx" in ran.err
    assert [path.name for path in papers.iterdir()] == ["bill.xlsx"]
    assert (papers / "bill.xlsx").read_text() == "mine"


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_that_may_not_be_written(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o500)
    ran = invoke(capsys, "plan", write_job(tmp_path / "job"), "--out", closed / "papers")
    assert ran.status == OUTSIDE_FAILED
    assert "Permission denied" in ran.err


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_a_standard_output_that_is_full(tmp_path: Path) -> None:
    with Path("/dev/full").open("w") as full:
        ran = process("check", write_job(tmp_path / "job"), out=full)
    assert ran.returncode == OUTSIDE_FAILED
    assert "No space left" in ran.stderr
    assert "Traceback" not in ran.stderr


def test_an_issued_plan_that_is_none(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    issued = tmp_path / "issued.json"
    for content in ("no json", "[]", '{"mainwright": NaN}', "[" * 100_000):
        issued.write_text(content)
        ran = invoke(capsys, "plan", write_job(tmp_path / "job"), "--out", tmp_path / "papers", "--issued", issued)
        assert ran.status == FAULTY_INPUT
        assert "issued plan" in ran.err
    assert not (tmp_path / "papers").exists()


def test_planning_the_rest(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    folder = write_job(tmp_path / "job")
    invoke(capsys, "plan", folder, "--out", tmp_path / "issued")
    first = json.loads((tmp_path / "issued" / "plan.json").read_text())
    run = first["runs"][0]
    records = folder / "records"
    records.mkdir()
    done = f"{run['id']},1,{run['from_m']},{run['to_m']},{run['direction']},2026-05-04T10:12:00+02:00,2026-05-04T10:44:00+02:00,complete,foreman\n"
    (records / "runs_done.csv").write_text("run,coat,from_m,to_m,direction,time_from,time_to,outcome,who\n" + done)
    ran = invoke(capsys, "plan", folder, "--out", tmp_path / "today", "--issued", tmp_path / "issued" / "plan.json")
    assert ran.status == DONE, ran.err
    assert "Changed against the issued plan" in ran.out
    again = json.loads((tmp_path / "today" / "plan.json").read_text())
    assert again["issued"] == first["revision"]
    assert [(one["id"], one["done"]) for one in again["runs"]] == [(run["id"], True), (first["runs"][1]["id"], False)]


def test_faulty_records_count_with_an_issued_plan_only(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    folder = write_job(tmp_path / "job")
    invoke(capsys, "plan", folder, "--out", tmp_path / "issued")
    (folder / "records").mkdir()
    (folder / "records" / "runs_done.csv").write_text("run,from_m,to_m\nR01,x,9\n")
    ran = invoke(capsys, "plan", folder, "--out", tmp_path / "again")
    assert ran.status == DONE
    assert "records count with --issued PLAN.JSON only" in ran.err
    ran = invoke(capsys, "plan", folder, "--out", tmp_path / "today", "--issued", tmp_path / "issued" / "plan.json")
    assert ran.status == FAULTY_INPUT
    assert "records/runs_done.csv:2: from_m: " in ran.err
