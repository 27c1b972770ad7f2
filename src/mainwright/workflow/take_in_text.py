"""The report of a taking-in as plain values and as lines of text."""

import textwrap
from collections.abc import Sequence
from typing import Final

from mainwright.words.wording import Wording
from mainwright.workflow.source import Noted, TakeInReport, Weight

__all__ = ["report_document", "report_lines"]

_HEADS: Final[dict[Weight, str]] = {
    "left_out": "Left out of the job folder",
    "decided": "Decided by a rule: look at each",
    "seen": "Carried as it stands, but unusual",
}
_MOST_LINES: Final = 12
_MOST_COLUMNS: Final = 8


def report_document(report: TakeInReport) -> dict[str, object]:
    """Return the report as plain values, for JSON.

    Parameters
    ----------
    report : TakeInReport
        What became of the inventory. [-]

    Returns
    -------
    dict
        Lengths in metres.
    """
    word = Wording().word
    return {
        "source": report.source,
        "main": report.main,
        "length_m": round(sum(length for _, _, length in report.lengths), 6),
        "lengths": [{"dn": dn, "material": material, "length_m": length} for dn, material, length in report.lengths],
        "tables": [
            {
                "table": one.table,
                "rows_read": one.read,
                "uses": [{"target": target, "rows_wanted": wanted, "rows_used": used} for target, wanted, used in one.uses],
                "rows_passed_over": [{"rows": rows, "which": text} for text, rows in one.passed_over],
                "columns_not_used": list(one.columns_not_used),
            }
            for one in report.tallies
        ],
        "noted": [
            {
                "code": one.code,
                "weight": one.weight,
                "table": one.table,
                "lines": list(one.lines),
                "column": one.column,
                "text": word(one.message),
            }
            for one in report.noted
        ],
    }


def report_lines(report: TakeInReport, *, width: int) -> list[str]:
    """Return the report as lines of text.

    Parameters
    ----------
    report : TakeInReport
        What became of the inventory. [-]
    width : int
        Most characters in a line. [-]

    Returns
    -------
    list of str
        Plain text.
    """
    wording = Wording()
    total = sum(length for _, _, length in report.lengths)
    name = f"Main {report.main}" if report.main else "The main"
    lines = [f"{name}: {wording.number(total, 1)} m taken in" + (f" from {report.source}" if report.source else "")]
    lines.extend(
        f"  {f'DN {dn}' if dn != '?' else 'DN not known'}, {wording.code(material)}: {wording.number(length, 1)} m"
        for dn, material, length in report.lengths
    )
    lines += ["", "Tables"]
    for one in report.tallies:
        lines.append(f"  {one.table}: {one.read} rows read")
        for target in dict.fromkeys(use[0] for use in one.uses):
            mine = [use for use in one.uses if use[0] == target]
            lines.append(f"    {sum(use[2] for use in mine)} of {sum(use[1] for use in mine)} wanted rows used for {target}")
        if one.passed_over:
            which = [f"{rows} with {text}" if text else f"{rows}" for text, rows in one.passed_over]
            lines.extend(_wrapped("rows passed over: " + _some(which, _MOST_LINES, "; "), width, "    "))
        if one.columns_not_used:
            lines.extend(_wrapped("columns not used: " + _some(one.columns_not_used, _MOST_COLUMNS), width, "    "))
    for weight, head in _HEADS.items():
        noted = [one for one in report.noted if one.weight == weight]
        if noted:
            lines += ["", f"{head} ({len(noted)})"]
            for what in noted:
                lines.extend(_wrapped(_place(what) + wording.word(what.message), width, "  "))
    return lines


def _place(one: Noted) -> str:
    numbers = _some([str(line) for line in one.lines], _MOST_LINES)
    return f"{one.table}{':' + numbers if numbers else ''}: {one.column + ': ' if one.column else ''}"


def _some(words: Sequence[str], most: int, between: str = ", ") -> str:
    return between.join(words[:most]) + (f" and {len(words) - most} more" if len(words) > most else "")


def _wrapped(text: str, width: int, indent: str) -> list[str]:
    return textwrap.wrap(
        text,
        width,
        initial_indent=indent,
        subsequent_indent=indent + "  ",
        break_long_words=False,
        break_on_hyphens=False,
    )
