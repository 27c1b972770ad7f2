"""Published scheduling instances with their known optima."""

import csv
import os
from pathlib import Path

import pytest

from mainwright.plan.programme.check import violations
from mainwright.plan.programme.solve import Effort, solve_programme
from tests.unit.plan.programme.problems import read_rcp


@pytest.fixture(scope="module")
def instances() -> Path:
    # The instances lie beside the open data, among the published references.
    folder = Path(os.environ.get("MAINWRIGHT_OPEN_DATA", "")).parent / "references" / "data" / "psplib"
    if not os.environ.get("MAINWRIGHT_OPEN_DATA") or not folder.is_dir():
        pytest.skip("the scheduling instances are not here (MAINWRIGHT_OPEN_DATA)")
    return folder


@pytest.mark.open_data
@pytest.mark.outside(
    "Kolisch and Sprecher 1996, PSPLIB, European Journal of Operational Research 96: instances of sets j30 and j60, optimal makespans"
)
def test_known_optima(instances: Path, *, full_size: bool) -> None:
    with (instances / "optima.csv").open(encoding="utf-8") as rows:
        known = {row["instance"]: int(row["makespan"]) for row in csv.DictReader(rows) if row["status"] == "OPTIMAL"}
    files = sorted(instances.glob("*.rcp"))
    if not full_size:
        files = files[::8]
    proven = 0
    for file in files:
        problem = read_rcp(file.read_text(encoding="utf-8"))
        made = solve_programme(problem, effort=Effort(lists=1000, exact=60.0))
        assert made is not None
        assert violations(problem, made.starts) == ()
        assert made.makespan >= known[file.stem]
        proven += made.proven and made.makespan == known[file.stem]
    assert proven >= 0.9 * len(files)
