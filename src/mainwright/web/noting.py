"""Puts people's deeds on record, and what was refused; those who are refused can not fill the disk with it."""

from __future__ import annotations

import logging
import threading
from collections import deque
from datetime import timedelta
from typing import TYPE_CHECKING, Final

from mainwright.errors import MainwrightError
from mainwright.web.visitor import Visitor
from mainwright.workflow.deeds import Deed

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from mainwright.workflow.visiting import UseCases

__all__ = ["Notes"]

_LOG = logging.getLogger("mainwright.web")

_MOST_REFUSED: Final = 60
_REFUSED_IN: Final = timedelta(hours=1)
_LONGEST: Final = 200

_TOLD: Final = ("what", "decision", "number", "do", "feed", "choose", "chainage_m", "chainage_ft", "role", "device")
"""Fields of a form that say what was done."""


class Notes:
    """Writes deeds into the store.

    Parameters
    ----------
    uses : UseCases
        With the keeper of deeds; without one nothing is noted. [-]
    """

    def __init__(self, uses: UseCases) -> None:
        self._uses = uses
        self._lock = threading.Lock()
        self._refused: deque[datetime] = deque()
        self._left_out = 0

    def standing(self, name: str | None) -> tuple[str | None, str | None]:
        """Return reference and latest revision of a job by its name in addresses."""
        if name is None:
            return None, None
        try:
            self._uses.jobs.names()
            latest = self._uses.jobs.shelf.history(name)[-1]
        except (KeyError, IndexError, MainwrightError):
            return None, None
        return latest.job, latest.revision

    def done(
        self, what: str, visitor: Visitor, where: str, *, fields: Mapping[str, str], job: str | None, before: str | None, path: str
    ) -> None:
        """Note what was done."""
        reference, after = self.standing(job)
        who = visitor.name or fields.get("author") or fields.get("who") or fields.get("name") or ""
        said = [f"{name} {fields[name]}" for name in _TOLD if fields.get(name)]
        detail = ", ".join([path, *said])[:_LONGEST]
        self._keep(Deed(what, who[:80], visitor.role or "nobody", visitor.device, where, reference, before, after, detail))

    def refused(self, what: str, visitor: Visitor, where: str, detail: str) -> None:
        """Note what was refused, so many times an hour; the next one says how many were left out."""
        now = self._uses.clock()
        with self._lock:
            while self._refused and now - self._refused[0] >= _REFUSED_IN:
                self._refused.popleft()
            if len(self._refused) >= _MOST_REFUSED:
                self._left_out += 1
                return
            self._refused.append(now)
            left_out, self._left_out = self._left_out, 0
        more = f"; {left_out} more refusals before it are not listed" if left_out else ""
        self._keep(Deed(what, visitor.name, visitor.role or "nobody", visitor.device, where, detail=detail[:_LONGEST] + more))

    def foreign(self, where: str, told: str) -> None:
        """Note that a page of elsewhere, or a name that is not ours, was refused."""
        self.refused("foreign refused", Visitor(None, ""), where, told)

    def _keep(self, deed: Deed) -> None:
        if self._uses.deeds is None:
            return
        try:
            self._uses.deeds.add(deed)
        except MainwrightError:
            # What was done is done and stands in its own chain; that its note is missing is told in the log.
            _LOG.exception("A deed could not be put on record: %s by %s", deed.what, deed.device)
