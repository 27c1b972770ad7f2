"""The operating characteristic of a sampling rule: how often a lining is shown to be good enough, by the share of it that is not."""

import math
from typing import Final

from mainwright.figures.frame import LABEL, SMALL
from mainwright.figures.palette import PALETTES, Theme
from mainwright.figures.svg import Drawing
from mainwright.science.measurement.acceptance import acceptance_probability
from mainwright.words.wording import Wording

__all__ = ["operating_curve"]

_HEIGHT: Final = 130.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 34.0, 10.0, 14.0, 28.0
_LOWEST, _HIGHEST = 1e-4, 0.5
_POINTS: Final = 60


def operating_curve(*, count: int, k: float, share: float, width: float, theme: Theme = "light", language: str = "en") -> str:
    """Return the operating characteristic of a number of readings and its least statistic as SVG text.

    Parameters
    ----------
    count : int
        Readings, two or more. [-]
    k : float
        Least mean margin by its deviation that is enough. [-]
    share : float
        Of all places that must not be under the minimum; marked. [-]
    width : float
        Of the drawing. [point]
    theme : str
        ``light`` or ``dark``. [-]
    language : str
        Of the reader. [-]

    Returns
    -------
    str
        SVG: share under the minimum to the right on a logarithmic axis, probability upwards.
    """
    look, reader = PALETTES[theme], Wording(language, "metric", "\u00a0")
    drawing = Drawing(width=width, height=_HEIGHT, title=reader.text("Operating characteristic of the readings"))
    floor, right = _HEIGHT - _BOTTOM, width - _RIGHT

    def x(part: float) -> float:
        return _LEFT + (right - _LEFT) * math.log(part / _LOWEST) / math.log(_HIGHEST / _LOWEST)

    def y(probability: float) -> float:
        return floor - (floor - _TOP) * probability

    for probability in (0.0, 0.25, 0.5, 0.75, 1.0):
        at = y(probability)
        drawing.line(_LEFT, at, right, at, ink=look.hair, weight=0.3)
        drawing.text(_LEFT - 3.0, at + 2.2, reader.quantity(probability, "pct", 0), size=SMALL, ink=look.quiet, anchor="end")
    for part in (0.0001, 0.001, 0.01, 0.05, 0.1, 0.5):
        at = x(part)
        drawing.line(at, floor, at, floor + 3.0, ink=look.ink, weight=0.6)
        digits = max(0, -math.floor(math.log10(100.0 * part)))
        drawing.text(at, floor + 10.0, reader.quantity(part, "pct", digits), size=SMALL, ink=look.quiet, anchor="middle")
    drawing.line(_LEFT, floor, right, floor, ink=look.ink, weight=0.6)
    drawing.text(0.0, 8.0, reader.text("How often it would be shown"), size=SMALL, ink=look.quiet)
    drawing.text(
        right, floor + 20.0, reader.text("share of the interior that is really under the minimum"), size=SMALL, ink=look.quiet, anchor="end"
    )
    steps = [_LOWEST * (_HIGHEST / _LOWEST) ** (place / _POINTS) for place in range(_POINTS + 1)]
    drawing.path([(x(part), y(acceptance_probability(share_beyond=part, count=count, k=k))) for part in steps], ink=look.run, weight=1.3)
    limit = 1.0 - share
    if _LOWEST < limit < _HIGHEST:
        here = acceptance_probability(share_beyond=limit, count=count, k=k)
        drawing.line(x(limit), _TOP, x(limit), floor, ink=look.ink, weight=0.6, dash="4 3")
        drawing.circle(x(limit), y(here), 2.2, fill=look.run)
        label = reader.quantity(here, "pct", 1 if here >= 0.001 else 3)
        drawing.text(x(limit) + 4.0, y(here) - 4.0, label, size=LABEL, ink=look.ink, weight="semibold", halo=look.paper)
    return drawing.svg()
