"""Cells that a spreadsheet would take for a formula are found, numbers are not."""

from pathlib import Path

from mainwright.demo.job import write_demo
from mainwright.folder.formulas import formula_cells


def test_formulas_are_found_and_numbers_are_not(tmp_path: Path) -> None:
    (tmp_path / "records").mkdir()
    (tmp_path / "features.csv").write_text("chainage_m,note\n-3.5,gate\n+4,=1+1\n5,-2+3\n", encoding="utf-8")
    (tmp_path / "records" / "events.csv").write_text("run,note\nR01,@SUM(A1)\n", encoding="utf-8")
    assert formula_cells(tmp_path) == ("features.csv, line 3, note", "features.csv, line 4, note", "records/events.csv, line 2, note")


def test_the_demo_has_none(tmp_path: Path) -> None:
    write_demo(tmp_path / "job")
    assert formula_cells(tmp_path / "job") == ()
