"""Puts on record what commands change in the store, beside what people change through the pages."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mainwright.workflow.deeds import DeedKeeper
    from mainwright.workflow.store_ports import Store

__all__ = ["latest_revision", "note"]

_LONGEST = 200
_LONGEST_NAME = 80


def note(
    deeds: DeedKeeper, what: str, *, who: str, detail: str, job: str | None = None, before: str | None = None, after: str | None = None
) -> None:
    """Note what a command did; where that fails it is told in the log, as what was done is done.

    Parameters
    ----------
    deeds : DeedKeeper
        Keeps them.
    what : str
        A word of `mainwright.web.roles.DEEDS`.
    who : str
        The name that was given, or that of the user of this machine.
    detail : str
        The command.
    job, before, after : str, optional
        Reference of the job and its revisions around it.
    """
    import logging

    from mainwright.errors import MainwrightError
    from mainwright.workflow.deeds import Deed

    deed = Deed(what, who[:_LONGEST_NAME], "terminal", "local", "", job, before, after, detail[:_LONGEST])
    try:
        deeds.add(deed)
    except MainwrightError:
        logging.getLogger("mainwright.bootstrap").exception("A deed could not be put on record: %s by %s", what, who)


def latest_revision(store: Store, job: str) -> str | None:
    """Return the latest revision of a job; None where there is no such job yet.

    Parameters
    ----------
    store : Store
        Where it is kept.
    job : str
        Its reference.

    Returns
    -------
    str, optional
        All its digits.
    """
    with store.looking() as shelf:
        return next((one.revision for one in shelf.jobs() if one.job == job), None)
