"""The layout at work: an opening is moved, fixed or ruled out, and price and limits are there at once."""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from mainwright.job.document import Document
from mainwright.plan.host import resolve_host
from mainwright.plan.layout.again import Again
from mainwright.plan.layout.choose import choose_layout
from mainwright.plan.layout.tried import tried_layout
from mainwright.plan.placing import Linings
from mainwright.units import significant

if TYPE_CHECKING:
    from collections.abc import Sequence

    from mainwright.job.job import Job
    from mainwright.job.lining import LayoutWish
    from mainwright.job.survey import OpeningChoice
    from mainwright.plan.host import Host
    from mainwright.plan.layout.solution import LayoutSolution
    from mainwright.plan.layout.tried import Tried

__all__ = ["LayoutDesk", "with_choices"]

_KEPT: Final = 4
"""Jobs whose main stays resolved."""


class LayoutDesk:
    """Keeps the main of a job resolved, and what its runs need, between one question and the next."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._kept: OrderedDict[str, tuple[Host, Linings, Again]] = OrderedDict()

    def tried(self, job: Job, openings: Sequence[float]) -> Tried:
        """Return what a layout made by hand costs and breaks."""
        host, linings, again = self._of(job)
        return tried_layout(job, host, openings, linings=linings, again=again)

    def searched(self, job: Job, openings: Sequence[OpeningChoice], choose: LayoutWish | None) -> LayoutSolution:
        """Return the layout that keeps what was fixed and ruled out."""
        host, linings, again = self._of(job)
        runs = replace(job.runs, choose=choose)
        return choose_layout(replace(job, openings=tuple(openings), runs=runs), host, prices_of_limits=False, linings=linings, again=again)

    def _of(self, job: Job) -> tuple[Host, Linings, Again]:
        with self._lock:
            kept = self._kept.get(job.revision)
            if kept is not None:
                self._kept.move_to_end(job.revision)
                return kept
        host = resolve_host(job)
        made = (host, Linings(job, host), Again())
        with self._lock:
            self._kept[job.revision] = made
            while len(self._kept) > _KEPT:
                self._kept.popitem(last=False)
        return made


def with_choices(document: Document, openings: Sequence[OpeningChoice], choose: str | None) -> Document:
    """Return a document in which other openings are fixed and ruled out, and another layout is wanted.

    Parameters
    ----------
    document : Document
        What it was. [-]
    openings : sequence of OpeningChoice
        All of them. [-]
    choose : str or None
        Which layout; None for the least cost. [-]

    Returns
    -------
    Document
        The rest as it was.
    """
    tables = dict(document.tables)
    rows = [
        {"chainage_m": significant(one.chainage), "choice": one.choice, **({"note": one.note} if one.note else {})}
        for one in sorted(openings, key=lambda one: one.chainage)
    ]
    tables["openings"] = rows  # type: ignore[assignment]
    if not rows:
        del tables["openings"]
    runs = dict(document.rows("runs")[0]) if document.rows("runs") else {}
    runs.pop("choose", None)
    if choose is not None and choose != "least_cost":
        runs["choose"] = choose
    if runs or "runs" in tables:
        tables["runs"] = [runs]
    headers = {name: names for name, names in document.headers.items() if name != "openings"}
    return Document(tables, document.alignment, document.extra, headers)
