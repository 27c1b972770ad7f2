"""``mainwright programme`` as somebody uses it."""

import json
from datetime import datetime, timedelta
from pathlib import Path

from click.testing import CliRunner

from mainwright.cli.plan import plan
from mainwright.cli.programme import programme
from mainwright.demo.job import write_demo
from mainwright.folder.reading import read_folder
from mainwright.folder.records import read_records
from mainwright.paper.end_pages import change_pages
from mainwright.paper.pen import pen_for
from mainwright.plan.plan import make_plan
from mainwright.plan.result import Plan
from mainwright.plan.timetable import KINDS, WAIT_KINDS


def test_it_writes_sheets_numbers_and_a_calendar_for_each_crew(tmp_path: Path) -> None:
    write_demo(tmp_path / "job")
    result = CliRunner().invoke(
        programme, [str(tmp_path / "job"), "--out", str(tmp_path / "out"), "--effort", "0.2", "--json"], standalone_mode=False
    )
    assert result.exception is None
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert {"programme.json", "programme.pdf", "programme.ics", "programme_lining-gang.ics"} <= names
    told = json.loads(result.stdout)
    assert told == json.loads((tmp_path / "out" / "programme.json").read_text(encoding="utf-8"))
    assert told["bound_shifts"] <= told["shifts"]
    assert told["activities"]
    assert told["activities"][0]["begin"].startswith("2026-04-13T07:00:00+02:00")


def test_a_faulty_folder_is_told_and_nothing_is_written(tmp_path: Path) -> None:
    write_demo(tmp_path / "job")
    (tmp_path / "job" / "crews.csv").write_text("crew,skill,count\nlining gang,lining,many\n", encoding="utf-8")
    result = CliRunner().invoke(programme, [str(tmp_path / "job"), "--out", str(tmp_path / "out")], standalone_mode=False)
    assert result.return_value == 2
    assert "crews.csv:2: count" in result.stderr
    assert not (tmp_path / "out").exists()


def test_after_a_lost_day_what_is_done_stays_the_rest_moves_and_it_says_why(tmp_path: Path) -> None:
    write_demo(tmp_path / "job")
    args = [str(tmp_path / "job"), "--effort", "0"]
    first = CliRunner().invoke(plan, [str(tmp_path / "job"), "--out", str(tmp_path / "issued")], standalone_mode=False)
    assert first.exception is None
    issued = json.loads((tmp_path / "issued" / "plan.json").read_text(encoding="utf-8"))
    before = {one["id"]: one for one in issued["programme"]["activities"]}
    linings = sorted((one for one in before.values() if one["kind"] == "lining"), key=lambda one: one["begin"])
    begin, end = (datetime.fromisoformat(linings[0][name]) + timedelta(days=1) for name in ("begin", "end"))
    while begin.weekday() > 4:
        begin, end = begin + timedelta(days=1), end + timedelta(days=1)
    run = next(one for one in issued["runs"] if one["id"] == linings[0]["run"])
    records = tmp_path / "job" / "records"
    records.mkdir()
    (records / "runs_done.csv").write_text(
        f"run,from_m,to_m,time_from,time_to,outcome\n{run['id']},{run['from_m']},{run['to_m']},{begin.isoformat()},{end.isoformat()},complete\n",
        encoding="utf-8",
    )
    plan_file = str(tmp_path / "issued" / "plan.json")
    result = CliRunner().invoke(programme, [*args, "--out", str(tmp_path / "new"), "--issued", plan_file, "--json"], standalone_mode=False)
    assert result.exception is None
    told = json.loads(result.stdout)
    after = {one["id"]: one for one in told["activities"]}
    # What is done keeps the time at which it was done, and what came before it the time at which it was issued.
    done = [one for one in after.values() if one["done"]]
    assert after[linings[0]["id"]]["begin"] == begin.isoformat()
    assert all(one["begin"] == before[one["id"]]["begin"] for one in done if one["id"] != linings[0]["id"])
    assert len(done) > 1
    # Nothing that is open lies in the past, the day was lost, and every activity of the old programme is done or still to come.
    today = end.date() + timedelta(days=1)
    # Only what is waited for may have begun before: mortar that cures.
    assert all(datetime.fromisoformat(one["begin"]).date() >= today for one in after.values() if one["kind"] in KINDS and not one["done"])
    assert {one["kind"] for one in after.values()} <= {*KINDS, *WAIT_KINDS}
    assert set(after) == set(before)
    texts = " ".join(one["text"] for one in told["changes"])
    assert "is lined on" in texts
    assert any(reason in texts for reason in ("waits for", "follows", "begins when"))
    # The paper says it too.
    made = make_plan_of(tmp_path / "job", Path(plan_file))
    pages = json.dumps(change_pages(made, pen_for(made)))
    assert "is lined on" in pages.replace("\\u00a0", " ")


def make_plan_of(folder: Path, issued: Path) -> Plan:
    job = read_folder(folder).job
    assert job is not None
    return make_plan(job, records=read_records(folder).records, issued=json.loads(issued.read_text(encoding="utf-8")))
