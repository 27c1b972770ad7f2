"""What keeping jobs, records and runs needs of the world outside."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal, Protocol, Self

from mainwright.errors import InputError
from mainwright.workflow.live_ports import RunLog

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
    from contextlib import AbstractContextManager
    from datetime import datetime

    from mainwright.job.document import Document
    from mainwright.workflow.deeds import DeedKeeper
    from mainwright.workflow.live_ports import RunKey
    from mainwright.workflow.ports import Progress

__all__ = [
    "Anchor",
    "Carried",
    "CarriedLog",
    "ChainReport",
    "FileKeeper",
    "KeptFile",
    "KeptRecord",
    "KeptRevision",
    "NewRecord",
    "Report",
    "Shelf",
    "Store",
]


_FEWEST: Final = 8
_WHOLE: Final = 64
_DIGITS: Final = frozenset("0123456789abcdef")


@dataclass(frozen=True, slots=True)
class Anchor:
    """Where a chain ends: written down elsewhere, on paper say, it shows later whether its end was cut off.

    Attributes
    ----------
    count
        How many things the chain holds.
    head
        Hash of the last one, as hexadecimal text.
    """

    count: int
    head: str

    def __str__(self) -> str:
        """Return it as it is printed: the count and the first 16 digits of the hash."""
        return f"{self.count}:{self.head[:16]}"

    @classmethod
    def read(cls, text: str) -> Self:
        """Return the anchor that was printed so, or with more or fewer digits of the hash.

        Raises
        ------
        InputError
            If it is none.
        """
        count, _, head = text.strip().partition(":")
        if not (count.isascii() and count.isdigit()) or not _FEWEST <= len(head) <= _WHOLE or set(head.lower()) - _DIGITS:
            raise InputError(
                "anchor", text, "", f"a count, a colon, and {_FEWEST} to {_WHOLE} digits of a hash, as `mainwright verify` prints it"
            )
        return cls(int(count), head.lower())

    def stands_for(self, count: int, head: str) -> bool:
        """Return whether this is where a chain ended, or once ended."""
        return self.count == count and head.startswith(self.head)


@dataclass(frozen=True, slots=True)
class Carried:
    """A run that was taken in from its file.

    Attributes
    ----------
    key
        Which run.
    anchor
        Where the file's log ends.
    added
        How many entries were not there before.
    new
        Whether the run was not there at all.
    longer_here
        Whether the store's log goes on where the file's ends.
    """

    key: RunKey
    anchor: Anchor
    added: int
    new: bool
    longer_here: bool


@dataclass(frozen=True, slots=True)
class KeptRevision:
    """One revision of a job as it was put into the store.

    Attributes
    ----------
    job, name
        Reference and name of the job, as this revision has them.
    number
        Its place among the revisions of the job, from 1.
    revision
        SHA-256 of the document.
    author, time
        Who put it there, and when.
    """

    job: str
    name: str
    number: int
    revision: str
    author: str
    time: datetime


@dataclass(frozen=True, slots=True)
class NewRecord:
    """A record that is to be kept.

    Attributes
    ----------
    kind
        Name of its table, as in ``records/``: ``thickness``, ``batches``, ...
    row
        Its cells, in the units of the files. None takes a former record away.
    corrects
        Place of the record that it stands for, None where it is new.
    """

    kind: str
    row: Mapping[str, object] | None
    corrects: int | None = None


@dataclass(frozen=True, slots=True)
class KeptRecord:
    """A record as it is kept; it stays for ever, also when it was corrected.

    Attributes
    ----------
    place
        Its place among the records of the job, from 1.
    kind, row, corrects
        As in `NewRecord`.
    author, time, method
        Who put it there, when, and how it came.
    revision
        Revision of the job that was in force then.
    """

    place: int
    kind: str
    row: Mapping[str, object] | None
    author: str
    time: datetime
    method: str
    revision: str | None
    corrects: int | None


class Shelf(Protocol):
    """Jobs and records, within one transaction."""

    def jobs(self) -> Sequence[KeptRevision]:
        """Return the latest revision of every job, in the order in which the jobs were first put there."""
        ...

    def job_heads(self) -> Mapping[str, str]:
        """Return the last hash of every job, in the order of `jobs`: it differs once something was kept, and is found at once."""
        ...

    def history(self, job: str) -> Sequence[KeptRevision]:
        """Return all revisions of a job, the first one first; raises ``NotFound``."""
        ...

    def document(self, job: str, revision: str | None = None) -> Document:
        """Return a job's document: the latest one, or that of a revision, of which the first digits are enough. Raises ``NotFound``."""
        ...

    def put(self, document: Document, *, author: str) -> KeptRevision:
        """Keep a job; where its latest revision is the same, nothing is added. An older revision put again is a further one."""
        ...

    def records(self, job: str) -> Sequence[KeptRecord]:
        """Return all records of a job in the order in which they came, those that were corrected too."""
        ...

    def add_records(self, job: str, new: Sequence[NewRecord], *, author: str, method: str) -> Sequence[KeptRecord]:
        """Keep further records of a job. Raises ``NotFound`` where a job or a record that is to be corrected is not there."""
        ...

    def record_counts(self) -> Mapping[str, int]:
        """Return for each job that has records how many were ever kept."""
        ...

    def library(self, name: str) -> Sequence[KeptRecord]:
        """Return everything that was ever kept in a library, in the order in which it came; nothing where there is none of that name."""
        ...

    def add_to_library(self, name: str, new: Sequence[NewRecord], *, author: str, method: str) -> Sequence[KeptRecord]:
        """Keep something in a library, which is there from then on. Raises ``NotFound`` where what is to be corrected is not there."""
        ...

    def records_anchor(self, job: str) -> Anchor | None:
        """Return where the records of a job end, None where there are none."""
        ...


