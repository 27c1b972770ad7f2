"""Cold start of the command line against ``python -c pass``: help and version within 5 times, text commands within 12 times.

Each figure is the least CPU time of some runs of a fresh process with compiled bytecode, so that a busy machine hardly shows.
Run it with ``python benchmarks/start.py [RUNS]``; it ends with an error where a limit is passed.
"""

import importlib
import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

LIMITS = {"--help": 5.0, "--version": 5.0, "check --help": 12.0, "check, a faulty folder": 12.0, "read a small folder": 12.0}
"""Ratios to ``python -c pass``."""

FAULTY = {
    "job.toml": '[job]\nname = "X"\n',
    "main.csv": "from_m,to_m,dn,material\n0,10,150,wood\n",
}
SOUND = {
    "job.toml": '[job]\nname = "X"\n[lining]\ngoverning_document = "Own rule"\nnominal_mm = 6.0\nminimum_mm = 4.0\n',
    "main.csv": "from_m,to_m,dn,material\n0,10,150,grey_iron\n",
}


def cpu(command: list[str], runs: int) -> float:
    """Return the least CPU time of a command [s]."""
    environment = {name: value for name, value in os.environ.items() if name not in {"PYTHONDONTWRITEBYTECODE", "COVERAGE_PROCESS_START"}}
    best = float("inf")
    for _ in range(runs):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(command, env=environment, capture_output=True, check=False)  # noqa: S603
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        best = min(best, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return best


def write(folder: Path, files: dict[str, str]) -> Path:
    """Write a job folder."""
    folder.mkdir()
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def main(runs: int = 15) -> dict[str, float]:
    """Measure all, print them, and return the ratios."""
    python = sys.executable
    # As the installed command starts: without the module runner.
    program = [python, "-c", "from mainwright.__main__ import main; main()"]
    # Packages that were installed without bytecode would be compiled again in each process.
    for package in ("click", "mainwright"):
        place = importlib.import_module(package).__path__[0]
        subprocess.run([python, "-m", "compileall", "-q", place], capture_output=True, check=False)  # noqa: S603
    with tempfile.TemporaryDirectory() as place:
        faulty = write(Path(place) / "faulty", FAULTY)
        sound = write(Path(place) / "sound", SOUND)
        read = f"from pathlib import Path; from mainwright import bootstrap; assert bootstrap.read_job(Path({str(sound)!r})).job"
        commands = {
            "--help": [*program, "--help"],
            "--version": [*program, "--version"],
            "check --help": [*program, "check", "--help"],
            "check, a faulty folder": [*program, "check", str(faulty)],
            "read a small folder": [python, "-c", read],
        }
        said = subprocess.run(commands["check, a faulty folder"], capture_output=True, text=True, check=False)  # noqa: S603
        assert said.returncode == 2
        assert "main.csv:2: material" in said.stdout
        base = cpu([python, "-c", "pass"], runs)
        print(f"python -c pass           {1000 * base:6.1f} ms")
        ratios = {}
        for name, command in commands.items():
            took = cpu(command, runs)
            ratios[name] = took / base
            print(f"{name:24} {1000 * took:6.1f} ms  {ratios[name]:5.1f} x  (at most {LIMITS[name]:.0f} x)")
    return ratios


if __name__ == "__main__":
    found = main(*(int(one) for one in sys.argv[1:2]))
    late = [name for name, ratio in found.items() if ratio > LIMITS[name]]
    if late:
        sys.exit(f"too slow: {', '.join(late)}")
