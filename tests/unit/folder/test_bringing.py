"""Files brought into a job: a whole folder, a ZIP of it, a faulty table, things that are none."""

from __future__ import annotations

import io
import zipfile
from typing import TYPE_CHECKING

from mainwright.folder.bringing import bring_files
from mainwright.folder.reading import read_files
from mainwright.job.document import Document
from mainwright.workflow.editing import check_cells
from tests.unit.folder.sample import FILES

if TYPE_CHECKING:
    from pathlib import Path

    import pytest

WHOLE = {name: content if isinstance(content, bytes) else content.encode() for name, content in FILES.items()}


def _zipped(files: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, content in files.items():
            archive.writestr(f"job/{name}", content)
    return out.getvalue()


def test_a_whole_folder_and_a_zip_of_it_give_the_job() -> None:
    wanted = read_files(WHOLE).document.revision()
    assert bring_files(Document({}), WHOLE)[0].revision() == wanted
    assert bring_files(Document({}), {"job.zip": _zipped(WHOLE)})[0].revision() == wanted


def test_a_faulty_table_comes_as_it_stands() -> None:
    files = {"main.csv": b"from_m,to_m,dn,material\n0,10,hundred,steel\n"}
    document, taken, _ = bring_files(Document({}), files)
    assert taken == ("main.csv",)
    assert document.rows("main")[0]["dn"] == "hundred"
    assert ("main", 0, "dn") in [(one.table, one.row, one.column) for one in check_cells(document)]


def test_what_is_no_file_of_a_job_is_told() -> None:
    for name, content in {
        "photo.jpg": b"\xff\xd8",
        "a.zip": b"PK\x03\x04nonsense",
        "line.geojson": b"[]",
        "job.toml": b"= no toml",
    }.items():
        document, taken, told = bring_files(Document({}), {name: content})
        assert taken == (), name
        assert told, name
        assert document.tables == {}


def test_a_zip_that_swells_is_refused() -> None:
    document, taken, told = bring_files(Document({}), {"big.zip": _zipped({f"{number}.csv": b"x" for number in range(301)})})
    assert (dict(document.tables), taken) == ({}, ())
    assert "holds too much" in told[0].text


def test_a_zip_that_swells_in_one_file_is_refused() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive, archive.open("job/main.csv", "w", force_zip64=True) as file:
        for _ in range(70):
            file.write(bytes(1_000_000))
    bomb = out.getvalue()
    assert len(bomb) < 200_000
    # The sizes that it tells of itself are made small too: what counts is what comes out.
    lying = bomb.replace((70_000_000).to_bytes(8, "little"), (10).to_bytes(8, "little")).replace(
        (70_000_000).to_bytes(4, "little"), (10).to_bytes(4, "little")
    )
    for content in (bomb, lying):
        document, taken, told = bring_files(Document({}), {"big.zip": content})
        assert (dict(document.tables), taken) == ({}, ())
        assert told


def test_no_name_in_a_zip_leads_anywhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name in ("../../main.csv", "/etc/passwd", "C:\\windows\\x.csv", "a/../../../b.csv", "y\x00.csv"):
            archive.writestr(name, b"from_m,to_m,dn,material\n0,10,100,steel\n")
    _, taken, _ = bring_files(Document({}), {"a.zip": out.getvalue()})
    assert taken == ("main.csv",)
    assert list(tmp_path.iterdir()) == []
