"""The bore in cross-section: host pipe, what is cleaned out, what is laid in."""

import math

from mainwright.figures.frame import SMALL
from mainwright.figures.palette import PALETTES, Theme
from mainwright.figures.svg import Drawing
from mainwright.job.survey import Stretch
from mainwright.plan.result import LinedStretch
from mainwright.words.message import Quantity, message
from mainwright.words.wording import UnitSystem, Wording

__all__ = ["bore_section"]

_WALL_SHARE = 0.055


def bore_section(
    stretch: Stretch, lined: LinedStretch, *, width: float, theme: Theme = "light", language: str = "en", units: UnitSystem = "metric"
) -> str:
    """Return the section of one stretch, today on the left half, lined on the right, as SVG text.

    Parameters
    ----------
    stretch : Stretch
        The host pipe. [-]
    lined : LinedStretch
        Its lining. [-]
    width : float
        Of the drawing. [point]
    theme : str
        ``light`` or ``dark``. [-]
    language, units : str
        Of the reader. [-]

    Returns
    -------
    str
        SVG; the thicknesses are to scale with the bore, a wall that is not known is drawn dashed.
    """
    look, reader = PALETTES[theme], Wording(language, units, "\u00a0")
    title = reader.word(
        message("Section at {place}: DN {dn}, today and lined", place=Quantity(stretch.start, "m", 1), dn=stretch.dn),
    )
    height = width + 26.0
    drawing = Drawing(width=width, height=height, title=title)
    centre, middle = width / 2, width / 2
    scale = (width / 2 - 2.0) / (lined.bore_clean * (0.5 + _WALL_SHARE))
    clean = lined.bore_clean / 2 * scale
    wall = (stretch.wall or lined.bore_clean * _WALL_SHARE) * scale
    wall = min(wall, width / 2 - clean - 0.5)
    drawing.circle(centre, middle, clean + wall / 2, fill="none", ink=look.iron, weight=wall)
    today = max(0.0, clean - (stretch.deposit or 0.0) * scale)
    after = max(0.0, clean - (lined.aim or 0.0) * scale)
    fill = drawing.pattern("deposit", ink=look.paper, ground=look.deposit, step=2.4, kind="rising")
    drawing.shape(_half_ring(centre, middle, clean, today, left=True), fill=fill)
    drawing.shape(_half_ring(centre, middle, clean, after, left=False), fill=look.mortar, ink=look.ink, weight=0.3)
    drawing.shape(_half_ring(centre, middle, today, 0.0, left=True), fill=look.water)
    drawing.shape(_half_ring(centre, middle, after, 0.0, left=False), fill=look.water)
    drawing.line(centre, middle - clean, centre, middle + clean, ink=look.paper, weight=1.6)
    left = reader.quantity(lined.bore_clean - 2 * (stretch.deposit or 0.0), "mm", 0) if stretch.deposit is not None else "–"
    right = reader.quantity(lined.bore_lined, "mm", 1) if lined.bore_lined is not None else "–"
    for x, name, value in ((centre - clean / 2, reader.text("today"), left), (centre + clean / 2, reader.text("lined"), right)):
        drawing.text(x, height - 14.0, name, size=SMALL, ink=look.quiet, anchor="middle")
        drawing.text(x, height - 5.0, value, size=SMALL + 1.0, ink=look.ink, anchor="middle", weight="semibold")
    return drawing.svg()


def _half_ring(x: float, y: float, outer: float, inner: float, *, left: bool) -> str:
    """Return the path of one half of a ring; with no inner radius it is a half disc."""
    out_turn, in_turn = (0, 1) if left else (1, 0)
    path = f"M{x:.2f} {y - outer:.2f}A{outer:.2f} {outer:.2f} 0 0 {out_turn} {x:.2f} {y + outer:.2f}"
    if inner > 0.0 and not math.isclose(inner, outer):
        path += f"L{x:.2f} {y + inner:.2f}A{inner:.2f} {inner:.2f} 0 0 {in_turn} {x:.2f} {y - inner:.2f}"
    return path + "Z"
