"""What a page is made of: plain blocks of text, tables and figures. The template sets them and adds no word of its own."""

import re
from collections.abc import Sequence
from typing import Literal

__all__ = ["Block", "Cell", "Tone", "bold", "box", "figure", "heading", "landscape", "listing", "paragraph", "sign", "strip", "table"]

Block = dict[str, object]
Cell = str | dict[str, object]
Tone = Literal["stop", "act", "note", "caution"]

_LANDSCAPE = 0.63
"""Height by width of the room for a picture on a turned page."""


def heading(text: str, level: int = 1, *, fresh: bool = False) -> Block:
    """Return a heading, which also stands in the table of contents; a ``fresh`` one begins a page."""
    return {"kind": "heading", "text": text, "level": level, **({"fresh": True} if fresh else {})}


def paragraph(text: str, *, quiet: bool = False, leads: bool = False) -> Block:
    """Return a paragraph; one that leads stays on the page of what follows."""
    return {"kind": "paragraph", "text": text, "quiet": quiet, "leads": leads}


def listing(items: Sequence[str]) -> Block:
    """Return a list with marks."""
    return {"kind": "list", "items": list(items)}


def bold(text: str) -> Cell:
    """Return a cell in strong type."""
    return {"text": text, "bold": True}


def box(tone: Tone, title: str, items: Sequence[str]) -> Block:
    """Return a framed note; its weight tells stop, act and note apart without colour."""
    return {"kind": "box", "tone": tone, "title": title, "items": list(items)}


def figure(svg: str, alt: str, *, width: str = "100%", caption: str = "") -> Block:
    """Return a picture with what is read out instead of it."""
    return {"kind": "figure", "svg": svg, "alt": alt, "width": width, "caption": caption}


def landscape(svg: str, alt: str, title: str, *, first: bool) -> Block:
    """Return a picture that fills a page of its own, turned; the ``first`` of several stands in the table of contents."""
    found = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
    flat = found is not None and float(found[2]) < _LANDSCAPE * float(found[1])
    return {"kind": "landscape", "flat": flat, "svg": svg, "alt": alt, "title": title, "first": "first" if first else ""}


def sign(words: Sequence[str]) -> Block:
    """Return lines to sign on, with what stands under each."""
    return {"kind": "sign", "words": list(words)}


def strip(pairs: Sequence[tuple[str, str, str]]) -> Block:
    """Return key figures side by side: name, number, and a smaller line under it."""
    return {"kind": "strip", "items": [{"name": name, "value": value, "note": note} for name, value, note in pairs]}


def table(
    heads: Sequence[str],
    rows: Sequence[Sequence[Cell]],
    *,
    right: Sequence[int] = (),
    widths: Sequence[str] = (),
    total: bool = False,
) -> Block:
    """Return a table.

    Parameters
    ----------
    heads : sequence of str
        Head of each column; repeated on each page. [-]
    rows : sequence of rows
        The cells. [-]
    right : sequence of int
        Columns that are set to the right: numbers. [-]
    widths : sequence of str
        ``auto`` or a share as ``2fr`` for each column; all ``auto`` where not given. [-]
    total : bool
        Whether the last row is a sum. [-]

    Returns
    -------
    dict
        The block.
    """
    return {
        "kind": "table",
        "heads": list(heads),
        "rows": [list(row) for row in rows],
        "align": ["right" if index in right else "left" for index in range(len(heads))],
        "widths": list(widths) or ["auto"] * len(heads),
        "total": total,
    }
