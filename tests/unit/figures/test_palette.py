"""Contrast of the colours, by the published formula."""

import pytest

from mainwright.figures.palette import PALETTES, Palette


def _luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    low, high = sorted((_luminance(one), _luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.outside("W3C, WCAG 2.2, definition of contrast ratio: black on white is 21 to 1, #767676 on white 4.54 to 1")
def test_the_formula_is_the_published_one() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("look", PALETTES.values(), ids=PALETTES.keys())
def test_text_and_lines_can_be_seen(look: Palette) -> None:
    for ink in (look.ink, look.quiet, look.run, look.forbidden, look.caution):
        assert contrast(ink, look.paper) >= 4.5
    for line in (look.iron, look.earth_line, look.deposit):
        assert contrast(line, look.paper) >= 3.0
    assert contrast(look.paper, look.run) >= 4.5
