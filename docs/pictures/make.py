"""Draws the pictures of the README from the demo job: ``.venv/bin/python docs/pictures/make.py``.

The page of the run sheet needs ``pdftoppm`` and ``pdftotext`` (Debian: poppler-utils).
"""

import subprocess
import sys
import tempfile
from pathlib import Path

from mainwright.demo.job import write_demo
from mainwright.figures.ribbon import ribbon, ribbon_data
from mainwright.folder.reading import read_folder
from mainwright.paper.plan_pdf import render_plan_pdf
from mainwright.plan.plan import make_plan

HERE = Path(__file__).parent
START, END, WIDTH = 620.0, 1040.0, 1000.0
"""The length of the demo main that the ribbon shows [m], and the width of the picture [point]."""
RUN = "R08"


def main() -> int:
    """Write ``ribbon.svg`` and ``run-sheet.png``."""
    with tempfile.TemporaryDirectory() as place:
        write_demo(Path(place) / "job")
        job = read_folder(Path(place) / "job").job
        if job is None:
            sys.exit("the demo job has faults")
        plan = make_plan(job)
        (HERE / "ribbon.svg").write_text(ribbon(ribbon_data(plan), start=START, end=END, width=WIDTH), encoding="utf-8")
        paper = Path(place) / "plan.pdf"
        paper.write_bytes(render_plan_pdf(plan))
        text = subprocess.run(["pdftotext", "-layout", str(paper), "-"], capture_output=True, text=True, check=True).stdout  # noqa: S603, S607
        page = next(str(number) for number, one in enumerate(text.split("\f"), start=1) if RUN in one and "Speed card" in one)
        picture = ["pdftoppm", "-png", "-r", "110", "-f", page, "-l", page, "-singlefile", str(paper), str(HERE / "run-sheet")]
        subprocess.run(picture, check=True, capture_output=True)  # noqa: S603
    return 0


if __name__ == "__main__":
    sys.exit(main())
