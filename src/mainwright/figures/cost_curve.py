"""What the works may cost: the chance that they stay under a sum, with the bill, the tender and 10, 50 and 90 % on it."""

from typing import Final

from mainwright.figures.frame import LABEL, SMALL
from mainwright.figures.metrics import text_width
from mainwright.figures.palette import PALETTES, Theme
from mainwright.figures.place import spread, ticks
from mainwright.figures.svg import Drawing
from mainwright.plan.result_cost import CostSpread
from mainwright.words.wording import Wording

__all__ = ["cost_curve"]

_HEIGHT: Final = 178.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 34.0, 12.0, 40.0, 30.0


def cost_curve(found: CostSpread, *, rate: float, width: float, currency: str, theme: Theme = "light", language: str = "en") -> str:
    """Return the distribution of the cost as SVG text.

    Parameters
    ----------
    found : CostSpread
        What the works may cost. [-]
    rate : float
        Sum of the bill. [currency]
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
        SVG: cost to the right, the chance that the works stay under it upwards.
    """
    look, reader = PALETTES[theme], Wording(language, "metric", "\u00a0")
    drawing = Drawing(width=width, height=_HEIGHT, title=reader.text("Chance that the works stay under a sum"))
    floor, right = _HEIGHT - _BOTTOM, width - _RIGHT
    marks = [rate, found.tender.price]
    low = min(found.curve[0][1], *marks)
    high = max(found.curve[-1][1], *marks)
    room = 0.06 * ((high - low) or high or 1.0)
    low, high = low - room, high + room

    def x(cost: float) -> float:
        return _LEFT + (right - _LEFT) * (cost - low) / (high - low)

    def y(probability: float) -> float:
        return floor - (floor - _TOP) * probability

    for probability in (0.0, 0.1, 0.5, 0.9, 1.0):
        at = y(probability)
        drawing.line(_LEFT, at, right, at, ink=look.hair, weight=0.3)
        drawing.text(_LEFT - 3.0, at + 2.2, reader.quantity(probability, "pct", 0), size=SMALL, ink=look.quiet, anchor="end")
    for value in ticks(low, high, 6):
        if low <= value <= high:
            drawing.line(x(value), floor, x(value), floor + 3.0, ink=look.ink, weight=0.6)
            drawing.text(x(value), floor + 10.0, reader.number(value, 0), size=SMALL, ink=look.quiet, anchor="middle")
    drawing.line(_LEFT, floor, right, floor, ink=look.ink, weight=0.6)
    drawing.text(right, floor + 21.0, f"{reader.text('cost of the works')} {currency}".rstrip(), size=SMALL, ink=look.quiet, anchor="end")
    drawing.text(0.0, 8.0, reader.text("Chance to stay under it"), size=SMALL, ink=look.quiet)
    texts = [(rate, reader.text("the bill at its rates")), (found.tender.price, reader.text("the tender"))]
    widths = [text_width(text, SMALL, "regular") + 6.0 for _, text in texts]
    middles = spread([x(cost) for cost, _ in texts], widths, _LEFT, right)
    for (cost, text), middle in zip(texts, middles, strict=True):
        drawing.line(x(cost), _TOP - 8.0, x(cost), floor, ink=look.ink, weight=0.6, dash="4 3")
        drawing.line(middle, 29.0, x(cost), _TOP - 8.0, ink=look.quiet, weight=0.4)
        drawing.text(middle, 26.0, text, size=SMALL, ink=look.ink, anchor="middle")
    drawing.path([(x(cost), y(share)) for share, cost in found.curve], ink=look.run, weight=1.3)
    for share, cost in ((0.1, found.cost.low), (0.5, found.cost.middle), (0.9, found.cost.high)):
        drawing.circle(x(cost), y(share), 2.2, fill=look.run)
        drawing.text(x(cost) + 4.0, y(share) + 8.0, reader.number(cost, 0), size=LABEL, ink=look.ink, weight="semibold", halo=look.paper)
    return drawing.svg()
