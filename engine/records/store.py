"""The event log of visits in a database; the kit and the settings beside it."""

from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import Select, delete, func, insert, select
from sqlalchemy.exc import IntegrityError

from engine.errors import Overtaken, UnknownVisit
from engine.records.database import open_database
from engine.records.tables import EVENTS, KIT, SETTINGS, VISITS, WHERE

WRITERS = 20
"""So often an event is numbered anew where another writer was quicker. Judgement."""


@dataclass(frozen=True)
class StoredVisit:
    """A visit as listed: `last` is the time of its latest event (UTC); to which boiler and for
    which customer, where that is known."""

    id: int
    title: str
    begun: datetime
    last: datetime
    knowledge: str
    boiler: int | None = None
    customer: int | None = None


@dataclass(frozen=True)
class StoredEvent:
    """One event: its number within the visit, when it was entered (UTC), and its body."""

    number: int
    at: datetime
    body: dict


class Store:
    """Visits in one database, whose events are only added to; kit and settings of its user.

    Parameters
    ----------
    url : str
        A SQLAlchemy database URL.

    Attributes
    ----------
    database : sqlalchemy.Engine
        For the other parts of the records.

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
        self.database = open_database(url)

    def begin(self, title: str, knowledge: str, begun: datetime | None = None) -> int:
        """A new, empty visit; its id. `begun` (UTC) is now unless it is brought from elsewhere."""
        with self.database.begin() as connection:
            result = connection.execute(
                insert(VISITS).values(title=title[:200], begun=begun or now(), knowledge=knowledge)
            )
            return result.inserted_primary_key[0]

    def append(
        self, visit: int, body: dict, after: int | None = None, at: datetime | None = None
    ) -> int:
        """Add an event; its number within the visit, from 1 on.

        With `after` it is added only where that is the number of the last event. `at` (UTC) is
        now unless the event is brought from elsewhere.

        Raises
        ------
        UnknownVisit
            If there is no such visit.
        Overtaken
            If another event came after `after`; nothing is added then.
        """
        for attempt in range(WRITERS):
            try:
                return self._appended(visit, body, after, at)
            except IntegrityError:  # the key of the table lets no second one in
                if after is not None:
                    raise Overtaken(f"event {after + 1} of visit {visit} is another one") from None
                if attempt == WRITERS - 1:
                    raise

    def _appended(self, visit, body, after, at) -> int:
        following = (
            select(func.coalesce(func.max(EVENTS.c.number), 0) + 1)
            .where(EVENTS.c.visit == visit)
            .scalar_subquery()
        )
        with self.database.begin() as connection:
            self._visit(connection, visit)
            return connection.scalar(
                insert(EVENTS)
                .values(
                    visit=visit, number=following if after is None else after + 1,
                    at=at or now(), body=body,
                )
                .returning(EVENTS.c.number)
            )  # fmt: skip

    def events(self, visit: int) -> tuple[StoredEvent, ...]:
        """All events of a visit in order.

        Raises
        ------
        UnknownVisit
            If there is no such visit.
        """
        with self.database.connect() as connection:
            self._visit(connection, visit)
            rows = connection.execute(
                select(EVENTS.c.number, EVENTS.c.at, EVENTS.c.body)
                .where(EVENTS.c.visit == visit)
                .order_by(EVENTS.c.number)
            )
            return tuple(StoredEvent(*row) for row in rows)

    def visits(self, most: int | None = 50) -> tuple[StoredVisit, ...]:
        """The visits touched last, latest first; all of them for None."""
        return self._listed(listed_visits().limit(most))

    def visits_to(
        self, boiler: int | None = None, customer: int | None = None
    ) -> tuple[StoredVisit, ...]:
        """All visits to one boiler, or for one customer, latest first."""
        column, value = (WHERE.c.boiler, boiler) if boiler is not None else (
            WHERE.c.customer, customer
        )  # fmt: skip
        return self._listed(listed_visits().where(column == value))

    def visits_begun_with(self, field: str, value: str) -> tuple[StoredVisit, ...]:
        """All visits whose first event has this text in a field, latest first."""
        first = select(EVENTS.c.visit).where(
            EVENTS.c.number == 1, EVENTS.c.body[field].as_string() == value
        )
        return self._listed(listed_visits().where(VISITS.c.id.in_(first)))

    def visit(self, visit: int) -> StoredVisit:
        """One visit as listed.

        Raises
        ------
        UnknownVisit
            If there is no such visit.
        """
        found = self._listed(listed_visits().where(VISITS.c.id == visit))
        if not found:
            raise UnknownVisit(f"there is no visit number {visit}")
        return found[0]

    def place(self, visit: int, boiler: int | None = None, customer: int | None = None) -> None:
        """Say to which boiler and for which customer a visit is, in place of what was said."""
        with self.database.begin() as connection:
            self._visit(connection, visit)
            connection.execute(delete(WHERE).where(WHERE.c.visit == visit))
            connection.execute(insert(WHERE).values(visit=visit, boiler=boiler, customer=customer))

    def kit(self) -> dict[str, tuple[str, str]]:
        """Instruments of stated accuracy: share of the reading and least figure, as typed."""
        with self.database.connect() as connection:
            rows = connection.execute(select(KIT).order_by(KIT.c.instrument))
            return {name: (of_reading, at_least) for name, of_reading, at_least in rows}

    def put_in_kit(self, instrument: str, of_reading: str, at_least: str) -> None:
        """Keep the accuracy of an instrument in place of what was kept before."""
        row = {"instrument": instrument, "of_reading": of_reading, "at_least": at_least}
        with self.database.begin() as connection:
            connection.execute(delete(KIT).where(KIT.c.instrument == instrument))
            connection.execute(insert(KIT).values(row))

    def take_from_kit(self, instrument: str) -> None:
        """Keep nothing of an instrument any more."""
        with self.database.begin() as connection:
            connection.execute(delete(KIT).where(KIT.c.instrument == instrument))

    def settings(self) -> dict[str, object]:
        """What is kept of settings, by name."""
        with self.database.connect() as connection:
            return dict(connection.execute(select(SETTINGS.c.name, SETTINGS.c.value)).all())

    def keep_settings(self, settings: dict[str, object]) -> None:
        """Keep these settings in place of what was kept under their names."""
        with self.database.begin() as connection:
            connection.execute(delete(SETTINGS).where(SETTINGS.c.name.in_(settings)))
            for name, value in settings.items():
                connection.execute(insert(SETTINGS).values(name=name, value=value))

    def close(self) -> None:
        """Let go of the database."""
        self.database.dispose()

    def _listed(self, query: Select) -> tuple[StoredVisit, ...]:
        with self.database.connect() as connection:
            return tuple(StoredVisit(*row) for row in connection.execute(query))

    @staticmethod
    def _visit(connection, visit):
        if connection.scalar(select(VISITS.c.id).where(VISITS.c.id == visit)) is None:
            raise UnknownVisit(f"there is no visit number {visit}")


def listed_visits() -> Select:
    """A query for visits with the time of their latest event, that latest first."""
    last = (
        select(EVENTS.c.visit, func.max(EVENTS.c.at).label("at"))
        .group_by(EVENTS.c.visit)
        .subquery()
    )
    touched = func.coalesce(last.c.at, VISITS.c.begun)
    return (
        select(
            VISITS.c.id, VISITS.c.title, VISITS.c.begun, touched, VISITS.c.knowledge,
            WHERE.c.boiler, WHERE.c.customer,
        )
        .outerjoin(last, last.c.visit == VISITS.c.id)
        .outerjoin(WHERE, WHERE.c.visit == VISITS.c.id)
        .order_by(touched.desc(), VISITS.c.id.desc())
    )  # fmt: skip


def now() -> datetime:
    """The time in UTC, as it is stored."""
    return datetime.now(UTC).replace(tzinfo=None)
