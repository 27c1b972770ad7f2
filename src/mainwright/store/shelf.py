"""Jobs by revision, and records, within a transaction that somebody else begins and ends."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, func, insert, select

from mainwright.errors import InputError, NotFound, StoreError
from mainwright.job.document import Document, from_plain
from mainwright.store.chain import record_link, revision_link
from mainwright.store.chains import Chain, advance, begin_chain, find_chain
from mainwright.store.rows import json_text, moment_text, plain
from mainwright.store.tables import chains, records, revisions
from mainwright.workflow.keeping import reference_of
from mainwright.workflow.store_ports import Anchor, KeptRecord, KeptRevision, NewRecord

__all__ = ["DatabaseShelf"]

_FEWEST_DIGITS = 4


class DatabaseShelf:
    """Jobs and records in a database.

    Parameters
    ----------
    connection : Connection
        Within a transaction. [-]
    place : str
        The store, as a person names it. [-]
    clock : callable
        Gives the time of day, aware. [-]
    """

    def __init__(self, connection: Connection, *, place: str, clock: Callable[[], datetime]) -> None:
        self._connection = connection
        self._place = place
        self._clock = clock

    def jobs(self) -> Sequence[KeptRevision]:
        """Return the latest revision of every job, in the order in which the jobs were first put there."""
        latest = select(revisions.c.chain, func.max(revisions.c.place).label("place")).group_by(revisions.c.chain).subquery()
        wanted = (
            _heads().join(latest, (latest.c.chain == revisions.c.chain) & (latest.c.place == revisions.c.place)).order_by(revisions.c.chain)
        )
        return [_revision(row) for row in self._connection.execute(wanted)]

    def job_heads(self) -> Mapping[str, str]:
        """Return the last hash of every job, in the order of `jobs`: it differs once something was kept."""
        wanted = select(chains.c.name, chains.c.head).where(chains.c.kind == "job", chains.c.count > 0).order_by(chains.c.number)
        return {str(name): head.hex() for name, head in self._connection.execute(wanted)}

    def history(self, job: str) -> Sequence[KeptRevision]:
        """Return all revisions of a job, the first one first."""
        found = self._connection.execute(_heads().where(chains.c.name == job).order_by(revisions.c.place)).all()
        if not found:
            raise self._no_job(job)
        return [_revision(row) for row in found]

    def document(self, job: str, revision: str | None = None) -> Document:
        """Return a job's document: the latest one, or that of a revision."""
        chain = find_chain(self._connection, "job", job)
        if chain is None:
            raise self._no_job(job)
        wanted = select(revisions.c.revision, revisions.c.document).where(revisions.c.chain == chain.number)
        if revision is None:
            found = self._connection.execute(wanted.where(revisions.c.place == chain.count)).all()
        else:
            if len(revision) < _FEWEST_DIGITS:
                raise InputError("revision", revision, "", f"at least its first {_FEWEST_DIGITS} digits")
            named = revisions.c.revision.startswith(revision.lower(), autoescape=True)
            found = self._connection.execute(wanted.where(named).order_by(revisions.c.place)).all()
        different = {row.revision for row in found}
        if not different:
            raise NotFound(f"{self._place}: job {job} has no revision {revision} here.")
        if len(different) > 1:
            raise InputError("revision", revision, "", f"more digits: {len(different)} revisions of job {job} begin with these")
        document = from_plain(plain(found[-1].document))
        if document.revision() != found[-1].revision:
            raise StoreError(
                f"{self._place}: the document of job {job}, revision {found[-1].revision[:16]}, was changed since it was kept. "
                "`mainwright verify` says what else is; another revision can be exported."
            )
        return document

    def put(self, document: Document, *, author: str) -> KeptRevision:
        """Keep a job; where its latest revision is the same, nothing is added."""
        info = document.rows("job")[0] if document.rows("job") else {}
        job, name = reference_of(document), info.get("name")
        revision = document.revision()
        chain = begin_chain(self._connection, "job", job)
        if chain.count:
            latest = self._connection.execute(_heads().where(revisions.c.chain == chain.number, revisions.c.place == chain.count)).one()
            if latest.revision == revision:
                return _revision(latest)
        place = chain.count + 1
        row: dict[str, Any] = {
            "place": place,
            "revision": revision,
            "name": name if isinstance(name, str) else "",
            "document": json_text(document.to_plain()),
            "author": author,
            "time": moment_text(self._clock()),
        }
        grown = revision_link(chain.head, **row)
        self._connection.execute(insert(revisions).values(chain=chain.number, hash=grown, **row))
        advance(self._connection, chain, count=place, head=grown)
        return KeptRevision(job, row["name"], place, revision, author, datetime.fromisoformat(row["time"]))

    def records(self, job: str) -> Sequence[KeptRecord]:
        """Return all records of a job in the order in which they came."""
        chain = find_chain(self._connection, "records", job)
        if chain is None:
            return ()
        wanted = select(records).where(records.c.chain == chain.number).order_by(records.c.place)
        return [_record(row) for row in self._connection.execute(wanted)]

    def add_records(self, job: str, new: Sequence[NewRecord], *, author: str, method: str) -> Sequence[KeptRecord]:
        """Keep further records of a job."""
        latest = self._connection.execute(
            select(revisions.c.revision)
            .join(chains, chains.c.number == revisions.c.chain)
            .where(chains.c.kind == "job", chains.c.name == job)
            .order_by(revisions.c.place.desc())
            .limit(1)
        ).scalar()
        if latest is None:
            raise self._no_job(job)
        if not new:
            return ()
        return self._append(
            begin_chain(self._connection, "records", job), new, where=f"job {job}", author=author, method=method, revision=latest
        )

    def library(self, name: str) -> Sequence[KeptRecord]:
        """Return everything that was ever kept in a library."""
        chain = find_chain(self._connection, "library", name)
        if chain is None:
            return ()
        wanted = select(records).where(records.c.chain == chain.number).order_by(records.c.place)
        return [_record(row) for row in self._connection.execute(wanted)]

    def add_to_library(self, name: str, new: Sequence[NewRecord], *, author: str, method: str) -> Sequence[KeptRecord]:
        """Keep something in a library."""
        if not new:
            return ()
        return self._append(
            begin_chain(self._connection, "library", name), new, where=f"library {name}", author=author, method=method, revision=None
        )

    def _append(
        self, chain: Chain, new: Sequence[NewRecord], *, where: str, author: str, method: str, revision: str | None
    ) -> list[KeptRecord]:
        """Add records to a chain that is locked."""
        time = moment_text(self._clock())
        head, rows = chain.head, []
        for place, one in enumerate(new, start=chain.count + 1):
            if one.corrects is not None and not 1 <= one.corrects < place:
                raise NotFound(f"{self._place}: {where} has no record {one.corrects} that could be corrected.")
            if one.row is None and one.corrects is None:
                raise InputError("record", "nothing", "", "cells, or the place of the record that it takes away")
            row: dict[str, Any] = {
                "place": place,
                "kind": one.kind,
                "row": None if one.row is None else json_text(one.row),
                "author": author,
                "time": time,
                "method": method,
                "revision": revision,
                "corrects": one.corrects,
            }
            head = record_link(head, **row)
            rows.append({"chain": chain.number, "hash": head, **row})
        self._connection.execute(insert(records), rows)
        advance(self._connection, chain, count=chain.count + len(rows), head=head)
        when = datetime.fromisoformat(time)
        return [
            KeptRecord(row["place"], one.kind, one.row, author, when, method, revision, one.corrects)
            for one, row in zip(new, rows, strict=True)
        ]

    def record_counts(self) -> Mapping[str, int]:
        """Return for each job that has records how many were ever kept."""
        wanted = select(chains.c.name, chains.c.count).where(chains.c.kind == "records")
        return {str(name): int(count) for name, count in self._connection.execute(wanted)}

    def records_anchor(self, job: str) -> Anchor | None:
        """Return where the records of a job end."""
        chain = find_chain(self._connection, "records", job)
        return None if chain is None else Anchor(chain.count, chain.head.hex())

    def _no_job(self, job: str) -> NotFound:
        return NotFound(f"{self._place}: there is no job {job} here.")


def _heads() -> Any:  # noqa: ANN401 - a Select of SQLAlchemy's
    columns = (
        chains.c.name.label("job"),
        revisions.c.name,
        revisions.c.place,
        revisions.c.revision,
        revisions.c.author,
        revisions.c.time,
    )
    return select(*columns).join(chains, chains.c.number == revisions.c.chain).where(chains.c.kind == "job")


def _revision(row: Any) -> KeptRevision:  # noqa: ANN401 - a row of SQLAlchemy's
    return KeptRevision(row.job, row.name, row.place, row.revision, row.author, datetime.fromisoformat(row.time))


def _record(row: Any) -> KeptRecord:  # noqa: ANN401 - a row of SQLAlchemy's
    return KeptRecord(
        row.place,
        row.kind,
        None if row.row is None else plain(row.row),
        row.author,
        datetime.fromisoformat(row.time),
        row.method,
        row.revision,
        row.corrects,
    )
