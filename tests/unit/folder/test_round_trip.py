"""What is read is written as it was, and the job says the same."""

from pathlib import Path

import pytest

from mainwright.errors import InputError
from mainwright.folder.reading import read_files, read_folder
from mainwright.folder.writing import folder_bytes, write_folder
from mainwright.job.document import document_from_job, from_plain, job_from_document
from tests.unit.folder.sample import FILES


def test_the_sample_is_sound() -> None:
    read = read_files(FILES)
    assert [str(one) for one in (*read.faults, *read.warnings, *read.unknown)] == []
    assert read.job is not None
    assert read.job.lining.nominal == pytest.approx(0.006)
    assert read.job.features[1].angle == pytest.approx(0.392699, rel=1e-6)
    assert read.job.ground[1].dig is False


def test_a_canonical_folder_comes_back_byte_for_byte() -> None:
    assert folder_bytes(read_files(FILES).document) == FILES


def test_the_job_gives_its_document_back() -> None:
    read = read_files(FILES)
    assert read.job is not None
    again = document_from_job(read.job)
    assert again.revision() == read.job.revision == read.document.revision()
    assert job_from_document(again) == read.job


def test_what_is_kept_elsewhere_gives_the_same_folder() -> None:
    kept = from_plain(read_files(FILES).document.to_plain())
    assert folder_bytes(kept) == FILES


def test_writing_is_all_or_nothing(tmp_path: Path) -> None:
    document = read_files(FILES).document
    write_folder(document, tmp_path / "job")
    assert {path.name: path.read_bytes() for path in (tmp_path / "job").iterdir()} == FILES
    assert read_folder(tmp_path / "job").job == read_files(FILES).job
    with pytest.raises(InputError, match="does not exist yet"):
        write_folder(document, tmp_path / "job")
    assert [path.name for path in tmp_path.iterdir()] == ["job"]


def test_unknown_columns_and_keys_are_kept_and_told() -> None:
    files = dict(FILES)
    files["levels.csv"] = b"pipe_m,chainage_m,colour,grond_m\n1,0,red,5\n2,410,,6\n"
    files["water.toml"] += b'taste = "flat"\n\n[other]\nx = 1\n'
    read = read_files(files)
    assert read.job is not None
    assert [str(one) for one in read.unknown] == [
        "water.toml:6: water.taste: not known, kept and not used",
        "water.toml:8: other: not known, kept and not used",
        "levels.csv:1: colour: not known, kept and not used",
        "levels.csv:1: grond_m: not known, kept and not used; ground_m is meant, perhaps",
    ]
    written = folder_bytes(read.document)
    assert written["levels.csv"] == files["levels.csv"]
    assert folder_bytes(read_files(written).document) == written
    assert b'taste = "flat"' in written["water.toml"]
    assert b"other" in written["water.toml"]
