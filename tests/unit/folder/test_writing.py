"""What is written of a job can be read, whatever was typed into it."""

from mainwright.folder.reading import read_files
from mainwright.folder.writing import folder_bytes
from mainwright.job.document import Document


def test_a_day_that_was_typed_wrong_stands_in_its_key_and_breaks_nothing_else() -> None:
    for typed in ("soon", '"\n[lining]\nnominal_mm = 1', "2026-02-30", "20260413"):
        files = folder_bytes(Document({"job": [{"name": "X", "first_day": typed}]}))
        read = read_files(files)
        assert read.document.rows("lining") == [], typed
        assert [one.column for one in read.faults if one.file == "job.toml" and one.column.startswith("job.")] == ["job.first_day"], typed
