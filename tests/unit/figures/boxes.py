"""Where the texts of a drawing lie, by the widths in the font files themselves."""

import re
import xml.etree.ElementTree as ET
from functools import cache
from pathlib import Path

from fontTools.ttLib import TTFont

import mainwright

FONTS = Path(mainwright.__file__).parent / "figures" / "fonts"
SVG = "{http://www.w3.org/2000/svg}"


@cache
def widths(weight: str) -> dict[int, int]:
    font = TTFont(FONTS / f"Lato-{weight.capitalize()}.ttf")
    advances = font["hmtx"]
    return {code: advances[name][0] for code, name in font.getBestCmap().items()}


def text_boxes(svg: str) -> list[tuple[str, float, float, float, float]]:
    """Return text, x1, y1, x2, y2 of each text that is not a halo."""
    boxes = []
    for element in ET.fromstring(svg).iter(f"{SVG}text"):  # noqa: S314
        if element.get("aria-hidden"):
            continue
        text, size = element.text or "", float(element.get("font-size", "0"))
        weight = {"600": "semibold", "700": "bold"}.get(element.get("font-weight", ""), "regular")
        width = sum(widths(weight).get(ord(char), 1400) for char in text) * size / 2000
        x, y = float(element.get("x", "0")), float(element.get("y", "0"))
        before = {"middle": width / 2, "end": width}.get(element.get("text-anchor", ""), 0.0)
        if re.match(r"rotate\(-90", element.get("transform", "")):
            boxes.append((text, x - size * 0.72, y - width + before, x, y + before))
        else:
            boxes.append((text, x - before, y - size * 0.72, x - before + width, y))
    return boxes


def overlapping(svg: str) -> list[tuple[str, str]]:
    """Return pairs of texts that touch each other by more than a fifth of a point."""
    boxes = text_boxes(svg)
    found = []
    for index, (text, x1, y1, x2, y2) in enumerate(boxes):
        for other, u1, v1, u2, v2 in boxes[index + 1 :]:
            if min(x2, u2) - max(x1, u1) > 0.2 and min(y2, v2) - max(y1, v1) > 0.2:
                found.append((text, other))
    return found
