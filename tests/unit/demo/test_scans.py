"""The invented job's scans: small, the same each time, and what was planted in them is found."""

from pathlib import Path

import pytest

from mainwright.bootstrap.scans import scanned_runs
from mainwright.demo.scans import PLANTED, bare_rows, demo_scans
from mainwright.figures.unrolled import unrolled
from mainwright.units import to_si
from mainwright.workflow.scan_proof import ScannedRun
from tests.unit.figures.boxes import overlapping
from tests.unit.prove.demo_plan import demo_plan, read
from tests.unit.workflow.test_scan_reference import said

RUN = demo_plan().runs[5]
STRETCHES = demo_plan().stretches
BORE = next(one.bore_clean for one in STRETCHES if one.start <= RUN.start < one.end)


@pytest.fixture(scope="module")
def scans() -> dict[str, bytes]:
    return demo_scans(demo_plan().job, RUN, bore=BORE)


def _proved(scans: dict[str, bytes], folder: Path, thickness: str, *, bare: bool = True) -> ScannedRun:
    (folder / "records").mkdir()
    for name, data in scans.items():
        (folder / "records" / name).write_bytes(data)
    files = {"thickness.csv": "run,coat,chainage_m,clock,thickness_mm,state,zone,over,method,time,who\n" + thickness}
    if bare:
        files["bare_places.csv"] = "\n".join(["run,from_m,to_m,kind,time,note,who", *bare_rows(RUN), ""])
    records = read(files)
    found = scanned_runs(folder, runs=demo_plan().runs, stretches=STRETCHES, records=records)
    assert list(found) == [RUN.id]
    return found[RUN.id]


def test_small_and_the_same_each_time(scans: dict[str, bytes]) -> None:
    assert sum(len(data) for data in scans.values()) < 3_000_000
    assert demo_scans(demo_plan().job, RUN, bore=BORE) == scans


@pytest.mark.outside("the area that the simulation planted")
def test_what_was_planted_is_found_and_drawn(scans: dict[str, bytes], tmp_path: Path) -> None:
    found = _proved(scans, tmp_path, "")
    share, hour, half_length, _, missing = PLANTED
    assert found.proof.verdict == "does_not_meet"
    (area,) = [one for one in found.proof.thin if one.area > to_si(50.0, "cm2")]
    middle = RUN.start + share * RUN.length
    assert 0.5 * (area.start + area.end) == pytest.approx(middle, abs=0.05)
    assert area.end - area.start == pytest.approx(2 * half_length, abs=0.1)
    assert area.clock_start < hour < area.clock_end
    # Part of a thin area is its own first harmonic, which moves the centre of the lined bore and so is not seen.
    assert area.minimum == pytest.approx((1.0 - missing) * RUN.aim, abs=0.0008)
    assert found.proof.mean == pytest.approx(RUN.aim, abs=0.0002)

    asked = next(one for one in STRETCHES if one.start <= RUN.start < one.end)
    for width in (520.0, 340.0):
        drawn = unrolled(
            found.wall.rows, found.proof.thin, start=RUN.start, end=RUN.end, minimum=asked.minimum, nominal=asked.nominal,
            maximum=asked.maximum, name=RUN.id, width=width,
        )  # fmt: skip
        assert overlapping(drawn) == []
        assert "under the minimum" in drawn
        assert f"wall-under-{RUN.id}" in drawn
        assert len(drawn) < 400_000


def test_gauges_tell_what_scans_cannot_see(scans: dict[str, bytes], tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    before = _proved(scans, tmp_path / "a", "", bare=False).proof
    aim = RUN.aim * 1000
    rows = [
        f"{RUN.id},1,{RUN.start + at:.3f},{hour},{aim:.2f},hard,end,metal,gauge,,crew"
        for at in (0.325, RUN.length - 0.325)
        for hour in (0.1, 3.1, 6.1, 9.1)
    ]
    after = _proved(scans, tmp_path / "b", "\n".join(rows) + "\n", bare=False).proof
    assert before.unseen is not None
    assert after.unseen is not None
    assert before.unseen > 0.002
    assert after.unseen < 0.0005
    assert "gauge readings" in said(after.unseen_because)


def test_the_bare_ends_tell_it_too(scans: dict[str, bytes], tmp_path: Path) -> None:
    found = _proved(scans, tmp_path, "").proof
    assert "bare places" in said(found.unseen_because)
    assert found.unseen is not None
    assert found.unseen < 0.0005
    # Nobody lined the open pipe beyond the ends: all that is thin is what was planted.
    (area,) = found.thin
    assert abs(0.5 * (area.start + area.end) - RUN.start - PLANTED[0] * RUN.length) < 0.05
    assert found.unread == ()


def test_without_scans_nothing(tmp_path: Path) -> None:
    assert scanned_runs(tmp_path, runs=demo_plan().runs, stretches=STRETCHES, records=read({})) == {}
