"""All shipped tables together, and the reference page that is made from them."""

from mainwright.standards.published import TABLES, Published, Row, Table, table
from mainwright.standards.source import Source
from mainwright.units import UNITS, from_si, significant

__all__ = ["STATUS_MEANING", "all_tables", "reference_page"]

STATUS_MEANING = (
    ("read", "read in the named document itself"),
    ("secondary", "read in something that reports the named document, or a contractor's or utility's own page"),
    ("memory", "remembered, not read: look it up before it decides anything"),
    ("practice", "common practice or an allowance, without a source"),
    ("derived", "worked out here from values of the sources named"),
)
"""What each status means, in plain words."""


def all_tables() -> tuple[Table, ...]:
    """Return every shipped table, in the order in which they are shown."""
    return tuple(table(name) for name in TABLES)


def _number(value: float | None, unit: str) -> str:
    return "" if value is None else f"{significant(from_si(value, unit), 6):g}"


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def _for_what(row: Row) -> str:
    return ", ".join(f"{name} {content}" if name not in ("key", "claim") else str(content) for name, content in row.fields if content != "")


def _source(source: Source) -> str:
    named = ", ".join(part for part in (source.title, source.edition, source.clause) if part)
    return f"{named} ({source.status})"


def _range(published: Published) -> str:
    low, high = _number(published.low, published.unit), _number(published.high, published.unit)
    return f"{low or '…'} to {high or '…'}" if low or high else ""


def reference_page() -> str:
    """Return the reference page of all published values, as Markdown."""
    lines = [
        "# Published values",
        "",
        "Every value that Mainwright ships, with its source. This page is made from the tables in `src/mainwright/standards/data`;",
        "change them, not it. None of these values replaces the document that a contract names.",
        "",
        "| status | means |",
        "| --- | --- |",
        *(f"| {status} | {meaning} |" for status, meaning in STATUS_MEANING),
        "",
    ]
    for one in all_tables():
        sources = list(dict.fromkeys(row.published.source for row in one.rows))
        lines += [f"## {one.title}", "", *([one.note, ""] if one.note else [])]
        lines += ["| for | value | range | unit | status | source | note |", "| --- | ---: | --- | --- | --- | ---: | --- |"]
        for row in one.rows:
            found = row.published
            cells = (
                _for_what(row),
                _number(found.value, found.unit),
                _range(found),
                UNITS[found.unit].label,
                found.source.status,
                str(sources.index(found.source) + 1),
                found.note,
            )
            lines.append("| " + " | ".join(_cell(cell) for cell in cells) + " |")
        lines += ["", "Sources:", "", *(f"{number}. {_source(source)}" for number, source in enumerate(sources, start=1)), ""]
        if one.unseen:
            lines += ["Belongs here and could not be read:", ""]
            lines += [f"- {', '.join(part for part in (gap.title, gap.edition) if part)}: {gap.note}" for gap in one.unseen]
            lines.append("")
    return "\n".join(lines).rstrip("\n") + "\n"
