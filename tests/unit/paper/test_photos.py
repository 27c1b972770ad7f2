"""Photographs of the record: printed where they can be, and never the end of a paper."""

import shutil
from pathlib import Path

import pytest

from mainwright import bootstrap
from mainwright.demo.photograph import clamp_picture
from mainwright.paper.photos import photo_block, usable_photo
from tests.unit.prove.demo_plan import demo_plan


def test_a_picture_is_usable_and_a_broken_one_is_not() -> None:
    whole = clamp_picture()
    assert whole == clamp_picture()
    assert usable_photo(whole)
    assert not usable_photo(whole[: len(whole) // 2])
    assert not usable_photo(b"\xff\xd8\xff no picture at all")
    assert not usable_photo(b"GIF89a")
    assert not usable_photo(b"")


def test_only_files_that_are_there_make_a_block() -> None:
    found = photo_block({"a.png": "first", "b.png": "second"}, {"b.png": clamp_picture()})
    assert [item["caption"] for item in found[0]["items"]] == ["second"]  # type: ignore[attr-defined]
    assert photo_block({"a.png": "first"}, {}) == []


@pytest.mark.parametrize("content", [b"", b"\x89PNG\r\n\x1a\n broken", None])
def test_a_broken_photograph_does_not_cost_the_papers(content: bytes | None, tmp_path: Path) -> None:
    plan = demo_plan()
    bootstrap.make_recorded(tmp_path / "job", plan)
    picture = tmp_path / "job" / "records" / "obstruction-1.png"
    if content is None:
        (tmp_path / "job" / "records" / "photos").mkdir()
        shutil.move(picture, tmp_path / "job" / "records" / "photos" / picture.name)
    else:
        picture.write_bytes(content)
    for name in (tmp_path / "job" / "records").glob("run_*.csv"):
        if name.name != "run_R04.csv":
            name.unlink()
    made = bootstrap.prove(tmp_path / "job", out=tmp_path / "out")
    assert "evidence_R04.pdf" in made.papers
    size = (tmp_path / "out" / "evidence_R04.pdf").stat().st_size
    assert (b"/Subtype/Image" in (tmp_path / "out" / "evidence_R04.pdf").read_bytes()) == (content is None)
    assert size > 20_000
