"""Whatever fails ends in one clear message and one exit status."""

import logging
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import NoReturn

import pytest

from mainwright.bootstrap import planning
from mainwright.cli.statuses import FAULTY_INPUT, INTERRUPTED, OUTSIDE_FAILED
from mainwright.errors import FaultyInput, InputError, MissingExtra, SolveError
from tests.unit.cli.helpers import SMALL_JOB, invoke, process, write_job


def _fails(monkeypatch: pytest.MonkeyPatch, error: BaseException) -> None:
    def fail(folder: Path) -> NoReturn:
        raise error

    monkeypatch.setattr(planning, "read_job", fail)


@pytest.mark.parametrize(
    "case",
    [
        (OSError(28, "No space left on device", "/job/plan.pdf"), OUTSIDE_FAILED, "/job/plan.pdf: No space left on device"),
        (PermissionError(13, "Permission denied", "/job"), OUTSIDE_FAILED, "/job: Permission denied"),
        (FaultyInput(["main.csv:3: dn: it is missing"]), FAULTY_INPUT, "main.csv:3: dn: it is missing"),
        (InputError("bore", -1.0, "m", "more than 0"), FAULTY_INPUT, "bore is -1.0 m"),
        (MissingExtra("cluster", "this"), OUTSIDE_FAILED, "cluster"),
        (SolveError("friction", 1.0, 99), OUTSIDE_FAILED, "did not converge"),
        (MemoryError(), OUTSIDE_FAILED, "memory"),
        (KeyboardInterrupt(), INTERRUPTED, "Interrupted"),
    ],
)
def test_an_expected_failure_is_one_message(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path, case: tuple[BaseException, int, str]
) -> None:
    error, status, said = case
    _fails(monkeypatch, error)
    ran = invoke(capsys, "check", tmp_path)
    assert ran.status == status
    assert said in ran.err
    assert "Traceback" not in ran.err + ran.out
    assert not ran.out


def test_an_unforeseen_failure_leaves_its_trace_in_a_file(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    _fails(monkeypatch, RuntimeError("the impossible"))
    ran = invoke(capsys, "check", tmp_path)
    assert ran.status == OUTSIDE_FAILED
    assert "Traceback" not in ran.err
    log = tmp_path / "state" / "mainwright" / "mainwright.log"
    assert str(log) in ran.err
    assert "Traceback" in log.read_text()
    assert "the impossible" in log.read_text()
    assert not logging.getLogger("mainwright").handlers


def test_debug_shows_the_trace(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    _fails(monkeypatch, RuntimeError("the impossible"))
    with pytest.raises(RuntimeError, match="the impossible"):
        invoke(capsys, "--debug", "check", tmp_path)


def test_without_a_place_for_the_log_it_says_how_to_see_the_trace(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("no folder")
    monkeypatch.setenv("XDG_STATE_HOME", str(blocked))
    _fails(monkeypatch, RuntimeError("the impossible"))
    assert "--debug" in invoke(capsys, "check", tmp_path).err


@pytest.mark.parametrize("arguments", [("no-such-command",), ("check",), ("check", "no/such/folder"), ("check", "--no-such-option", ".")])
def test_a_slip_in_the_command_is_told_with_the_way_to_help(capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...]) -> None:
    ran = invoke(capsys, *arguments)
    assert ran.status == FAULTY_INPUT
    assert "--help" in ran.err


def test_a_bare_call_shows_the_help(capsys: pytest.CaptureFixture[str]) -> None:
    ran = invoke(capsys)
    assert ran.status == FAULTY_INPUT
    assert ran.err.startswith("Usage: mainwright")
    assert "Error" not in ran.err


def test_a_slip_in_the_name_of_a_command_is_told_with_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert "Did you mean check?" in invoke(capsys, "chek").err
    assert "Did you mean" not in invoke(capsys, "xyzzy").err


def test_a_terminal_that_cannot_show_a_character(tmp_path: Path) -> None:
    folder = write_job(tmp_path / "job", job_toml=SMALL_JOB["job.toml"].replace("Mill Lane", "M\u00fchl \u2014 \u4e2d"))
    for more, wanted in (((), "M\u00fchl ? ? main"), (("--json",), "faults")):
        command = [sys.executable, "-m", "mainwright", "check", str(folder), *more]
        ran = subprocess.run(command, env={**os.environ, "PYTHONIOENCODING": "latin-1"}, capture_output=True, check=False)  # noqa: S603
        assert ran.returncode == 0, ran.stderr
        assert wanted in ran.stdout.decode("utf-8" if more else "latin-1")
        assert "Traceback" not in ran.stderr.decode("latin-1")


def test_a_closed_pipe_ends_quietly(tmp_path: Path) -> None:
    folder = write_job(tmp_path / "job", main_csv="from_m,to_m,dn,material\n" + "x,y,z,w\n" * 500)
    command = [sys.executable, "-m", "mainwright", "check", str(folder)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:  # noqa: S603
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.close()
        said = running.stderr.read().decode()
        assert running.wait(timeout=60) == OUTSIDE_FAILED
    assert "Traceback" not in said
    assert "BrokenPipe" not in said


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_ends_as_interrupted(tmp_path: Path, number: signal.Signals) -> None:
    waiting = tmp_path / "waiting.py"
    waiting.write_text(
        "import sys, time\n"
        "from mainwright.bootstrap import planning\n"
        "from mainwright.cli.roof import run\n"
        "def slow(folder):\n    print('reading', flush=True)\n    time.sleep(60)\n"
        "planning.read_job = slow\n"
        f"sys.exit(run(['check', {str(tmp_path)!r}]))\n"
    )
    with subprocess.Popen([sys.executable, str(waiting)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as running:  # noqa: S603
        assert running.stdout is not None
        assert running.stdout.readline() == "reading\n"
        time.sleep(0.05)
        running.send_signal(number)
        _, said = running.communicate(timeout=60)
    assert running.returncode == INTERRUPTED
    assert "Traceback" not in said


def test_the_program_runs_as_a_process(tmp_path: Path) -> None:
    ran = process("check", write_job(tmp_path / "job"))
    assert ran.returncode == 0, ran.stderr
    assert "Mill Lane main" in ran.stdout
