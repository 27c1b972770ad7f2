"""What the cost hangs on: each cause alone from its 10 to its 90 %, the greatest swing first."""

from collections.abc import Sequence
from typing import Final

from mainwright.figures.frame import LABEL, SMALL
from mainwright.figures.metrics import text_width
from mainwright.figures.palette import PALETTES, Theme
from mainwright.figures.place import ticks
from mainwright.figures.svg import Drawing
from mainwright.plan.result_cost import CauseOfCost
from mainwright.words.wording import Wording

__all__ = ["cost_causes"]

_STEP: Final = 20.0
_TOP: Final = 24.0


def cost_causes(
    causes: Sequence[CauseOfCost], *, middle: float, width: float, currency: str, theme: Theme = "light", language: str = "en"
) -> str:
    """Return the causes as bars about the middle, as SVG text.

    Parameters
    ----------
    causes : sequence of CauseOfCost
        In order. [-]
    middle : float
        Cost with everything in the middle. [currency]
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
    look, reader = PALETTES[theme], Wording(language, "metric", "\u00a0")
    names = [reader.word(one.text) for one in causes]
    left = min(width * 0.42, max((text_width(name, LABEL, "semibold") for name in names), default=0.0) + 10.0)
    right = width - 56.0
    left_room = left + 46.0
    height = _TOP + _STEP * len(causes) + 6.0
    drawing = Drawing(width=width, height=height, title=reader.text("What each cause alone does to the cost"))
    low = min((min(one.low, one.high) for one in causes), default=middle)
    high = max((max(one.low, one.high) for one in causes), default=middle)
    low, high = min(low, middle), max(high, middle)
    span = (high - low) or 1.0

    def x(cost: float) -> float:
        return left_room + (right - left_room) * (cost - low) / span

    for value in ticks(low, high, 5):
        if low <= value <= high:
            drawing.line(x(value), 14.0, x(value), height - 2.0, ink=look.hair, weight=0.4)
            drawing.text(x(value), 9.0, reader.number(value, 0), size=SMALL, ink=look.quiet, anchor="middle")
    drawing.text(width, 9.0, currency, size=SMALL, ink=look.quiet, anchor="end")
    for place, (one, name) in enumerate(zip(causes, names, strict=True)):
        y = _TOP + _STEP * place + _STEP / 2.0 - 4.0
        first, last = min(one.low, one.high), max(one.low, one.high)
        drawing.text(0.0, y + 2.6, name, size=LABEL, ink=look.ink, weight="semibold")
        drawing.rect(x(first), y - 4.5, max(x(last) - x(first), 0.6), 9.0, fill=look.hair, ink=look.quiet)
        drawing.text(min(x(first), x(middle)) - 4.0, y + 2.6, reader.number(first, 0), size=SMALL, ink=look.quiet, anchor="end")
        # Not across the line of the middle.
        drawing.text(max(x(last), x(middle)) + 4.0, y + 2.6, reader.number(last, 0), size=SMALL, ink=look.ink)
    drawing.line(x(middle), 14.0, x(middle), height - 2.0, ink=look.run, weight=1.2)
    return drawing.svg()
