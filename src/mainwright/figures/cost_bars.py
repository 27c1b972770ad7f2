"""Costs beside each other: one line each, the span from low to high, a mark at the rate."""

from collections.abc import Sequence
from dataclasses import dataclass

from mainwright.figures.frame import LABEL, SMALL
from mainwright.figures.metrics import text_width
from mainwright.figures.palette import PALETTES, Theme
from mainwright.figures.place import ticks
from mainwright.figures.svg import Drawing
from mainwright.words.wording import Wording

__all__ = ["CostBar", "cost_bars"]


@dataclass(frozen=True, slots=True)
class CostBar:
    """One way to do the work; costs in the job's currency, None where a price is missing."""

    name: str
    low: float | None
    rate: float | None
    high: float | None


def cost_bars(bars: Sequence[CostBar], *, width: float, currency: str, theme: Theme = "light", language: str = "en") -> str:
    """Return the comparison as SVG text; the axis begins at nothing.

    Parameters
    ----------
    bars : sequence of CostBar
        The ways, in order. [-]
    width : float
        Of the drawing. [point]
    currency : str
        Code of the currency. [-]
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
    step, left, right = 21.0, 0.0, 62.0
    left = min(width * 0.42, max((text_width(bar.name, LABEL, "semibold") for bar in bars), default=0.0) + 10.0)
    top = max((value for bar in bars for value in (bar.low, bar.rate, bar.high) if value is not None), default=1.0) or 1.0
    height = 20.0 + step * len(bars)
    drawing = Drawing(width=width, height=height, title=reader.text("Cost of each way"))
    scale = (width - left - right) / top
    for value in ticks(0.0, top, 5):
        x = left + value * scale
        drawing.line(x, 14.0, x, height - 2.0, ink=look.hair, weight=0.4)
        drawing.text(x, 9.0, reader.number(value, 0), size=SMALL, ink=look.quiet, anchor="middle")
    drawing.text(width, 9.0, currency, size=SMALL, ink=look.quiet, anchor="end")
    for index, bar in enumerate(bars):
        y = 20.0 + step * index + step / 2 - 2.0
        drawing.text(0.0, y + 2.6, _shortened(bar.name, left - 6.0), size=LABEL, ink=look.ink, weight="semibold")
        if bar.rate is None:
            drawing.text(left + 4.0, y + 2.6, reader.text("a price is missing"), size=LABEL, ink=look.quiet)
            continue
        drawing.rect(
            left, y - 4.5, bar.rate * scale, 9.0, fill=look.run if index == 0 else look.hair, ink=look.run if index == 0 else look.quiet
        )
        end = bar.rate
        if bar.low is not None and bar.high is not None:
            drawing.line(left + bar.low * scale, y, left + bar.high * scale, y, ink=look.ink, weight=1.0)
            for at in (bar.low, bar.high):
                drawing.line(left + at * scale, y - 3.0, left + at * scale, y + 3.0, ink=look.ink, weight=1.0)
            end = max(end, bar.high)
        drawing.text(left + end * scale + 5.0, y + 2.6, reader.number(bar.rate, 0), size=LABEL, ink=look.ink, weight="semibold")
    return drawing.svg()


def _shortened(text: str, room: float) -> str:
    """Return a text that fits, its end left out where it does not."""
    if text_width(text, LABEL, "semibold") <= room:
        return text
    while text and text_width(text + "…", LABEL, "semibold") > room:
        text = text[:-1]
    return text.rstrip() + "…"
