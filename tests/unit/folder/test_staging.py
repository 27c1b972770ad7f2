"""Nothing half-written is left, whatever ends the work."""

from pathlib import Path

import pytest

from mainwright.folder.staging import staged


def test_files_arrive_together_and_foreign_ones_stay(tmp_path: Path) -> None:
    out = tmp_path / "deep" / "out"
    out.mkdir(parents=True)
    (out / "letter.txt").write_text("mine")
    (out / "plan.json").write_text("old")
    with staged(out) as place:
        (place / "plan.json").write_text("new")
        (place / "sub").mkdir()
        (place / "sub" / "a").write_text("x")
        assert (out / "plan.json").read_text() == "old"
    assert (out / "plan.json").read_text() == "new"
    assert (out / "letter.txt").read_text() == "mine"
    assert sorted(path.name for path in out.rglob("*")) == ["a", "letter.txt", "plan.json", "sub"]


@pytest.mark.parametrize("error", [KeyboardInterrupt(), OSError(28, "No space left on device")])
def test_an_error_leaves_everything_as_it_was(tmp_path: Path, error: BaseException) -> None:
    out = tmp_path / "new" / "out"
    with pytest.raises(type(error)), staged(out) as place:  # noqa: PT012
        (place / "plan.json").write_text("half")
        raise error
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_is_told_with_the_place_of_the_result(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="No space left") as caught, staged(tmp_path / "out"):
        raise OSError(28, "No space left on device")
    assert caught.value.filename == str(tmp_path / "out")
    with pytest.raises(PermissionError, match="Permission denied") as closed, staged(tmp_path / "out") as place:
        raise PermissionError(13, "Permission denied", str(place / "plan.pdf"))
    assert closed.value.filename == str(tmp_path / "out")


def test_an_error_keeps_the_folder_that_was_there(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("mine")
    with pytest.raises(RuntimeError, match="no"), staged(tmp_path):  # noqa: PT012
        message = "no"
        raise RuntimeError(message)
    assert [path.name for path in tmp_path.iterdir()] == ["letter.txt"]


def test_a_folder_in_the_place_of_a_file_stops_before_anything_is_moved(tmp_path: Path) -> None:
    (tmp_path / "plan.pdf").mkdir()
    with pytest.raises(IsADirectoryError, match="a folder stands"), staged(tmp_path) as place:  # noqa: PT012
        (place / "a.json").write_text("x")
        (place / "plan.pdf").write_text("x")
    assert [path.name for path in tmp_path.iterdir()] == ["plan.pdf"]
