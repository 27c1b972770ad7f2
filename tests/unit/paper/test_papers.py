"""All papers together, or none."""

from dataclasses import replace
from pathlib import Path

import pytest

from mainwright.paper.papers import NAMES, write_papers
from tests.unit.paper.sample import sample_plan, stopped_plan


def test_all_papers_are_written(tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    written = write_papers(sample_plan(), tmp_path / "new" / "papers", progress=lambda done, of: told.append((done, of)))
    assert [path.name for path in written] == [name for name in NAMES if name != "programme.ics"]
    assert sorted(path.name for path in (tmp_path / "new" / "papers").iterdir()) == sorted(path.name for path in written)
    assert told[0] == (0, len(NAMES))
    assert told[-1] == (len(NAMES), len(NAMES))


def test_same_plan_same_bytes(tmp_path: Path) -> None:
    first = {path.name: path.read_bytes() for path in write_papers(sample_plan(), tmp_path / "a")}
    assert first == {path.name: path.read_bytes() for path in write_papers(sample_plan(), tmp_path / "b")}


def test_a_stale_map_is_taken_away(tmp_path: Path) -> None:
    plan = stopped_plan()
    write_papers(plan, tmp_path)
    assert (tmp_path / "openings.geojson").exists()
    write_papers(replace(plan, job=replace(plan.job, alignment=None)), tmp_path)
    assert not (tmp_path / "openings.geojson").exists()


def test_a_failure_leaves_the_old_papers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_papers(stopped_plan(), tmp_path)
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}

    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("mainwright.paper.papers.os.fsync", full)
    with pytest.raises(OSError, match="No space left"):
        write_papers(sample_plan(), tmp_path)
    assert before == {path.name: path.read_bytes() for path in tmp_path.iterdir()}


def test_a_folder_that_is_a_file_is_told(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("x", encoding="utf-8")
    with pytest.raises(OSError, match="out"):
        write_papers(stopped_plan(), tmp_path / "out")
