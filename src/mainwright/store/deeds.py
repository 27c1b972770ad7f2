"""Who did what, in one chain of its own."""

from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Engine, func, insert, or_, select

from mainwright.store.chain import deed_link
from mainwright.store.chains import advance, begin_chain
from mainwright.store.engine import reading, writing
from mainwright.store.failures import told
from mainwright.store.rows import moment_text
from mainwright.store.tables import deeds
from mainwright.workflow.deeds import A_PAGE, Deed, KeptDeed, Wanted

__all__ = ["DatabaseDeeds"]

_NUL = str.maketrans({"\x00": "�"})


class DatabaseDeeds:
    """Keeps deeds in a database.

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

    def add(self, deed: Deed) -> KeptDeed:
        """Keep a deed in a transaction of its own."""
        now = self._clock()
        cells = {
            "time": moment_text(now),
            "what": _text(deed.what),
            "who": _text(deed.who),
            "role": _text(deed.role),
            "device": _text(deed.device),
            "origin": _text(deed.where),
            "job": None if deed.job is None else _text(deed.job),
            "before": deed.before,
            "after": deed.after,
            "detail": _text(deed.detail),
        }
        with told(self._place), writing(self._engine) as connection:
            chain = begin_chain(connection, "deeds", "")
            place = chain.count + 1
            row: dict[str, Any] = {"place": place, **cells}
            grown = deed_link(chain.head, **row)
            connection.execute(insert(deeds).values(chain=chain.number, hash=grown, **row))
            advance(connection, chain, count=place, head=grown)
        return KeptDeed(place, now.astimezone(UTC), deed)

    def find(self, wanted: Wanted, *, most: int = A_PAGE) -> Sequence[KeptDeed]:
        """Return deeds, the latest first."""
        ask = select(deeds).order_by(deeds.c.place.desc()).limit(most)
        if wanted.job is not None:
            ask = ask.where(deeds.c.job == wanted.job)
        if wanted.what is not None:
            ask = ask.where(deeds.c.what.in_(sorted(wanted.what)))
        if wanted.text:
            text = wanted.text.lower().translate(_NUL)
            ask = ask.where(
                or_(*(func.lower(one).contains(text, autoescape=True) for one in (deeds.c.who, deeds.c.device, deeds.c.detail)))
            )
        if wanted.since is not None:
            ask = ask.where(deeds.c.time >= moment_text(wanted.since))
        if wanted.until is not None:
            ask = ask.where(deeds.c.time < moment_text(wanted.until))
        if wanted.below is not None:
            ask = ask.where(deeds.c.place < wanted.below)
        with told(self._place), reading(self._engine) as connection:
            return [_deed(row) for row in connection.execute(ask)]


def _text(given: str) -> str:
    """Return a text as any database takes it."""
    return given.encode("utf-8", "replace").decode("utf-8").translate(_NUL)


def _deed(row: Any) -> KeptDeed:  # noqa: ANN401 - a row of SQLAlchemy's
    deed = Deed(row.what, row.who, row.role, row.device, row.origin, row.job, row.before, row.after, row.detail)
    return KeptDeed(row.place, datetime.fromisoformat(row.time), deed)
