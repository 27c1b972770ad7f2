"""What the library says: the tables of published values, and each value with where it stands."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Any

from mainwright.words.message import message
from mainwright.workflow.values import published_tables

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from mainwright.words.wording import Wording

    Published = Any  # a table of the standards, which pages may show and not import

__all__ = ["library_view", "table_view"]

_STATES = ("read", "secondary", "memory", "practice", "derived")


def library_view(say: Wording) -> Mapping[str, Any]:
    """Return what the page of the library shows.

    Parameters
    ----------
    say : Wording
        How the reader wants it. [-]

    Returns
    -------
    mapping
        The answer, the tables with the number of their values by status, and the documents whose values could not be read.
    """
    tables = published_tables()
    by_status: Counter[str] = Counter(row.published.source.status for one in tables for row in one.rows)
    count, unread = sum(by_status.values()), by_status["memory"]
    answer = [
        say.word(
            message(
                "{n} published {n:value comes/values come} with the program; {read} {read:was read in its/were read in their} source.",
                n=count,
                read=by_status["read"],
            )
        ),
        say.word(
            message(
                "{memory} {memory:is from memory: look it up before it decides/are from memory: look them up before they decide} anything.",
                memory=unread,
            )
        ),
        say.text("None of them replaces the document that a contract names."),
    ]
    rows: list[Sequence[Any]] = []
    for one in tables:
        here: Counter[str] = Counter(row.published.source.status for row in one.rows)
        numbers = [say.number(here[status], 0) if here[status] else "" for status in _STATES]
        rows.append([{"text": one.title, "href": f"/library/{one.name}"}, say.number(len(one.rows), 0), *numbers])
    unseen = list(dict.fromkeys((_named(gap.title, gap.edition), gap.note) for one in tables for gap in one.unseen))
    return {
        "answer": answer,
        "heads": [say.text("Table"), say.text("Values"), *(say.code(status) for status in _STATES)],
        "rows": rows,
        "numbers": list(range(1, 2 + len(_STATES))),
        "unseen_heads": [say.text("Document"), say.text("Remark")],
        "unseen": unseen,
    }


def table_view(one: Published, say: Wording) -> Mapping[str, Any]:
    """Return what the page of a table shows.

    Parameters
    ----------
    one : Table
        The table. [-]
    say : Wording
        How the reader wants it. [-]

    Returns
    -------
    mapping
        The answer and the rows: for what, value, range, status, source, remark.
    """
    rows = [
        [
            _for_what(row.fields, say),
            say.quantity(row.published.value, row.published.unit),
            _range(row.published, say),
            {"text": say.code(row.published.source.status), "assumed": row.published.source.status in ("memory", "practice")},
            _named(row.published.source.title, row.published.source.edition, row.published.source.clause),
            row.published.note,
        ]
        for row in one.rows
    ]
    heads = [say.text("For"), say.text("Value"), say.text("Range"), say.text("Status"), say.text("Source"), say.text("Remark")]
    return {
        "title": one.title,
        "answer": [one.title, *([one.note] if one.note else [])],
        "heads": heads,
        "rows": rows,
        "unseen_heads": [say.text("Document"), say.text("Remark")],
        "unseen": [(_named(gap.title, gap.edition), gap.note) for gap in one.unseen],
    }


def _named(*parts: str) -> str:
    return ", ".join(part for part in parts if part)


def _for_what(fields: Sequence[tuple[str, Any]], say: Wording) -> str:
    return ", ".join(
        say.code(str(content)) if name in ("key", "claim", "material") else f"{name} {content}" for name, content in fields if content != ""
    )


def _range(found: Any, say: Wording) -> str:  # noqa: ANN401 - a value of the standards
    if found.low is None and found.high is None:
        return ""
    low, high = ("…" if one is None else say.measure(one, found.unit) for one in (found.low, found.high))
    return f"{low} – {high}"
