"""The README's pictures show the present plan of the demo job."""

from pathlib import Path
from xml.etree import ElementTree

from mainwright.demo.job import write_demo
from mainwright.folder.reading import read_folder
from mainwright.plan.host import resolve_host
from mainwright.plan.layout.choose import choose_layout

ROOT = Path(__file__).parents[3]
PICTURES = ROOT / "docs" / "pictures"
START, END = 620.0, 1040.0  # m, as in docs/pictures/make.py


def test_the_ribbon_shows_the_openings_and_runs_of_the_plan(tmp_path: Path) -> None:
    write_demo(tmp_path / "job")
    job = read_folder(tmp_path / "job").job
    assert job is not None
    layout = choose_layout(job, resolve_host(job), prices_of_limits=False)
    drawing = ElementTree.parse(PICTURES / "ribbon.svg")  # noqa: S314 - our own file
    shown = " ".join(text for element in drawing.iter() for text in (element.text or "",)).replace("\u00a0", " ")
    for number, opening in enumerate(layout.openings, start=1):
        if START < opening.chainage < END:
            assert f"{number} · {opening.chainage:.1f}" in shown, "draw it again: python docs/pictures/make.py"
    for run in layout.runs:
        if run.start > START and run.end < END:
            assert f"{run.length:.1f} m" in shown, "draw it again: python docs/pictures/make.py"


def test_the_run_sheet_is_a_picture() -> None:
    assert (PICTURES / "run-sheet.png").read_bytes().startswith(b"\x89PNG\r\n")
