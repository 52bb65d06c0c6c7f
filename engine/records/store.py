"""The event log of visits in a database, SQLite unless told otherwise; and the kit beside it."""

import os
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import platformdirs
from sqlalchemy import (
    JSON,
    Column,
    DateTime,
    ForeignKey,
    Integer,
    MetaData,
    String,
    Table,
    create_engine,
    delete,
    event,
    func,
    insert,
    select,
)
from sqlalchemy.exc import IntegrityError, SQLAlchemyError

from engine.errors import Overtaken, SightportError, UnknownVisit

_METADATA = MetaData()

_VISITS = Table(
    "visits",
    _METADATA,
    Column("id", Integer, primary_key=True),
    Column("title", String(200), nullable=False),
    Column("begun", DateTime, nullable=False),
    Column("knowledge", String(40), nullable=False),
)

_EVENTS = Table(
    "events",
    _METADATA,
    Column("visit", ForeignKey("visits.id"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("at", DateTime, nullable=False),
    Column("body", JSON, nullable=False),
)

_KIT = Table(
    "kit",
    _METADATA,
    Column("instrument", String(80), primary_key=True),
    Column("of_reading", String(64), nullable=False),
    Column("at_least", String(64), nullable=False),
)


def default_url() -> str:
    """Where visits are kept: SIGHTPORT_DATABASE, or a file in the user's data folder."""
    configured = os.environ.get("SIGHTPORT_DATABASE")
    if configured:
        return configured
    folder = Path(platformdirs.user_data_dir("sightport", appauthor=False))
    folder.mkdir(parents=True, exist_ok=True)
    return f"sqlite:///{folder / 'visits.db'}"


@dataclass(frozen=True)
class StoredVisit:
    """A visit as listed: `last` is the time of its latest event (UTC)."""

    id: int
    title: str
    begun: datetime
    last: datetime
    knowledge: str


@dataclass(frozen=True)
class StoredEvent:
    """One event: its number within the visit, when it was entered (UTC), and its body."""

    number: int
    at: datetime
    body: dict


class Store:
    """Visits in one database, whose events are only added to, and the kit of its user.

    Parameters
    ----------
    url : str
        A SQLAlchemy database URL.

    Raises
    ------
    SightportError
        If the database cannot be opened.

    Examples
    --------
    >>> store = Store("sqlite://")
    >>> visit = store.begin("cellar", "abc")
    >>> store.append(visit, {"kind": "noted", "text": "no heat"})
    1
    >>> [e.body["text"] for e in store.events(visit)]
    ['no heat']
    """

    def __init__(self, url: str):
        try:
            self._engine = create_engine(url)
            if self._engine.dialect.name == "sqlite":
                event.listen(self._engine, "connect", _durable)
            _METADATA.create_all(self._engine)
        except (SQLAlchemyError, ImportError) as error:
            reason = str(getattr(error, "orig", None) or error).splitlines()[0]
            raise SightportError(f"visits cannot be kept in this database: {reason}") from None

    def begin(self, title: str, knowledge: str) -> int:
        """A new, empty visit; its id."""
        with self._engine.begin() as connection:
            result = connection.execute(
                insert(_VISITS).values(title=title[:200], begun=_now(), knowledge=knowledge)
            )
            return result.inserted_primary_key[0]

    def append(self, visit: int, body: dict, after: int | None = None) -> int:
        """Add an event; its number within the visit, from 1 on.

        With `after` it is added only where that is the number of the last event.

        Raises
        ------
        UnknownVisit
            If there is no such visit.
        Overtaken
            If another event came after `after`; nothing is added then.
        """
        if after is not None:
            return self._append_next(visit, body, after + 1)
        with self._engine.begin() as connection:
            self._visit(connection, visit)
            # Numbered by the statement that inserts, so that two writers never take one number.
            following = (
                select(func.coalesce(func.max(_EVENTS.c.number), 0) + 1)
                .where(_EVENTS.c.visit == visit)
                .scalar_subquery()
            )
            return connection.scalar(
                insert(_EVENTS)
                .values(visit=visit, number=following, at=_now(), body=body)
                .returning(_EVENTS.c.number)
            )

    def _append_next(self, visit, body, number) -> int:
        """The number is taken by whoever is first: the key of the table lets no second one in."""
        try:
            with self._engine.begin() as connection:
                self._visit(connection, visit)
                row = {"visit": visit, "number": number, "at": _now(), "body": body}
                connection.execute(insert(_EVENTS).values(row))
        except IntegrityError:
            raise Overtaken(f"event {number} of visit {visit} is another one already") from None
        return number

    def events(self, visit: int) -> tuple[StoredEvent, ...]:
        """All events of a visit in order.

        Raises
        ------
        UnknownVisit
            If there is no such visit.
        """
        with self._engine.connect() as connection:
            self._visit(connection, visit)
            rows = connection.execute(
                select(_EVENTS.c.number, _EVENTS.c.at, _EVENTS.c.body)
                .where(_EVENTS.c.visit == visit)
                .order_by(_EVENTS.c.number)
            )
            return tuple(StoredEvent(*row) for row in rows)

    def visits(self, most: int = 50) -> tuple[StoredVisit, ...]:
        """The visits touched last, latest first."""
        last = func.coalesce(func.max(_EVENTS.c.at), _VISITS.c.begun)
        query = (
            select(_VISITS.c.id, _VISITS.c.title, _VISITS.c.begun, last, _VISITS.c.knowledge)
            .outerjoin(_EVENTS, _EVENTS.c.visit == _VISITS.c.id)
            .group_by(_VISITS.c.id)
            .order_by(last.desc(), _VISITS.c.id.desc())
            .limit(most)
        )
        with self._engine.connect() as connection:
            return tuple(StoredVisit(*row) for row in connection.execute(query))

    def kit(self) -> dict[str, tuple[str, str]]:
        """Instruments of stated accuracy: share of the reading and least figure, as typed."""
        with self._engine.connect() as connection:
            rows = connection.execute(select(_KIT).order_by(_KIT.c.instrument))
            return {name: (of_reading, at_least) for name, of_reading, at_least in rows}

    def put_in_kit(self, instrument: str, of_reading: str, at_least: str) -> None:
        """Keep the accuracy of an instrument in place of what was kept before."""
        row = {"instrument": instrument, "of_reading": of_reading, "at_least": at_least}
        with self._engine.begin() as connection:
            connection.execute(delete(_KIT).where(_KIT.c.instrument == instrument))
            connection.execute(insert(_KIT).values(row))

    def take_from_kit(self, instrument: str) -> None:
        """Keep nothing of an instrument any more."""
        with self._engine.begin() as connection:
            connection.execute(delete(_KIT).where(_KIT.c.instrument == instrument))

    def close(self) -> None:
        """Let go of the database file."""
        self._engine.dispose()

    @staticmethod
    def _visit(connection, visit):
        if connection.scalar(select(_VISITS.c.id).where(_VISITS.c.id == visit)) is None:
            raise UnknownVisit(f"there is no visit number {visit}")


def _durable(connection, _record):
    """Make SQLite wait for a busy file and survive a crash of the process or the power."""
    cursor = connection.cursor()
    cursor.execute("PRAGMA journal_mode=WAL")
    cursor.execute("PRAGMA synchronous=FULL")
    cursor.execute("PRAGMA busy_timeout=5000")
    cursor.execute("PRAGMA foreign_keys=ON")
    cursor.close()


def _now() -> datetime:
    return datetime.now(UTC).replace(tzinfo=None)
