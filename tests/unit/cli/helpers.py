"""What the tests of the command line share."""

import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import IO

import pytest

from mainwright.cli.roof import run

__all__ = ["SMALL_JOB", "Ran", "invoke", "process", "write_job"]

SMALL_JOB: Mapping[str, str] = {
    "job.toml": """[job]
name = "Mill Lane main"
currency = "EUR"

[lining]
governing_document = "Works specification, 2024 (invented)"
nominal_mm = 6.0
minimum_mm = 4.0
maximum_mm = 9.0
""",
    "main.csv": "from_m,to_m,dn,material,bore_mm,bore_source,year,deposit_mm\n0,120,150,grey_iron,152,record,1931,4\n120,260,150,grey_iron,152,record,1931,4\n",
    "features.csv": "chainage_m,kind,opening\n120,gate_valve,\n",
    "plant.toml": """[[pump]]
name = "P1"
flow_l_min = 20.0

[[hose]]
name = "H1"
length_m = 180.0
dead_length_m = 10.0
bore_mm = 38.0

[[lining_head]]
name = "A"
dn_from = 80
dn_to = 400
kind = "winched"
speed_max_m_min = 12.0
bend_max_deg = 22.5

[[mixer]]
name = "M1"
batch_l = 200.0
cycle_minutes = 5.0
hopper_l = 250.0
""",
    "prices.csv": "item,unit,low,rate,high\nset_up_run,each,700,900,1200\nopening_footway,each,1500,1900,2500\n",
    "ground.csv": "from_m,to_m,surface,cover_m,dig,note\n0,260,footway,1.2,yes,\n",
}
"""A small job without faults."""


class Ran:
    """What a command gave back."""

    def __init__(self, status: int, out: str, err: str) -> None:
        self.status = status
        self.out = out
        self.err = err


def write_job(folder: Path, **changes: str) -> Path:
    """Write the small job; a change replaces a file, whose dot is written as an underscore."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in SMALL_JOB.items():
        (folder / name).write_text(changes.get(name.replace(".", "_"), text), encoding="utf-8")
    return folder


def invoke(capsys: pytest.CaptureFixture[str], *arguments: str | Path) -> Ran:
    """Run a command in this process."""
    capsys.readouterr()
    status = run([str(one) for one in arguments])
    said = capsys.readouterr()
    return Ran(status, said.out, said.err)


def process(*arguments: str | Path, out: int | IO[str] = subprocess.PIPE) -> subprocess.CompletedProcess[str]:
    """Run the program in a process of its own."""
    command = [sys.executable, "-m", "mainwright", *(str(one) for one in arguments)]
    return subprocess.run(command, stdout=out, stderr=subprocess.PIPE, text=True, check=False, timeout=120)  # noqa: S603
