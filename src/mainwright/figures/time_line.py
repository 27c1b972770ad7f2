"""The steps of giving a block back, one under the other: when each begins and ends, and which of them wait for a signature."""

from collections.abc import Sequence

from mainwright.figures.frame import LABEL, SMALL
from mainwright.figures.palette import PALETTES, Theme
from mainwright.figures.place import ticks
from mainwright.figures.svg import Drawing
from mainwright.plan.result_giving_back import Step
from mainwright.units import from_si, to_si
from mainwright.words.wording import Wording

__all__ = ["time_line"]

_ROW, _TOP, _LEFT, _RIGHT = 13.5, 20.0, 92.0, 60.0


def time_line(steps: Sequence[Step], *, width: float, theme: Theme = "light", language: str = "en") -> str:
    """Return the time line as SVG text; after a step whose duration is not known the bars stand at their least and are open.

    Parameters
    ----------
    steps : sequence of Step
        In order. [-]
    width : float
        Of the drawing. [point]
    theme : str
        ``light`` or ``dark``. [-]
    language : str
        Of the reader. [-]

    Returns
    -------
    str
        SVG.
    """
    look, reader = PALETTES[theme], Wording(language, space="\u00a0")
    height = _TOP + _ROW * len(steps) + 6.0
    drawing = Drawing(width=width, height=height, title=reader.text("Steps of giving back"))
    last = from_si(max(step.at_least for step in steps), "hours") or 1.0
    scale = (width - _LEFT - _RIGHT) / last
    for value in ticks(0.0, last, 7):
        at = _LEFT + value * scale
        drawing.line(at, _TOP - 5.0, at, height - 4.0, ink=look.hair, weight=0.4)
        drawing.text(at, 9.0, reader.number(value, 0), size=SMALL, ink=look.quiet, anchor="middle")
    drawing.text(width, 9.0, reader.text("hours"), size=SMALL, ink=look.quiet, anchor="end")
    done = 0.0
    for row, step in enumerate(steps):
        y = _TOP + _ROW * row + _ROW / 2.0
        drawing.text(0.0, y + 2.5, reader.code(step.code), size=LABEL, ink=look.ink, weight="semibold")
        begin, end = _LEFT + from_si(done, "hours") * scale, _LEFT + from_si(step.at_least, "hours") * scale
        done = step.at_least
        known = step.finish is not None
        note = reader.quantity(to_si(from_si(step.at_least, "hours"), "hours"), "hours", 0)
        if step.duration is None:
            drawing.text(end + 8.0, y + 2.5, reader.text("duration not given"), size=SMALL, ink=look.caution)
        elif step.duration > 0.0:
            drawing.rect(begin, y - 4.0, max(end - begin, 0.8), 8.0, fill=look.run if known else "none", ink=look.run)
        if step.gate is not None:
            # A gate is a diamond: work stops there until it is signed.
            drawing.path(
                [(end, y - 5.2), (end + 4.2, y), (end, y + 5.2), (end - 4.2, y)], fill=look.paper, ink=look.ink, weight=1.0, closed=True
            )
        if step.duration is not None:
            drawing.text(end + 7.0, y + 2.5, note if known else f"≥{reader.space}{note}", size=SMALL, ink=look.quiet)
    return drawing.svg()
