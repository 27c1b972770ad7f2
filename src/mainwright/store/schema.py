"""Bringing a store to the present schema: each step of its history applied and recorded in one transaction."""

from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from sqlalchemy import Connection, Engine, inspect, text

from mainwright.errors import NotFound, SchemaTooNew, StoreError
from mainwright.store.engine import reading, writing

if TYPE_CHECKING:
    from alembic.runtime.migration import MigrationContext

__all__ = ["SCHEMA", "require_schema", "upgrade"]

SCHEMA: Final = "0003"
"""The number of the last step in ``migrations/versions``."""

_STEPS: Final = Path(__file__).parent / "migrations"
_NUMBERS: Final = text("SELECT version_num FROM alembic_version")
_LOCK: Final = text("SELECT pg_advisory_xact_lock(4707001)")
"""One program at a time changes a schema; the number is this program's own."""


def upgrade(engine: Engine, *, place: str, to: str = SCHEMA) -> None:
    """Bring a store to the present schema; an empty database becomes a store.

    Parameters
    ----------
    engine : Engine
        Of the store. [-]
    place : str
        The store, as a person names it. [-]
    to : str
        Number of the last step that is taken. [-]

    Raises
    ------
    SchemaTooNew
        If it has steps that this version does not know.
    StoreError
        If the database holds something else.
    """
    with reading(engine) as connection:
        found = _found(connection, place)
    if found == to:
        return
    with writing(engine) as connection:
        if engine.dialect.name != "sqlite":
            connection.execute(_LOCK)
        # Another program may have been quicker.
        if _found(connection, place) != to:
            _apply(connection, to)


def require_schema(connection: Connection, *, place: str) -> None:
    """See that a store that is only read has the present schema.

    Raises
    ------
    NotFound
        If the database is empty.
    StoreError
        If it has another schema, or holds something else.
    """
    found = _found(connection, place)
    if found is None:
        raise NotFound(f"{place}: there is no store here: the database is empty.")
    if found != SCHEMA:
        raise StoreError(
            f"{place}: the store has the schema {found}; this version reads {SCHEMA}. Open it once with `mainwright import` or `mainwright line`, which bring it forward."
        )


def _found(connection: Connection, place: str) -> str | None:
    """Return the last step that was taken, None where there is no schema yet."""
    names = inspect(connection).get_table_names()
    if "alembic_version" not in names:
        if names:
            raise StoreError(
                f"{place}: there is a database, and it is no store of Mainwright (it has a table {sorted(names)[0]!r}). Name another one in MAINWRIGHT_STORE."
            )
        return None
    number = connection.execute(_NUMBERS).scalar()
    if number is not None and str(number) > SCHEMA:
        raise SchemaTooNew(
            f"{place}: a later version of Mainwright has made or opened this store (schema {number}; this version knows {SCHEMA}). Install that version."
        )
    return None if number is None else str(number)


def _apply(connection: Connection, to: str) -> None:
    from alembic.config import Config
    from alembic.runtime.environment import EnvironmentContext
    from alembic.script import ScriptDirectory

    script = ScriptDirectory(str(_STEPS))

    def steps(found: Any, context: "MigrationContext") -> Any:  # noqa: ANN401 - alembic's own types
        del context
        return script._upgrade_revs(to, found)  # noqa: SLF001 - what alembic's own command does

    with EnvironmentContext(Config(), script, fn=steps) as environment:
        environment.configure(connection=connection, transactional_ddl=True, render_as_batch=True)
        environment.run_migrations()
