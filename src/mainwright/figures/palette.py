"""Our own look: names for colours, by what they stand for. No colour alone carries a meaning: line, pattern or word says it too."""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

__all__ = ["PALETTES", "Palette", "Theme"]

Theme = Literal["light", "dark"]


@dataclass(frozen=True, slots=True)
class Palette:
    """Colours by what they stand for.

    Attributes
    ----------
    paper, ink, quiet, hair
        Ground, text, secondary text, thin lines.
    earth, earth_line
        Ground over the pipe.
    iron, water, deposit, mortar
        Host pipe, its inside, what is cleaned out of it, what is laid in it.
    run, pump, opening
        The work.
    forbidden, caution
        Where nobody digs, and what stops or hurts.
    """

    paper: str
    ink: str
    quiet: str
    hair: str
    earth: str
    earth_line: str
    iron: str
    water: str
    deposit: str
    mortar: str
    run: str
    pump: str
    opening: str
    forbidden: str
    caution: str


PALETTES: Final = MappingProxyType(
    {
        "light": Palette(
            paper="#ffffff",
            ink="#16242c",
            quiet="#53636d",
            hair="#c3ccd1",
            earth="#f3eee4",
            earth_line="#7a6544",
            iron="#33444e",
            water="#eaf3f7",
            deposit="#a9623a",
            mortar="#b9bcb3",
            run="#0d5c7d",
            pump="#16242c",
            opening="#ffffff",
            forbidden="#8c2f5e",
            caution="#a8201a",
        ),
        "dark": Palette(
            paper="#10181d",
            ink="#eef3f5",
            quiet="#a3b3bc",
            hair="#3a4a53",
            earth="#1d2420",
            earth_line="#c2a878",
            iron="#c7d3d9",
            water="#14303d",
            deposit="#d98b5f",
            mortar="#8d9189",
            run="#6cc3e6",
            pump="#eef3f5",
            opening="#10181d",
            forbidden="#ee9bc4",
            caution="#ff8d85",
        ),
    }
)
"""Text colours have at least 4.5 : 1 on their paper (WCAG 2.2, 1.4.3), lines at least 3 : 1 (1.4.11); a test counts."""
