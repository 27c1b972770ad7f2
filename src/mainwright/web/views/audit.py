"""Words of who did what."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final
from urllib.parse import urlencode

from mainwright.web.roles import DEEDS
from mainwright.words.message import message
from mainwright.workflow.deeds import A_PAGE

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import tzinfo

    from mainwright.words.wording import Wording
    from mainwright.workflow.deeds import KeptDeed

__all__ = ["audit_view", "csv_rows"]

_DIGITS: Final = 8

_ROLES: Final = {
    "lead": message("the lead"),
    "crew": message("the crew"),
    "viewer": message("a viewer"),
    "nobody": message("not let in"),
    "terminal": message("a command on this machine"),
}

_REFUSED: Final = ("device refused", "refused", "stranger refused", "foreign refused")


def audit_view(found: Sequence[KeptDeed], say: Wording, zone: tzinfo, *, jobs: Sequence[str], given: Mapping[str, str]) -> dict[str, Any]:
    """Return what the page shows; of one deed more than a page holds only the link is made."""
    shown = found[:A_PAGE]
    answer = message("{n} {n:deed stands here/deeds stand here, the latest first}.", n=len(shown))
    asked = {name: text for name, text in given.items() if text}
    older = "" if len(found) <= A_PAGE else "/audit?" + urlencode({**asked, "below": str(shown[-1].place)})
    rows = []
    for one in shown:
        deed, local = one.deed, one.time.astimezone(zone)
        what = say.word(DEEDS[deed.what]) if deed.what in DEEDS else deed.what
        device = say.text("this machine") if deed.device == "local" else deed.device
        revisions = " → ".join(text[:_DIGITS] for text in (deed.before, deed.after) if text)
        rows.append(
            [
                f"{one.place}",
                f"{say.day(local.date(), short=True)} {local:%H:%M:%S}",
                {"text": what, "state": "bad"} if deed.what in _REFUSED else what,
                deed.who,
                say.word(_ROLES[deed.role]) if deed.role in _ROLES else deed.role,
                " · ".join(text for text in (device, deed.where) if text),
                deed.job or "",
                revisions if deed.before != deed.after else "",
                deed.detail,
            ]
        )
    return {
        "answer": [say.word(answer), say.text("Nothing here can be changed or taken away unseen: mainwright verify finds it.")],
        "heads": [
            say.text("Number"),
            say.text("When"),
            say.text("What"),
            say.text("Who"),
            say.text("Role"),
            say.text("Device and address"),
            say.text("Job"),
            say.text("Revision before and after"),
            say.text("Where on the pages"),
        ],
        "rows": rows,
        "older": older,
        "table": "/audit.csv" + (f"?{urlencode(asked)}" if asked else ""),
        "given": given,
        "jobs": jobs,
        "whats": [(name, say.word(text)) for name, text in DEEDS.items()],
    }


def csv_rows(found: Sequence[KeptDeed]) -> Iterator[tuple[str, ...]]:
    """Yield the table for other programs: heads, then deeds, times in UTC."""
    yield ("place", "time", "what", "who", "role", "device", "address", "job", "revision_before", "revision_after", "detail")
    for one in found:
        deed = one.deed
        yield (
            f"{one.place}", one.time.isoformat(), deed.what, deed.who, deed.role, deed.device, deed.where, deed.job or "", deed.before or "",
            deed.after or "", deed.detail,
        )  # fmt: skip
