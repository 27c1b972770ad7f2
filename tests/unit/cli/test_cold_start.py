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


@pytest.mark.parametrize("arguments", [("--help",), ("--version",)])
def test_help_and_version_import_nothing_heavy(arguments: tuple[str, ...]) -> None:
    loaded = _modules(*arguments)
    assert not loaded & HEAVY
    ours = {name for name in loaded if name.startswith("mainwright.")}
    assert ours <= {"mainwright.cli", "mainwright.cli.root", "mainwright.cli.roof", "mainwright.cli.statuses", "mainwright.errors"}


def test_the_help_of_a_command_imports_nothing_heavy() -> None:
    assert not _modules("check", "--help") & HEAVY


def test_reading_a_folder_imports_nothing_heavy(tmp_path: Path) -> None:
    folder = write_job(tmp_path / "job")
    program = f"import sys; from pathlib import Path; from mainwright import bootstrap; bootstrap.read_job(Path({str(folder)!r})); print(*sys.modules)"
    ran = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True, timeout=60)  # noqa: S603
    assert not set(ran.stdout.split()) & HEAVY
