"""A database opened and brought up to date: SQLite unless told otherwise."""

import os
import sqlite3
import time
from pathlib import Path

import platformdirs
from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, Engine, create_engine, event, inspect, text
from sqlalchemy.exc import SQLAlchemyError

from engine.errors import SightportError

MIGRATIONS = Path(__file__).parent / "migrations"

LATEST = "0003"
"""The version that this program needs."""


def default_url() -> str:
    """Where visits are kept: SIGHTPORT_DATABASE, or a file in the user's data folder."""
    configured = os.environ.get("SIGHTPORT_DATABASE")
    if configured:
        return configured
    folder = Path(platformdirs.user_data_dir("sightport", appauthor=False))
    folder.mkdir(parents=True, exist_ok=True)
    return f"sqlite:///{folder / 'visits.db'}"


def open_database(url: str) -> Engine:
    """A database with all tables of this program.

    Parameters
    ----------
    url : str
        A SQLAlchemy database URL; `postgresql://` is taken with the driver that is installed.

    Raises
    ------
    SightportError
        If it cannot be opened, or a newer program has kept it.
    """
    if url.startswith(("postgresql://", "postgres://")):
        url = "postgresql+psycopg://" + url.partition("://")[2]
    try:
        engine = create_engine(url)
        if engine.dialect.name == "sqlite":
            event.listen(engine, "connect", _durable)
        _bring_up_to_date(engine)
    except (SQLAlchemyError, ImportError) as error:
        reason = str(getattr(error, "orig", None) or error).splitlines()[0]
        raise SightportError(f"visits cannot be kept in this database: {reason}") from None
    return engine


def _bring_up_to_date(engine: Engine) -> None:
    with engine.connect() as connection:
        if _version(connection) == LATEST:
            return
    with engine.begin() as connection:
        _alone(connection)
        version = _version(connection)  # another process may have been first
        if version is not None and version > LATEST:
            raise SightportError(
                f"this database was kept by a newer program (its version is {version}); "
                "update this one"
            )
        config = Config()
        config.set_main_option("script_location", str(MIGRATIONS))
        config.attributes["connection"] = connection
        command.upgrade(config, LATEST)


def _version(connection: Connection) -> str | None:
    if not inspect(connection).has_table("alembic_version"):
        return None
    return connection.scalar(text("SELECT version_num FROM alembic_version"))


def _alone(connection: Connection) -> None:
    """Keep other processes out until the migration is done."""
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql("BEGIN IMMEDIATE")
    elif connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(519207)"))


def _durable(connection, _record):
    """Make SQLite wait for a busy file, survive a crash of the process or the power, and leave
    nothing readable of what is erased."""
    cursor = connection.cursor()
    cursor.execute("PRAGMA busy_timeout=5000")
    _write_ahead(cursor)
    cursor.execute("PRAGMA synchronous=FULL")
    cursor.execute("PRAGMA foreign_keys=ON")
    cursor.execute("PRAGMA secure_delete=ON")
    cursor.close()


def _write_ahead(cursor) -> None:
    """Switch a file to its write-ahead log; SQLite does not wait for that by itself."""
    for _ in range(50):
        try:
            cursor.execute("PRAGMA journal_mode=WAL")
            return
        except sqlite3.OperationalError:  # another program is creating the file
            time.sleep(0.1)
    cursor.execute("PRAGMA journal_mode=WAL")
