"""The command ``line``."""

import csv
from pathlib import Path

import pytest

from mainwright.bootstrap import open_store
from mainwright.cli.line_words import WORDS, command_of
from mainwright.errors import InputError
from mainwright.units import to_si
from mainwright.workflow.deeds import Wanted
from mainwright.workflow.live_commands import Clear, End, Lose, Mark, Note, Pour, SetFlow, Start, Stop
from tests.unit.cli.helpers import invoke, write_job


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("MAINWRIGHT_STORE", str(tmp_path / "store.sqlite"))
    return write_job(tmp_path / "job")


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_a_simulated_run_is_followed_to_its_end_and_written_back(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = (job / "job.toml").read_text(encoding="utf-8")
    (job / "job.toml").write_text(text.replace("[job]\n", '[job]\nreference = "MS-01"\n', 1), encoding="utf-8")
    (job / "records").mkdir()
    (job / "records" / "events.csv").write_text("run,time,kind,note\nR0,2026-04-01T08:00:00+02:00,remark,mine\n", encoding="utf-8")
    ran = invoke(capsys, "line", job, "R01", "--feed", "rig", "--speed", "5000", "--who", "Ada")
    assert ran.status == 0, ran.err
    assert "Following R01" in ran.err
    assert "ALARM thin: too thin" in ran.err
    assert "the run is ended" in ran.err
    readings = rows(job / "records" / "run_R01.csv")
    assert float(readings[-1]["odometer_m"]) == pytest.approx(120.0)
    events = rows(job / "records" / "events.csv")
    assert events[0]["note"] == "mine"
    assert {"start", "stop", "restart", "alarm", "end"} <= {one["kind"] for one in events}
    assert [one["outcome"] for one in rows(job / "records" / "runs_done.csv")] == ["complete"]
    with open_store() as store, store.looking() as shelf:
        assert [(one.number, one.author) for one in shelf.jobs()] == [(1, "Ada")]
        revision = shelf.jobs()[0].revision
    with open_store() as store:
        noted = [one.deed for one in store.deeds.find(Wanted())]
    assert [(one.what, one.who, one.role, one.job, one.after, one.detail) for one in noted] == [
        ("run begun", "Ada", "terminal", "MS-01", revision, "terminal, R01: begun")
    ]
    again = invoke(capsys, "line", job, "R01", "--feed", "rig")
    assert again.status == 2
    assert "this one is, and its record stands" in again.err


def test_a_replay_is_followed_and_what_is_missing_is_told(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = ["time,odometer_m,flow_l_min", *(f"2026-04-13T08:{k // 60:02d}:{k % 60:02d}+02:00,{0.05 * k},20" for k in range(600))]
    (job / "old.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    ran = invoke(capsys, "line", job, "R01", "--feed", f"replay:{job / 'old.csv'}@max")
    assert ran.status == 0, ran.err
    assert "the run is running" in ran.err
    assert len(rows(job / "records" / "run_R01.csv")) == 600
    unknown = invoke(capsys, "line", job, "R99", "--feed", "rig")
    assert unknown.status == 2
    assert "run is R99; allowed: one of R01" in unknown.err
    feed = invoke(capsys, "line", job, "R02", "--feed", "nowhere.toml")
    assert feed.status == 2
    assert "replay:FILE[@SPEED], csv:FILE, or the file of a mapping" in feed.err


def test_faults_of_the_folder_are_told(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (job / "main.csv").write_text("from_m,to_m\n0,x\n", encoding="utf-8")
    ran = invoke(capsys, "line", job, "R01", "--feed", "rig")
    assert ran.status == 2
    assert "main.csv:2: to_m" in ran.err


def test_typed_words() -> None:
    assert command_of("start") == Start()
    assert command_of("stop snag at a joint") == Stop(why="snag at a joint")
    assert command_of("mark 123,4") == Mark(123.4)
    assert command_of("batch 240") == Pour(volume=to_si(240.0, "l"))
    assert command_of("purge 15") == Lose("purge", to_si(15.0, "l"))
    assert command_of("clear 118.2 air") == Clear(118.2, "air")
    assert command_of("water dry here") == Note("dry here", kind="water_in_invert")
    assert command_of("flow 30") == SetFlow(to_si(30.0, "l_min"))
    assert command_of("end aborted rain") == End("aborted", why="rain")
    assert command_of("end") == End("complete")
    for line in ("", "dance", "mark", "mark here", "clear 118"):
        with pytest.raises(InputError, match="allowed"):
            command_of(line)
    assert "mark CHAINAGE [L/MIN]" in WORDS
