"""Which characters can be printed."""

from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from mainwright.paper.glyphs import characters, printable
from tests.unit.figures.boxes import FONTS


def test_the_character_map_is_that_of_the_file() -> None:
    assert characters() == {code for code in TTFont(FONTS / "Lato-Regular.ttf").getBestCmap() if 0 < code < 0xFFFF}


def test_all_weights_print_the_same() -> None:
    for weight in ("Bold", "Semibold"):
        assert characters() <= set(TTFont(FONTS / f"Lato-{weight}.ttf").getBestCmap())


@given(st.text())
def test_every_text_becomes_printable(text: str) -> None:
    shown = printable(text)
    assert all(ord(char) in characters() for char in shown)
    assert printable(shown) == shown


def test_what_can_be_printed_stays() -> None:
    assert printable("Böschung 12,5 m → 3 × „ab“ ≥ −4 °C") == "Böschung 12,5 m → 3 × „ab“ ≥ −4 °C"
    assert printable("a\u202eb\tc\nd漢") == "ab c d?"
    assert printable("Bo\u0308schung") == "Böschung"
