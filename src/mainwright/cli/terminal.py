"""Plain text for a terminal: paragraphs, aligned tables, and progress on standard error."""

from __future__ import annotations

import shutil
import sys
import textwrap
from collections.abc import Callable
from typing import TYPE_CHECKING, Final

import click

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mainwright.workflow.ports import ReadFault

__all__ = [
    "Progress",
    "answer_json",
    "answer_text",
    "counted",
    "fault_document",
    "fault_lines",
    "paragraph",
    "progress_line",
    "say",
    "table",
    "width",
]

Progress = Callable[[int, int], None]
"""Called with what is done and of how much."""

_WIDEST: Final = 120
_NARROWEST: Final = 40


def width() -> int:
    """Return how many characters a line may have."""
    return max(_NARROWEST, min(_WIDEST, shutil.get_terminal_size((100, 24)).columns))


def say(text: str = "") -> None:
    """Write a message to standard error."""
    click.echo(text, err=True)


def answer_json(answer: object) -> None:
    """Write an answer as JSON to standard output, in UTF-8 whatever the terminal is."""
    import json

    answer_text(json.dumps(answer, indent=1, ensure_ascii=False, allow_nan=False) + "\n")


def answer_text(text: str) -> None:
    """Write a text to standard output as it is, in UTF-8."""
    click.echo(text.encode("utf-8", "replace"), nl=False)


def counted(count: int, one: str, many: str = "") -> str:
    """Return a number of things: ``1 run``, ``2 runs``; ``many`` where an s is not all that makes it many."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def fault_document(fault: ReadFault) -> dict[str, object]:
    """Return a fault as plain values."""
    return {"file": fault.file, "line": fault.line, "column": fault.column, "text": fault.text}


def fault_lines(faults: Sequence[object]) -> list[str]:
    """Return faults as lines, each beginning with file and line so that an editor finds them; no line is broken."""
    return [str(fault) for fault in faults]


def paragraph(text: str, *, first: str = "", rest: str | None = None) -> str:
    """Return a text in lines of the terminal's width; ``first`` leads the first line and ``rest`` the others."""
    return textwrap.fill(
        text,
        width=width(),
        initial_indent=first,
        subsequent_indent=" " * len(first) if rest is None else rest,
        break_long_words=False,
        break_on_hyphens=False,
    )


def table(heads: Sequence[str], rows: Sequence[Sequence[str]], *, right: str = "", indent: str = "  ") -> list[str]:
    """Return an aligned table as lines.

    Parameters
    ----------
    heads : sequence of str
        Heading of each column. [-]
    rows : sequence of sequence of str
        Cells. [-]
    right : str
        One letter a column, ``r`` where it is set to the right, ``l`` else; the last column takes what is left of the width. [-]

    indent : str
        What stands before each line. [-]

    Returns
    -------
    list of str
        Lines without trailing blanks.
    """
    sides = right.ljust(len(heads), "l")
    widths = [max(len(row[column]) for row in [heads, *rows]) for column in range(len(heads))]
    before = len(indent) + sum(widths[:-1]) + 2 * (len(heads) - 1)
    last = max(12, min(widths[-1], width() - before))
    lines = []
    for row in [heads, *rows]:
        cells = [cell.rjust(size) if side == "r" else cell.ljust(size) for cell, size, side in zip(row, widths, sides, strict=True)]
        wrapped = textwrap.wrap(row[-1], last, break_long_words=False, break_on_hyphens=False) or [""]
        start = wrapped[0] if sides[-1] == "l" else wrapped[0].rjust(last)
        lines.append((indent + "  ".join([*cells[:-1], start])).rstrip())
        lines.extend((" " * before + more).rstrip() for more in wrapped[1:])
    return lines


def progress_line(what: str) -> Progress:
    """Return a progress callable that keeps one line of standard error up to date, silent where that is no terminal."""
    if not sys.stderr.isatty():
        return lambda done, of: None
    shown = -1

    def show(done: int, of: int) -> None:
        nonlocal shown
        share = 100 if of <= 0 else min(100, 100 * done // of)
        if share == shown:
            return
        shown = share
        end = "\r" + " " * (len(what) + 6) + "\r" if share == 100 else ""
        click.echo(f"\r{what} {share:3d} %{end}", nl=False, err=True)

    return show
