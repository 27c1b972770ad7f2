"""The drawing helper."""

import xml.etree.ElementTree as ET

from hypothesis import given
from hypothesis import strategies as st

from mainwright.figures.svg import Drawing, escaped, num
from tests.unit.figures.boxes import overlapping


@given(st.text())
def test_no_text_breaks_the_drawing(text: str) -> None:
    drawing = Drawing(width=10.0, height=10.0, title=text)
    drawing.open_group(text, text)
    drawing.text(1.0, 1.0, text, size=7.0, ink="#000000", halo="#ffffff")
    drawing.close_group()
    root = ET.fromstring(drawing.svg())  # noqa: S314
    assert len(root.findall(".//{http://www.w3.org/2000/svg}script")) == 0


def test_markup_stays_text() -> None:
    assert escaped('<script>"&') == "&lt;script&gt;&quot;&amp;"


@given(st.floats(-1e6, 1e6))
def test_coordinates_keep_two_decimals(value: float) -> None:
    assert abs(float(num(value)) - value) <= 0.005 + 1e-9
    assert num(value) != "-0"


def test_layers_keep_their_order() -> None:
    drawing = Drawing(width=10.0, height=10.0, title="t")
    drawing.line(0, 0, 1, 1, ink="#111111")
    drawing.layer(beneath=True)
    drawing.line(0, 0, 1, 1, ink="#222222")
    text = drawing.svg()
    assert text.index("#222222") < text.index("#111111")


def test_the_search_for_overlaps_finds_one() -> None:
    drawing = Drawing(width=100.0, height=50.0, title="t")
    drawing.text(10.0, 20.0, "one label", size=7.0, ink="#000000")
    drawing.text(60.0, 20.0, "another", size=7.0, ink="#000000")
    assert overlapping(drawing.svg()) == []
    drawing.text(32.0, 22.0, "third", size=7.0, ink="#000000", turned=True)
    assert overlapping(drawing.svg()) == [("one label", "third")]
