"""All papers of a plan, written together: either all of them are there afterwards, or none is new."""

import os
from collections.abc import Callable
from pathlib import Path

from mainwright.paper.bill_xlsx import render_bill
from mainwright.paper.openings_geojson import render_openings
from mainwright.paper.pen import pen_for
from mainwright.paper.plan_json import plan_json
from mainwright.paper.plan_pdf import render_plan_pdf, render_programme_pdf
from mainwright.paper.programme_ics import OFFICE, calendar_name, crew_names, render_calendar
from mainwright.paper.programme_json import programme_json
from mainwright.plan.result import Plan
from mainwright.words.wording import Wording

__all__ = ["NAMES", "write_papers", "write_programme"]

NAMES = ("plan.json", "plan.pdf", "bill.xlsx", "programme.ics", "openings.geojson")
"""The papers, in the order in which they are made."""


def write_papers(plan: Plan, out: Path, *, progress: Callable[[int, int], None] | None = None) -> tuple[Path, ...]:
    """Write the papers of a plan into a folder, which is made where it is missing.

    Parameters
    ----------
    plan : Plan
        The plan. [-]
    out : Path
        The folder. [-]
    progress : callable, optional
        Called with how many papers are made and of how many. [-]

    Returns
    -------
    tuple of Path
        What was written. A paper that this plan does not have (no line of the main: no map) is taken away, so that none is stale.

    Raises
    ------
    OSError
        If the folder cannot be written; then the papers are as they were before.
    """
    tell = progress or (lambda done, of: None)
    say = pen_for(plan).say
    word = Wording(say.language, say.units).word
    makers: tuple[Callable[[], bytes | None], ...] = (
        lambda: plan_json(plan, word=word),
        lambda: render_plan_pdf(plan),
        lambda: render_bill(plan),
        lambda: render_calendar(plan.job, plan.programme),
        lambda: render_openings(plan),
    )
    made: list[tuple[str, bytes | None]] = []
    tell(0, len(NAMES))
    for done, (name, make) in enumerate(zip(NAMES, makers, strict=True), start=1):
        made.append((name, make()))
        tell(done, len(NAMES))
    return _placed(made, out)


def write_programme(plan: Plan, out: Path, *, progress: Callable[[int, int], None] | None = None) -> tuple[Path, ...]:
    """Write the papers of a programme: its numbers, its sheets, and a calendar for everybody and for each crew.

    Parameters
    ----------
    plan : Plan
        The plan. [-]
    out : Path
        The folder. [-]
    progress : callable, optional
        Called with how many papers are made and of how many. [-]

    Returns
    -------
    tuple of Path
        What was written; nothing where there is no programme.

    Raises
    ------
    OSError
        If the folder cannot be written; then the papers are as they were before.
    """
    tell = progress or (lambda done, of: None)
    if plan.programme is None:
        return ()
    say = pen_for(plan).say
    made: list[tuple[str, bytes | None]] = [("programme.json", programme_json(plan, word=Wording(say.language, say.units).word))]
    crews = crew_names(plan.programme)
    tell(1, 3 + len(crews))
    made.append(("programme.pdf", render_programme_pdf(plan)))
    tell(2, 3 + len(crews))
    made.append(("programme.ics", render_calendar(plan.job, plan.programme)))
    if plan.programme.waits:
        made.append((OFFICE, render_calendar(plan.job, plan.programme, office=True)))
    for done, crew in enumerate(crews, start=3):
        made.append((calendar_name(crew, done - 2), render_calendar(plan.job, plan.programme, crew=crew)))
        tell(done + 1, 3 + len(crews))
    return _placed(made, out)


def _placed(made: list[tuple[str, bytes | None]], out: Path) -> tuple[Path, ...]:
    """Write beside the final names first, then rename: a full disk or a stop on the way leaves the old papers whole."""
    out.mkdir(parents=True, exist_ok=True)
    waiting: list[tuple[Path, Path]] = []
    try:
        for name, content in made:
            if content is not None:
                beside = out / f".{name}.new"
                waiting.append((beside, out / name))
                with beside.open("wb") as file:
                    file.write(content)
                    file.flush()
                    os.fsync(file.fileno())
        for beside, final in waiting:
            beside.replace(final)
    except BaseException:
        for beside, _ in waiting:
            beside.unlink(missing_ok=True)
        raise
    for name, content in made:
        if content is None:
            (out / name).unlink(missing_ok=True)
    return tuple(final for _, final in waiting)
