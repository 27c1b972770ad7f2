"""No command pays for a library that it does not use."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.unit.cli.helpers import write_job

HEAVY = {
    "numpy", "scipy", "numba", "pyogrio", "pyproj", "typst", "xlsxwriter", "babel", "pandas", "matplotlib", "sqlalchemy", "fastapi",
    "ortools", "networkx", "asyncio", "importlib.metadata",
}  # fmt: skip


def _modules(*arguments: str) -> set[str]:
    program = (
        "import sys\n"
        "from mainwright.cli.roof import run\n"
        f"status = run({list(arguments)!r})\n"
        "print('\\n'.join(sys.modules), file=sys.stderr)\n"
        "sys.exit(status)\n"
    )
    ran = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True, timeout=60)  # noqa: S603
    return set(ran.stderr.split())


@pytest.mark.parametrize(("option", "said"), [("--help", "Commands:"), ("-h", "Commands:"), ("--version", "mainwright, version")])
def test_help_and_version_do_without_click(option: str, said: str) -> None:
    program = (
        f"import sys; sys.argv = ['mainwright', {option!r}]\n"
        "from mainwright.__main__ import main\n"
        "try:\n    main()\nfinally:\n    print('click' in sys.modules, 'mainwright.cli.root' in sys.modules, file=sys.stderr)\n"
    )
    ran = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True, timeout=60)  # noqa: S603
    assert said in ran.stdout
    assert ran.stderr.split() == ["False", "False"]


def test_the_overview_that_nobody_reads_ends_quietly() -> None:
    command = [sys.executable, "-m", "mainwright", "--help"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:  # noqa: S603
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.close()
        assert running.stderr.read() == b""
        assert running.wait(timeout=60) == 3


@pytest.mark.parametrize("arguments", [("--debug", "--help"), ("--debug", "--version")])
def test_help_and_version_import_nothing_heavy(arguments: tuple[str, ...]) -> None:
    loaded = _modules(*arguments)
    assert not loaded & HEAVY
    ours = {name for name in loaded if name.startswith("mainwright.")}
    assert ours <= {
        "mainwright.cli",
        "mainwright.cli.overview",
        "mainwright.cli.root",
        "mainwright.cli.roof",
        "mainwright.cli.statuses",
        "mainwright.errors",
    }


def test_the_help_of_a_command_imports_nothing_heavy() -> None:
    assert not _modules("check", "--help") & HEAVY


def test_reading_a_folder_imports_nothing_heavy(tmp_path: Path) -> None:
    folder = write_job(tmp_path / "job")
    program = f"import sys; from pathlib import Path; from mainwright import bootstrap; bootstrap.read_job(Path({str(folder)!r})); print(*sys.modules)"
    ran = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True, timeout=60)  # noqa: S603
    assert not set(ran.stdout.split()) & HEAVY
