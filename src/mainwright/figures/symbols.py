"""A drawn sign for each kind of fitting, told apart by its shape alone."""

from typing import Final

from mainwright.figures.palette import Palette
from mainwright.figures.svg import Drawing, num
from mainwright.job.survey import FeatureKind

__all__ = ["fitting"]

_STROKES: Final[dict[str, tuple[tuple[tuple[float, float], ...], ...]]] = {
    "tee": (((-5, 0), (5, 0)), ((0, 0), (0, -5))),
    "cross": (((-5, 0), (5, 0)), ((0, -5), (0, 5))),
    "branch": (((-5, 1.5), (5, 1.5)), ((0, 1.5), (3.2, -4.5))),
    "flange_adaptor": (((-5, 0), (5, 0)), ((-1.4, -4.5), (-1.4, 4.5)), ((1.4, -4.5), (1.4, 4.5))),
    "check_valve": (((3.6, -4.2), (3.6, 4.2)),),
    "air_valve": (((0, -1.4), (0, -5.2)), ((-2.4, -5.2), (2.4, -5.2))),
    "butterfly_valve": (((-2.6, 2.6), (2.6, -2.6)),),
    "hydrant": (((0, 0), (0, -5.2)), ((-3, -5.2), (3, -5.2))),
}
_FILLED: Final[dict[str, tuple[tuple[tuple[float, float], ...], ...]]] = {
    "gate_valve": (((-5, -3.6), (-5, 3.6), (5, -3.6), (5, 3.6)),),
    "check_valve": (((-4.2, -4.2), (-4.2, 4.2), (3.2, 0)),),
    "washout": (((-4, -1.5), (4, -1.5), (0, 5)),),
    "end": (((-1.2, -5.5), (1.2, -5.5), (1.2, 5.5), (-1.2, 5.5)),),
}
_OPEN: Final[dict[str, tuple[tuple[tuple[float, float], ...], ...]]] = {
    "reducer": (((-4.6, -4.4), (-4.6, 4.4), (4.6, 2), (4.6, -2)),),
    "repair_clamp": (((-4.6, -3), (4.6, -3), (4.6, 3), (-4.6, 3)), ((-1.6, -4.4), (1.6, -4.4), (1.6, 4.4), (-1.6, 4.4))),
}
_ROUND: Final = {"air_valve": 2.6, "butterfly_valve": 3.9, "meter": 4.2, "hydrant": 2.8}


def fitting(drawing: Drawing, look: Palette, x: float, y: float, kind: FeatureKind) -> None:
    """Draw the sign of one fitting, about 10 points wide.

    Parameters
    ----------
    drawing : Drawing
        Where it is drawn. [-]
    look : Palette
        Colours. [-]
    x, y : float
        Its middle. [point]
    kind : str
        Kind of the fitting. [-]
    """
    ink = look.ink
    for shape in _FILLED.get(kind, ()):
        drawing.path([(x + dx, y + dy) for dx, dy in shape], fill=ink, closed=True)
    for shape in _OPEN.get(kind, ()):
        drawing.path([(x + dx, y + dy) for dx, dy in shape], fill=look.paper, ink=ink, weight=0.9, closed=True)
    for stroke in _STROKES.get(kind, ()):
        drawing.path([(x + dx, y + dy) for dx, dy in stroke], ink=ink, weight=1.2)
    if kind in _ROUND:
        drawing.circle(x, y, _ROUND[kind], fill=ink if kind == "hydrant" else look.paper, ink=ink, weight=1.0)
    if kind == "butterfly_valve":
        drawing.path([(x - 2.6, y + 2.6), (x + 2.6, y - 2.6)], ink=ink, weight=1.2)
    if kind == "meter":
        drawing.path([(x - 2, y + 1.8), (x - 2, y - 1.8), (x, y + 0.6), (x + 2, y - 1.8), (x + 2, y + 1.8)], ink=ink, weight=0.9)
    if kind == "bend":
        drawing.shape(f"M{num(x - 5)} {num(y + 3.4)}Q{num(x)} {num(y + 3.4)} {num(x + 3.4)} {num(y - 4)}", ink=ink, weight=1.6)
