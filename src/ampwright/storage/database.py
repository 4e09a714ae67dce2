"""One shop's database: where it is, how it is opened, and how it is read and written."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, inspect, text
from sqlalchemy.exc import DatabaseError, OperationalError

from ampwright.errors import AmpwrightError, BadRecord, Fault
from ampwright.storage.tables import HEAD

NAME = "shop.sqlite"
MIGRATIONS = Path(__file__).parent / "migrations"
# How long a writer waits for another one.
_PATIENCE_s = 10.0


def data_folder(given: str | None = None) -> Path:
    """The folder a shop's data are kept in: the one given, that of AMPWRIGHT_DATA, or the user's own."""
    if given or (given := os.environ.get("AMPWRIGHT_DATA")):
        return Path(given)
    from platformdirs import user_data_path

    return user_data_path("ampwright", appauthor=False)


class Database:
    """
    The database of one shop, brought to this version's layout when it is opened.

    ``reading`` sees one state throughout; ``writing`` is alone, and is kept whole or not at all.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as fault:
            sentence = f"cannot be made ({fault.strerror}). Choose another, by AMPWRIGHT_DATA."
            raise BadRecord(str(path.parent), [Fault("the folder", sentence)]) from None
        self.engine = _engine(path)
        _bring_up_to_date(self.engine, path)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection that reads one state of the data."""
        with _said(self.path), self.engine.connect() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A connection that no other writer is beside; what it did is kept when the block ends well."""
        with (
            _said(self.path),
            self.engine.connect().execution_options(writing=True) as connection,
            connection.begin(),
        ):
            yield connection

    def close(self) -> None:
        """Close every connection."""
        self.engine.dispose()


@contextmanager
def _said(path: Path) -> Iterator[None]:
    """A full disk, a file that another program holds, or a damaged one, in a sentence."""
    try:
        yield
    except DatabaseError as fault:
        if type(fault) not in (DatabaseError, OperationalError):
            raise  # a defect of the program, not of the file
        raise AmpwrightError(
            f"{path}: the data could not be read or written ({fault.orig}). Nothing was changed. Close what else uses"
            " them, see that the disk has room, and try again; if it stays so, restore a backup."
        ) from fault


def _engine(path: Path) -> Engine:
    engine = create_engine(f"sqlite:///{path}", connect_args={"timeout": _PATIENCE_s})

    @event.listens_for(engine, "connect")
    def _prepare(connection: Any, _: Any) -> None:
        connection.isolation_level = None  # SQLAlchemy begins, below, so that a writer takes its turn at once
        for pragma in ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON", "secure_delete = ON"):
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writing")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _bring_up_to_date(engine: Engine, path: Path) -> None:
    found = _layout(engine, path)
    if found == HEAD:
        return
    # Alembic is slow to import, and only an old or new database needs it.
    from alembic.config import Config
    from alembic.runtime.environment import EnvironmentContext
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    scripts = ScriptDirectory.from_config(config)
    if found is not None and found not in {script.revision for script in scripts.walk_revisions()}:
        raise AmpwrightError(
            f"{path} was written by a newer ampwright (layout {found}; this one reads up to {HEAD}). Nothing was"
            " changed. Use the newer version, or another folder by AMPWRIGHT_DATA."
        )

    def steps(revision: Any, _: Any) -> Any:
        return scripts._upgrade_revs("head", revision)

    with (
        engine.connect().execution_options(writing=True) as connection,
        connection.begin(),
        EnvironmentContext(config, scripts, fn=steps) as environment,
    ):
        environment.configure(connection=connection, render_as_batch=True)
        environment.run_migrations()


def _layout(engine: Engine, path: Path) -> str | None:
    """The number of the layout found; None where there is none yet."""
    try:
        with engine.connect() as connection:
            if "alembic_version" not in inspect(connection).get_table_names():
                return None
            found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
            return None if found is None else str(found)
    except DatabaseError as fault:
        sentence = f"cannot be opened as a database ({fault.orig}). Restore a backup, or choose another folder."
        raise BadRecord(str(path), [Fault("the file", sentence)]) from None
