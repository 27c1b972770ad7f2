"""Writes job-folder.md from the dictionary of columns: ``.venv/bin/python docs/reference/make.py``. A test tells when it is out of date."""

import sys
from collections.abc import Iterable
from pathlib import Path

from mainwright.job.column import Column, Table
from mainwright.job.columns import RECORDS, TABLES

HEAD = """# The job folder

Every file and column that is read. This page is made from the same dictionary that reads and writes them (`docs/reference/make.py`).

- CSV: UTF-8 (a BOM is fine), comma or semicolon, decimal point or, with semicolons, decimal comma; the first row has the names below. Column order is free.
- Units are in the names. An empty cell is not known. Numbers are finite. Limits are inclusive unless a range says *over* or *under*.
- Unknown columns are kept and reported, never used. A fault names file, line, column, what is wrong and what would be right; all of them come at once.
- **Bold**: required where the file or table is there. A default is used only where nobody gives a value, and is then listed as assumed, with its origin.
- `alignment.geojson` or `alignment.gpkg`: one line string with its CRS, chainage 0 at its first vertex; optional.
"""
KINDS = {
    "number": "number",
    "integer": "whole number",
    "text": "text",
    "choices": "list",
    "date": "date, `2026-04-13`",
    "time": "time, `07:00`",
    "datetime": "moment with offset, `2026-04-13T07:30:00+02:00`",
    "yes_no": "`yes` or `no`",
    "points": "list of lists of numbers",
    "rows": "list of tables, see below",
}

NOTES = {
    "bore": """The mean of the readings in a stretch wins over `main.csv` for that whole stretch. A bore that neither has comes from a table, and is listed as assumed.""",
    "features": """An empty `opening` follows the rule: `must` for `tee`, `cross`, `gate_valve`, `butterfly_valve`, `check_valve`, `meter`, `reducer`, `end` and for a `bend` over the
largest angle that may stay inside a run (the smaller of the job's and the head's); `may` for all others. What is written wins over the rule, but not over the angle limits.

Candidate openings are every feature, both ends of the main, each change of DN and each step of bore over `bore_step_max_mm` (these must be), the ends of no-dig zones, and the
multiples of `opening_spacing_grid_m` from the first chainage. None lies strictly inside a no-dig zone; a feature that must come out there is a `stop` warning, and the plan is made as if it
could be dug. A run's bends are those strictly between its two openings.""",
    "ground": """Where two stretches meet, an opening has the surface and cover of the cheaper one that may be dug. A change of surface alone is no candidate. No-dig stretches that touch
are one zone.""",
    "openings": """A locked place is opened whatever stands there; a forbidden one is not, unless something has to come out there that no run can pass: then the plan warns and is made as if it
could be dug. All other openings are chosen anew. Which layout of those that keep every limit is taken says `choose` in `[runs]`.""",
    "prices": """The items are those of the bill, among them `opening_<surface>` (each, to 1.5 m of cover), `opening_extra_depth` (m of cover beyond that), `set_up_run` (each run),
`set_up_pump` (each place of the pump), `branch_treatment` (each), `new_pipe_dn<DN>`, `cleaning_dn<DN>`, `lining_dn<DN>` (m), `camera` (m), `connection_clearing` (each), `temporary_supply` (m),
`temporary_connection`, `temporary_feed`, `road_ramp` (each, where the supply was laid out), `traffic_day`, `supervision_day`, `standing_plant_day` (day; the last two by the working days of the programme, and only where they have a price), `cement`, `sand`, `deposit_disposal` (t). An item without a price counts as nothing, and the plan says so.""",
    "water": """Alkalinity is the acid capacity in charge equivalents: 1 mmol/l is 50.04 mg/l as CaCO3.""",
}


def _figure(value: float) -> str:
    return f"{value:.10g}"


def _range(column: Column) -> str:
    parts = []
    if column.low is not None:
        parts.append(("over " if column.low_open else "from ") + _figure(column.low))
    if column.high is not None:
        parts.append(("under " if column.high_open else "to ") + _figure(column.high))
    return " ".join(parts)


def _what(column: Column) -> str:
    words = ", ".join(f"`{word}`" for word in column.choices)
    if column.kind == "choice":
        return words
    kind = KINDS[column.kind]
    return ", ".join(part for part in (kind + (f" of {words}" if words else ""), _range(column)) if part)


def _default(column: Column) -> str:
    if column.default is None:
        return ""
    return f"`{column.default}`"


def _rows(table: Table) -> Iterable[str]:
    with_default = any(column.default is not None for column in table.columns)
    yield "| name | what | means |" + (" default |" if with_default else "")
    yield "|---|---|---|" + ("---|" if with_default else "")
    for column in table.columns:
        name = f"**`{column.name}`**" if column.required else f"`{column.name}`"
        yield f"| {name} | {_what(column)} | {column.meaning} |" + (f" {_default(column)} |" if with_default else "")
    origins = dict.fromkeys(column.origin for column in table.columns if column.default is not None and column.origin)
    if origins:
        yield ""
    for origin in origins:
        names = ", ".join(f"`{column.name}`" for column in table.columns if column.default is not None and column.origin == origin)
        yield f"Origin of the default of {names}: {origin[0].lower()}{origin[1:]}"
        yield ""


def _section(table: Table, shown: set[str]) -> Iterable[str]:
    if table.file not in shown:
        shown.add(table.file)
        yield f"## `{table.file}`" if "<" in table.file else f"## {table.file}"
        yield ""
    if table.is_toml:
        brackets = f"[[{table.path}]]" if table.shape == "rows" and "." not in table.path else f"[{table.path}]"
        yield f"### `{brackets}`" + (" (a list)" if "." in table.path else "")
        yield ""
    yield (
        table.meaning[0].upper()
        + table.meaning[1:]
        + ("." if not table.meaning.endswith(".") else "")
        + (" Required." if table.required else "")
    )
    yield ""
    yield from _rows(table)
    yield ""
    if table.name in NOTES:
        yield NOTES[table.name]
        yield ""


def page() -> str:
    """Return the whole page."""
    shown: set[str] = set()
    lines = [HEAD]
    for table in TABLES.values():
        lines += _section(table, shown)
    lines += ["# Records", "", "What happened, in the folder `records/`; every file may be absent. They are no part of the revision.", ""]
    for table in RECORDS.values():
        lines += _section(table, shown)
    text = "\n".join(lines)
    while "\n\n\n" in text:
        text = text.replace("\n\n\n", "\n\n")
    return text.rstrip("\n") + "\n"


def main() -> int:
    """Write the page."""
    (Path(__file__).parent / "job-folder.md").write_text(page(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
