"""One run of the demo job, redone here from the job's numbers alone, and the page that shows these sums."""

import math
from pathlib import Path
from statistics import NormalDist

import pytest

from mainwright.demo.job import write_demo
from mainwright.folder.reading import read_folder
from mainwright.plan.host import resolve_host
from mainwright.plan.layout.choose import choose_layout
from mainwright.plan.layout.solution import LayoutRun
from mainwright.plan.run_sheet import job_mix

PAGE = Path(__file__).parents[3] / "docs" / "how-to" / "check-by-hand.md"
BORE, LENGTH, MINIMUM, PIT, ECCENTRICITY = 198.4, 164.0, 4.0, 0.3, 0.3  # mm, m, mm, mm, mm


@pytest.fixture(scope="module")
def chosen(tmp_path_factory: pytest.TempPathFactory) -> tuple[LayoutRun, float]:
    folder = tmp_path_factory.mktemp("demo") / "marrowby"
    write_demo(folder)
    job = read_folder(folder).job
    assert job is not None
    layout = choose_layout(job, resolve_host(job), prices_of_limits=False)
    run = next(run for run in layout.runs if (run.start, run.end) == (846.0, 1010.0))
    return run, job_mix(job).cement


def confidence(aim: float) -> float:
    """Return the chance that no metre falls under the minimum, by a plain sum over the pump's bias."""
    sensitivity = (aim * (BORE - aim) + BORE * PIT) / (BORE - 2.0 * aim)
    deviation = math.hypot(sensitivity * math.hypot(0.03, 0.03), (aim + PIT) / (BORE - 2.0 * aim) * 1.0)
    normal = NormalDist()
    steps, total = 2000, 0.0
    for step in range(steps):
        bias = -6.0 + 12.0 * (step + 0.5) / steps
        margin = aim + sensitivity * bias * 0.02 - ECCENTRICITY - MINIMUM
        total += normal.pdf(bias) * 12.0 / steps * normal.cdf(margin / deviation) ** math.ceil(LENGTH)
    return total


def test_the_aim_keeps_the_confidence_and_no_more(chosen: tuple[LayoutRun, float]) -> None:
    run, _ = chosen
    assert confidence(run.lining.aim * 1000.0) == pytest.approx(0.95, abs=5e-4)


def test_the_sums_of_the_page(chosen: tuple[LayoutRun, float]) -> None:
    run, cement = chosen
    aim = run.lining.aim * 1000.0
    ring, pits = math.pi * aim * (BORE - aim) / 1000.0, math.pi * BORE * PIT / 1000.0
    speed = 0.97 * 30.0 / (ring + pits)
    wall = (ring + pits) * LENGTH / 0.97
    hose = math.pi * 0.038**2 / 4.0 * 180.0 * 1000.0
    mixed = wall * 1.03 + hose
    assert run.lining.mortar_per_length * 1000.0 == pytest.approx(ring, rel=1e-6)
    assert run.lining.speed * 60.0 == pytest.approx(speed, rel=1e-6)
    assert run.lining.lining_time / 60.0 == pytest.approx(LENGTH / speed, rel=1e-6)
    assert run.lining.mortar * 1000.0 == pytest.approx(mixed, rel=1e-6)
    assert cement == pytest.approx(980.0 / (1.0 / 3.15 + 1.0 / 2.65 + 0.40), rel=1e-6)
    page = PAGE.read_text(encoding="utf-8")
    for shown in (
        f"{aim:.2f} mm", f"{ring:.3f} l/m", f"{pits:.3f} l/m", f"{speed:.2f} m/min", f"{LENGTH / speed:.1f} min",
        f"{wall:.1f} l", f"{hose:.1f} l", f"{mixed:.1f} l", f"the last of {mixed % 240.0:.0f} l", f"{cement * mixed / 1000.0:.0f} kg cement",
        f"{math.ceil(cement * mixed / 25000.0)} bags",
    ):  # fmt: skip
        assert shown in page, shown
