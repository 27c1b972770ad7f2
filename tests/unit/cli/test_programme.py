"""``mainwright programme`` as somebody uses it."""

import json
from pathlib import Path

from click.testing import CliRunner

from mainwright.cli.programme import programme
from mainwright.demo.job import write_demo


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
