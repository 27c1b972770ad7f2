"""The library: clients' specifications, plant and prices that are kept across jobs, each entry with all its revisions."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Final, Protocol, cast

from mainwright.errors import Conflict, NotFound
from mainwright.workflow.library_entry import Entry, EntryRevision, revision_of, step_of, when_of
from mainwright.workflow.store_ports import KeptRecord, NewRecord

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from mainwright.workflow.library_entry import Facts
    from mainwright.workflow.library_parts import Kind, Tables

__all__ = ["Library", "LibraryShelf"]

_ARCHIVE: Final = "entries"
_NEVER: Final = datetime.min.replace(tzinfo=UTC)


class LibraryShelf(Protocol):
    """Where a library lies."""

    def library(self, name: str) -> Sequence[KeptRecord]:
        """Return everything that was ever kept in it."""
        ...

    def add_to_library(self, name: str, new: Sequence[NewRecord], *, author: str) -> None:
        """Keep something in it."""
        ...


class Library:
    """The entries on a shelf.

    Parameters
    ----------
    shelf : LibraryShelf
        Where they lie. [-]
    """

    def __init__(self, shelf: LibraryShelf) -> None:
        self._shelf = shelf

    def entries(self) -> tuple[Entry, ...]:
        """Return every entry, those that were withdrawn too, in the order in which they were first kept."""
        steps: dict[str, list[EntryRevision]] = {}
        kinds: dict[str, Kind] = {}
        places: dict[str, int] = {}
        names: dict[int, str] = {}
        for one in self._shelf.library(_ARCHIVE):
            name = names[one.corrects] if one.row is None and one.corrects in names else str((one.row or {}).get("entry", ""))
            names[one.place] = name
            kinds.setdefault(name, cast("Kind", one.kind))
            history = steps.setdefault(name, [])
            history.append(revision_of(one, len(history) + 1, history[-1].facts if history else None))
            places[name] = one.place
        return tuple(Entry(name, kinds[name], tuple(history), places[name]) for name, history in steps.items())

    def entry(self, name: str) -> Entry | None:
        """Return an entry by its id."""
        return next((one for one in self.entries() if one.id == name), None)

    def keep(self, kind: Kind, facts: Facts, tables: Tables, *, author: str, entry: str | None = None, base: int | None = None) -> str:
        """Keep values as a new entry, or as a further revision of one; return its id.

        Parameters
        ----------
        kind : str
            A key of `KINDS`. [-]
        facts : Facts
            What it says of itself. [-]
        tables : dict
            Its values. [-]
        author : str
            Who keeps it. [-]
        entry : str, optional
            Id of the entry of which it is a further revision. [-]
        base : int, optional
            Number of the revision that was changed. [-]

        Returns
        -------
        str
            Id of the entry.

        Raises
        ------
        NotFound
            If there is no such entry.
        Conflict
            If somebody kept a revision of it meanwhile.
        """
        there = {one.id: one for one in self.entries()}
        if entry is None:
            name, corrects = _id_of(facts.name, there), None
        elif entry not in there:
            raise NotFound(f"The library has no entry {entry}.")
        elif base is not None and base != there[entry].history[-1].number:
            raise Conflict(f"A revision of {entry} was kept meanwhile.")
        else:
            name, corrects = entry, there[entry].last_place
        row = step_of(EntryRevision(0, facts, tables, "", _NEVER)) | {"entry": name}
        self._shelf.add_to_library(_ARCHIVE, [NewRecord(kind, row, corrects=corrects)], author=author)
        return name

    def withdraw(self, entry: str, *, author: str) -> None:
        """Say that nobody should take an entry any more; it stays, with its history. A further revision takes that back.

        Raises
        ------
        NotFound
            If there is no such entry.
        """
        found = self.entry(entry)
        if found is None:
            raise NotFound(f"The library has no entry {entry}.")
        if not found.withdrawn:
            self._shelf.add_to_library(_ARCHIVE, [NewRecord(found.kind, None, corrects=found.last_place)], author=author)

    def take_in(self, entry: Entry, *, author: str) -> int:
        """Take an entry of another library in, with its history; return how many of its revisions were not here.

        Parameters
        ----------
        entry : Entry
            As it is there. [-]
        author : str
            Who takes it in. [-]

        Returns
        -------
        int
            None is taken twice. Where the entry went another way here, the other's stands beside it under another id.
        """
        wanted = [step_of(one) | when_of(one) for one in entry.history]
        there = {one.id: one for one in self.entries()}
        name, known = _id_of(entry.latest.facts.name, there), 0
        for one in there.values():
            had = [step_of(step) | when_of(step) for step in one.history]
            if one.kind == entry.kind and had[: len(wanted)] == wanted[: len(had)]:
                name, known = one.id, min(len(had), len(wanted))
                break
        place = there[name].last_place if name in there else None
        new = [NewRecord(entry.kind, {"entry": name, **step}, corrects=None if at else place) for at, step in enumerate(wanted[known:])]
        if new:
            self._shelf.add_to_library(_ARCHIVE, new, author=author)
        return len(wanted) - known


def _id_of(name: str, taken: Mapping[str, object]) -> str:
    """Return an id that can stand in an address, and that no entry has."""
    found = plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:60] or "entry"
    count = 1
    while found in taken:
        count += 1
        found = f"{plain}-{count}"
    return found
