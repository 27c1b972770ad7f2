"""The table of widths against the font files."""

import pytest

from mainwright.figures import metrics
from tests.unit.figures.boxes import widths


@pytest.mark.parametrize("weight", ["regular", "semibold", "bold"])
def test_widths_are_those_of_the_files(weight: str) -> None:
    table = metrics._WIDTH[weight]
    assert len(table) > 300
    assert {char: widths(weight)[ord(char)] for char in table} == dict(table)


def test_figures_are_tabular() -> None:
    assert len({metrics.text_width(digit, 10.0) for digit in "0123456789"}) == 1


def test_the_first_wording_that_fits_is_taken() -> None:
    room = metrics.text_width("DN 200", 7.0)
    assert metrics.fitted(("DN 200 grey iron", "DN 200"), room, 7.0) == "DN 200"
    assert metrics.fitted(("DN 200 grey iron",), room, 7.0) == ""
