"""The one drawing helper: what a figure draws becomes SVG text, the same bytes each time."""

from collections.abc import Sequence
from typing import Final, Literal

from mainwright.figures.metrics import Weight

__all__ = ["Anchor", "Drawing", "escaped", "num"]

Anchor = Literal["start", "middle", "end"]

_FAMILY: Final = "Lato, sans-serif"
_WEIGHT: Final = {"regular": "", "semibold": ' font-weight="600"', "bold": ' font-weight="700"'}


def escaped(text: str) -> str:
    """Return a text that cannot be read as markup.

    Parameters
    ----------
    text : str
        Any text. [-]

    Returns
    -------
    str
        Text for content and attributes; characters that XML does not allow are left out.
    """
    allowed = "".join(char for char in text if char >= " " and not "\ud800" <= char <= "\udfff" and char not in "\ufffe\uffff\x7f")
    return allowed.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")


def num(value: float) -> str:
    """Return a coordinate with two decimals and no needless digits.

    Parameters
    ----------
    value : float
        A coordinate. [point]

    Returns
    -------
    str
        The number.

    Examples
    --------
    >>> num(12.0), num(-0.001), num(3.14159)
    ('12', '0', '3.14')
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


class Drawing:
    """A drawing under construction: shapes are added in the order in which they lie on each other.

    Parameters
    ----------
    width, height
        Of the drawing. [point]
    title
        What a screen reader says first.

    Attributes
    ----------
    ground
        Colour under everything; empty leaves it open.
    """

    def __init__(self, *, width: float, height: float, title: str) -> None:
        self.width = width
        self.height = height
        self.ground = ""
        self._title = title
        self._layers: tuple[list[str], list[str]] = ([], [])
        self._parts = self._layers[1]
        self._patterns: dict[str, str] = {}

    def line(self, x1: float, y1: float, x2: float, y2: float, *, ink: str, weight: float = 0.6, dash: str = "") -> None:
        """Draw a straight line."""
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        style = f' fill="none" stroke="{ink}" stroke-width="{num(weight)}"{dashes}/>'
        step = f"M{num(x1)} {num(y1)}L{num(x2)} {num(y2)}"
        # Lines of one look that follow each other are one path: what a reader of the drawing has to hold is the number of its marks.
        if self._parts and self._parts[-1].startswith('<path d="M') and self._parts[-1].endswith(f'"{style}'):
            self._parts[-1] = f'{self._parts[-1][: -len(style) - 1]}{step}"{style}'
        else:
            self._parts.append(f'<path d="{step}"{style}')

    def rect(self, x: float, y: float, width: float, height: float, *, fill: str = "none", ink: str = "none", weight: float = 0.6) -> None:
        """Draw a rectangle."""
        stroke = f' stroke="{ink}" stroke-width="{num(weight)}"' if ink != "none" else ""
        self._parts.append(
            f'<rect x="{num(x)}" y="{num(y)}" width="{num(max(width, 0.0))}" height="{num(max(height, 0.0))}" fill="{fill}"{stroke}/>'
        )

    def circle(self, x: float, y: float, radius: float, *, fill: str = "none", ink: str = "none", weight: float = 0.6) -> None:
        """Draw a circle."""
        stroke = f' stroke="{ink}" stroke-width="{num(weight)}"' if ink != "none" else ""
        self._parts.append(f'<circle cx="{num(x)}" cy="{num(y)}" r="{num(radius)}" fill="{fill}"{stroke}/>')

    def path(
        self,
        points: Sequence[tuple[float, float]],
        *,
        ink: str = "none",
        fill: str = "none",
        weight: float = 0.6,
        closed: bool = False,
        dash: str = "",
    ) -> None:
        """Draw a line through points."""
        if not points:
            return
        steps = "L".join(f"{num(x)} {num(y)}" for x, y in points)
        stroke = f' stroke="{ink}" stroke-width="{num(weight)}" stroke-linejoin="round"' if ink != "none" else ""
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        self._parts.append(f'<path d="M{steps}{"Z" if closed else ""}" fill="{fill}"{stroke}{dashes}/>')

    def shape(self, data: str, *, ink: str = "none", fill: str = "none", weight: float = 0.6) -> None:
        """Draw a path from its own data; for arcs."""
        stroke = f' stroke="{ink}" stroke-width="{num(weight)}" stroke-linecap="round" stroke-linejoin="round"' if ink != "none" else ""
        self._parts.append(f'<path d="{data}" fill="{fill}"{stroke}/>')

    def text(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: float,
        ink: str,
        anchor: Anchor = "start",
        weight: Weight = "regular",
        turned: bool = False,
        halo: str = "",
    ) -> None:
        """Set one line of text on its base line; ``turned`` sets it upwards, ``halo`` clears the ground under it."""
        if not text:
            return
        place = f' text-anchor="{anchor}"' if anchor != "start" else ""
        turn = f' transform="rotate(-90 {num(x)} {num(y)})"' if turned else ""
        start = f'<text x="{num(x)}" y="{num(y)}" font-size="{num(size)}"{_WEIGHT[weight]}{place}{turn}'
        if halo:
            self._parts.append(
                f'{start} fill="{halo}" stroke="{halo}" stroke-width="2.4" stroke-linejoin="round" aria-hidden="true">{escaped(text)}</text>'
            )
        self._parts.append(f'{start} fill="{ink}">{escaped(text)}</text>')

    def pattern(self, name: str, *, ink: str, ground: str, step: float = 4.0, kind: Literal["rising", "falling", "crossed", "dots"]) -> str:
        """Return a fill that is told apart without colour, by lines or dots."""
        half = num(step / 2)
        size = num(step)
        marks = {
            "rising": f'<path d="M0 {size}L{size} 0M-{half} {half}L{half} -{half}M{half} {num(step * 1.5)}L{num(step * 1.5)} {half}"',
            "falling": f'<path d="M0 0L{size} {size}M-{half} {half}L{half} {num(step * 1.5)}M{half} -{half}L{num(step * 1.5)} {half}"',
            "crossed": f'<path d="M0 0L{size} {size}M0 {size}L{size} 0"',
            "dots": f'<path d="M{half} {num(step / 2 - 0.35)}L{half} {num(step / 2 + 0.35)}"',
        }[kind]
        width = "0.9" if kind == "dots" else "0.5"
        ground_rect = f'<rect width="{size}" height="{size}" fill="{ground}"/>' if ground != "none" else ""
        self._patterns[name] = (
            f'<pattern id="{name}" width="{size}" height="{size}" patternUnits="userSpaceOnUse">'
            f'{ground_rect}{marks} stroke="{ink}" stroke-width="{width}" fill="none"/></pattern>'
        )
        return f"url(#{name})"

    def layer(self, *, beneath: bool) -> None:
        """Choose where the next shapes go: beneath everything that is not beneath, or on top."""
        self._parts = self._layers[0 if beneath else 1]

    def open_group(self, name: str, title: str = "") -> None:
        """Begin a group that a page or a reader can name."""
        self._parts.append(f'<g data-part="{escaped(name)}">' + (f"<title>{escaped(title)}</title>" if title else ""))

    def close_group(self) -> None:
        """End the group."""
        self._parts.append("</g>")

    def svg(self) -> str:
        """Return the drawing as SVG text."""
        defs = "<defs>" + "".join(self._patterns[name] for name in sorted(self._patterns)) + "</defs>" if self._patterns else ""
        size = f"{num(self.width)} {num(self.height)}"
        ground = f'<rect width="{num(self.width)}" height="{num(self.height)}" fill="{self.ground}"/>' if self.ground else ""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size}" width="{num(self.width)}" height="{num(self.height)}" '
            f'role="img" font-family="{_FAMILY}"><title>{escaped(self._title)}</title>{defs}{ground}{"".join(self._layers[0])}{"".join(self._layers[1])}</svg>\n'
        )