@dataclass(frozen=True, slots=True)
class ChainReport:
    """What verification says of one chain.

    Attributes
    ----------
    what
        The chain in words: ``run R1 of job MB-01``.
    kind
        Which kind of chain.
    anchor
        Where it ends now.
    broken
        What is wrong, each with its place; empty where nothing is.
    """

    what: str
    kind: Literal["store", "job", "records", "run", "library", "deeds"]
    anchor: Anchor | None
    broken: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Report:
    """What verification says of a store or a file.

    Attributes
    ----------
    place
        The store or file.
    chains
        Each chain.
    broken
        What is wrong with the whole.
    anchors
        Each anchor that was asked for, and which chain passes through it; None where none does: then something that was there is gone.
    """

    place: str
    chains: tuple[ChainReport, ...]
    broken: tuple[str, ...] = ()
    anchors: tuple[tuple[str, str | None], ...] = ()

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong."""
        return not self.broken and not any(one.broken for one in self.chains) and all(what is not None for _, what in self.anchors)


@dataclass(frozen=True, slots=True)
class KeptFile:
    """A file as it is kept.

    Attributes
    ----------
    digest
        SHA-256 of its content, as hexadecimal text.
    size
        In bytes.
    """

    digest: str
    size: int


class FileKeeper(Protocol):
    """Keeps files by the hash of their content."""

    def put(self, read: Callable[[], Iterable[bytes]], *, name: str) -> KeptFile:
        """Keep a file that can be read from its beginning, twice; raises ``InputError`` where it is too large or changes meanwhile."""
        ...

    def read(self, digest: str) -> Iterator[bytes]:
        """Yield the content of a file; raises ``NotFound``, and ``StoreError`` where it is not what was kept."""
        ...


class CarriedLog(RunLog, Protocol):
    """Logs that can be carried to another store, each as one file of text."""

    def export(self, key: RunKey) -> Iterator[str]:
        """Yield the lines of a run's file; raises ``NotFound``."""
        ...

    def take_in(self, lines: Iterable[str], *, name: str) -> Carried:
        """Take a run's file in, all of it or nothing; what is there already is not added again.

        Raises ``InputError`` where the file is damaged, ``Conflict`` where the store has something else under this name.
        """
        ...

    def anchor(self, key: RunKey) -> Anchor:
        """Return where the log of a run ends; raises ``NotFound``."""
        ...


class Store(Protocol):
    """Keeps jobs, records and the logs of runs."""

    @property
    def place(self) -> str:
        """The store, as a person names it."""
        ...

    @property
    def log(self) -> CarriedLog:
        """The logs of runs; each group of entries is a transaction of its own."""
        ...

    @property
    def files(self) -> FileKeeper:
        """The files of records, such as ring scans and photographs."""
        ...

    @property
    def deeds(self) -> DeedKeeper:
        """Who did what."""
        ...

    def transaction(self) -> AbstractContextManager[Shelf]:
        """Give the shelf to read and write; at the end of the block all of it is kept, after an error nothing."""
        ...

    def looking(self) -> AbstractContextManager[Shelf]:
        """Give the shelf to read, as it is now, whatever others write meanwhile."""
        ...

    def verify(self, *, anchors: Sequence[Anchor] = (), progress: Progress | None = None) -> Report:
        """Return whether anything was changed since it was kept."""
        ...

    def close(self) -> None:
        """Close it."""
        ...
