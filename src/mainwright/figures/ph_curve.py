"""The pH of the water over the age of the lining, at one place: by day, by night, and where it stands."""

import math
from collections.abc import Sequence

from mainwright.figures.frame import LABEL, SMALL
from mainwright.figures.palette import PALETTES, Theme
from mainwright.figures.svg import Drawing
from mainwright.plan.result_giving_back import TapForecast
from mainwright.units import from_si
from mainwright.words.wording import Wording

__all__ = ["ph_curve"]

_HEIGHT = 168.0
_TOP, _BOTTOM, _LEFT, _RIGHT = 16.0, 26.0, 22.0, 74.0
_DASH = {"day": "", "night": "6 2", "standing": "1.5 2"}


def ph_curve(taps: Sequence[TapForecast], *, limits: Sequence[float], width: float, theme: Theme = "light", language: str = "en") -> str:
    """Return the forecast at one place as SVG text; the band reaches down to where calcite has fallen out.

    Parameters
    ----------
    taps : sequence of TapForecast
        The cases at one place. [-]
    limits : sequence of float
        pH at which a line is drawn. [-]
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
    drawing = Drawing(width=width, height=_HEIGHT, title=reader.text("pH over the age of the lining"))
    points = [one for tap in taps for one in tap.series]
    low = math.floor(min([one.ph_at_calcite for one in points] + list(limits)) * 2.0) / 2.0
    high = math.ceil(max([one.ph for one in points] + list(limits)) * 2.0) / 2.0
    ages = [one.age for one in taps[0].series]
    floor, right = _HEIGHT - _BOTTOM, width - _RIGHT

    def x(age: float) -> float:
        return _LEFT + (right - _LEFT) * math.log(age / ages[0]) / math.log(ages[-1] / ages[0])

    def y(ph: float) -> float:
        return floor - (floor - _TOP) * (ph - low) / (high - low)

    for step in range(round((high - low) * 2.0) + 1):
        ph = low + step / 2.0
        drawing.line(_LEFT, y(ph), right, y(ph), ink=look.hair, weight=0.3)
        drawing.text(_LEFT - 3.0, y(ph) + 2.2, reader.number(ph, 1), size=SMALL, ink=look.quiet, anchor="end")
    drawing.text(0.0, 8.0, "pH", size=SMALL, ink=look.quiet)
    for age in ages:
        days = from_si(age, "days")
        # Ages that are whole weeks are told in weeks.
        name = reader.quantity(age, "days", 0) if days < 7.0 else reader.number(days / 7.0, 0)
        drawing.line(x(age), floor, x(age), floor + 3.0, ink=look.ink, weight=0.5)
        drawing.text(x(age), floor + 10.0, name, size=SMALL, ink=look.quiet, anchor="middle")
    drawing.text(right, floor + 20.0, reader.text("weeks since placing"), size=SMALL, ink=look.quiet, anchor="end")
    for tap in taps:
        band = [(x(one.age), y(one.ph)) for one in tap.series] + [(x(one.age), y(one.ph_at_calcite)) for one in reversed(tap.series)]
        drawing.path(band, fill=look.water, closed=True)
    for limit in limits:
        drawing.line(_LEFT, y(limit), right, y(limit), ink=look.caution, weight=0.9)
        drawing.text(right - 2.0, y(limit) - 2.0, reader.number(limit, 1), size=SMALL, ink=look.caution, anchor="end", halo=look.paper)
    drawing.line(_LEFT, floor, right, floor, ink=look.ink, weight=0.6)
    ends = []
    for tap in taps:
        drawing.path([(x(one.age), y(one.ph)) for one in tap.series], ink=look.run, weight=1.3, dash=_DASH[tap.case])
        ends.append((y(tap.series[-1].ph), tap.case))
    # The names stand at the ends of their lines, from the top down, never on each other.
    at = _TOP
    for end, case in sorted(ends):
        at = max(end + 2.0, at)
        name = reader.code(case)
        drawing.line(right + 3.0, at - 2.4, right + 15.0, at - 2.4, ink=look.run, weight=1.3, dash=_DASH[case])
        drawing.text(right + 18.0, at, name, size=LABEL, ink=look.ink, weight="semibold")
        at += LABEL + 3.0
    return drawing.svg()
