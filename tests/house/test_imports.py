"""A fresh process pays only for what it uses."""

import subprocess
import sys

import pytest

HEAVY = (
    "numpy", "scipy", "numba", "pandas", "matplotlib", "sqlalchemy", "alembic", "fastapi", "starlette", "pydantic", "uvicorn", "typst",
    "xlsxwriter", "openpyxl", "pyogrio", "pyproj", "pyarrow", "ortools", "networkx", "babel", "icalendar",
)  # fmt: skip


@pytest.mark.parametrize("statement", ["import mainwright", "import mainwright.cli.root", "import mainwright.bootstrap"])
def test_nothing_heavy_is_loaded(statement: str) -> None:
    code = f"import sys; {statement}; print([name for name in {HEAVY!r} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)  # noqa: S603
    assert done.stdout.strip() == "[]"
