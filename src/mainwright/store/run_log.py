"""The logs of followed runs."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from threading import Lock
from typing import Any, Final

from sqlalchemy import Connection, Engine, insert, select

from mainwright.errors import Conflict, NotFound
from mainwright.store.carry import export_run, import_run
from mainwright.store.chain import run_link
from mainwright.store.chains import advance, begin_chain
from mainwright.store.engine import reading, writing
from mainwright.store.failures import told
from mainwright.store.ingest import Appender, Group, appender
from mainwright.store.packing import pack, unpack
from mainwright.store.rows import json_text, moment_text, plain, run_name, run_words
from mainwright.store.tables import blocks, chains, runs
from mainwright.workflow.live_ports import LogEntry, RunKey
from mainwright.workflow.store_ports import Anchor, Carried

__all__ = ["DatabaseRunLog", "begin_run"]

_PAGE: Final = 64
"""Groups that are fetched at a time: a long log is read in short looks, so that no reader holds up the one who writes."""


def begin_run(connection: Connection, key: RunKey, *, header: str, author: str, time: str) -> int:
    """Begin the log of a run within a transaction, and return the number of its chain.

    Raises
    ------
    Conflict
        If it has begun with another header.
    """
    chain = begin_chain(connection, "run", run_name(key))
    there = connection.execute(select(runs.c.header).where(runs.c.chain == chain.number)).scalar_one_or_none()
    if there is not None:
        if there != header:
            raise Conflict(
                f"{run_words(key)} has begun with something else: another plan or revision of the job. "
                "Follow it by the plan that it was begun with, or begin it as its next part."
            )
        return chain.number
    grown = run_link(name=run_name(key), header=header, author=author, time=time)
    connection.execute(
        insert(runs).values(
            chain=chain.number,
            job=key.job,
            run=key.run,
            coat=key.coat,
            part=key.part,
            header=header,
            author=author,
            time=time,
            hash=grown,
        )
    )
    advance(connection, chain, count=0, head=grown)
    return chain.number


class DatabaseRunLog:
    """Keeps the logs of runs in a database; may be used by several threads.

    Parameters
    ----------
    engine : Engine
        Of a store with the present schema. [-]
    place : str
        The store, as a person names it. [-]
    clock : callable
        Gives the time of day, aware. [-]
    """

    def __init__(self, engine: Engine, *, place: str, clock: Callable[[], datetime]) -> None:
        self._engine = engine
        self._place = place
        self._clock = clock
        self._chains: dict[RunKey, int] = {}
        self._appender: Appender | None = None
        self._one_writer = Lock()

    def begin(self, key: RunKey, header: Mapping[str, object], *, author: str) -> None:
        """Open the log of a new run with what it was meant to be, as JSON; where the same header stands already, nothing is done."""
        text = json_text(header)
        with told(self._place), writing(self._engine) as connection:
            begin_run(connection, key, header=text, author=author, time=moment_text(self._clock()))

    def runs(self, job: str | None = None) -> Sequence[RunKey]:
        """Return the runs that have a log, in the order of their beginning."""
        wanted = select(runs.c.job, runs.c.run, runs.c.coat, runs.c.part).order_by(runs.c.chain)
        if job is not None:
            wanted = wanted.where(runs.c.job == job)
        with told(self._place), reading(self._engine) as connection:
            return [RunKey(*row) for row in connection.execute(wanted)]

    def header(self, key: RunKey) -> Mapping[str, object]:
        """Return what a run was begun with."""
        with told(self._place), reading(self._engine) as connection:
            return plain(self._row(connection, key).header)

    def append(self, key: RunKey, entries: Sequence[LogEntry], *, after: int) -> int:
        """Add entries and return how many the log holds now; on return they are on disk.

        The same entries given again after the same place, because an answer was lost, are not added twice.
        """
        chain = self._chain(key)
        if not entries:
            there = self.anchor(key).count
            if there != after:
                raise _other_writer(key, there=there, after=after)
            return there
        group = Group(chain=chain, after=after, entries=len(entries), payload=pack(entries))
        with self._one_writer, told(self._place):
            if self._appender is None:
                self._appender = appender(self._engine)
            try:
                other = self._appender.append(group)
            except BaseException:
                # What state the connection is in nobody knows: the next group gets a new one.
                held, self._appender = self._appender, None
                _give_back(held)
                raise
        if other is not None:
            raise _other_writer(key, there=other, after=after)
        return group.last

    def entries(self, key: RunKey, *, after: int = 0) -> Iterator[LogEntry]:
        """Yield the entries in their order, from the one after this place."""
        chain = self._chain(key)
        place = after
        while True:
            with told(self._place), reading(self._engine) as connection:
                wanted = (
                    select(blocks.c.last, blocks.c.entries, blocks.c.payload)
                    .where(blocks.c.chain == chain, blocks.c.last > place)
                    .order_by(blocks.c.last)
                    .limit(_PAGE)
                )
                found = connection.execute(wanted).all()
            for last, count, payload in found:
                first = last - count
                for number, entry in enumerate(unpack(payload), start=first + 1):
                    if number > after:
                        yield entry
                place = last
            if len(found) < _PAGE:
                return

    def anchor(self, key: RunKey) -> Anchor:
        """Return how many entries the log of a run holds, and the hash of the last."""
        with told(self._place), reading(self._engine) as connection:
            chain = self._row(connection, key).chain
            count, head = connection.execute(select(chains.c.count, chains.c.head).where(chains.c.number == chain)).one()
        return Anchor(count, head.hex())

    def export(self, key: RunKey) -> Iterator[str]:
        """Yield the lines of a run's file: see `mainwright.store.carry`."""
        with told(self._place), reading(self._engine) as connection:
            yield from export_run(connection, key, place=self._place)

    def take_in(self, lines: Iterable[str], *, name: str) -> Carried:
        """Take a run's file in, all of it or nothing; what is there already is not added again."""
        with told(self._place), writing(self._engine) as connection:
            return import_run(connection, lines, name=name)

    def close(self) -> None:
        """Give the writing connection back; it is opened again where it is needed."""
        with self._one_writer:
            held, self._appender = self._appender, None
            if held is not None:
                held.close()

    def _row(self, connection: Connection, key: RunKey) -> Any:  # noqa: ANN401 - a row of SQLAlchemy's
        wanted = select(runs.c.chain, runs.c.header).where(
            runs.c.job == key.job, runs.c.run == key.run, runs.c.coat == key.coat, runs.c.part == key.part
        )
        row = connection.execute(wanted).one_or_none()
        if row is None:
            raise NotFound(f"{self._place}: {run_words(key)} has no log here.")
        return row

    def _chain(self, key: RunKey) -> int:
        known = self._chains.get(key)
        if known is None:
            with told(self._place), reading(self._engine) as connection:
                known = self._chains[key] = self._row(connection, key).chain
        return known


def _give_back(held: Appender) -> None:
    from contextlib import suppress

    with suppress(Exception):
        held.close()


def _other_writer(key: RunKey, *, there: int, after: int) -> Conflict:
    return Conflict(
        f"the log of {run_words(key)} holds {there} entries and not {after}: another program writes to it, or it was followed further from elsewhere. "
        "Nothing was added; read it again before going on."
    )
