"""The one place where something stored is taken away for good: a person's data, or a visit."""

from dataclasses import dataclass

from sqlalchemy import Connection, Table, delete, func, or_, select

from engine.records.cards import Boiler, Customer, boilers_of, customer
from engine.records.store import Store
from engine.records.tables import BOILERS, CUSTOMERS, EVENTS, PHOTOS, VISITS, WHERE


@dataclass(frozen=True)
class Held:
    """Everything that is kept of one customer."""

    customer: Customer
    boilers: tuple[Boiler, ...]
    visits: tuple[int, ...]
    photos: int


def held_of(store: Store, number: int) -> Held:
    """What is kept of a customer.

    Raises
    ------
    SightportError
        If there is none of this number.
    """
    card, boilers = customer(store, number), boilers_of(store, number)
    with store.database.connect() as connection:
        visits = _visits_of(connection, number)
        photos = connection.scalar(
            select(func.count()).select_from(PHOTOS).where(PHOTOS.c.visit.in_(visits))
        )
    return Held(card, boilers, visits, photos)


def erase_customer(store: Store, number: int) -> Held:
    """Take away a customer with all boilers, visits and photos; what was taken.

    Examples
    --------
    >>> from engine.records.cards import add_customer, find_customers
    >>> store = Store("sqlite://")
    >>> ann = add_customer(store, "Ann Example")
    >>> erase_customer(store, ann).customer.name, find_customers(store)
    ('Ann Example', ())
    """
    held = held_of(store, number)
    with store.database.begin() as connection:
        _erase_visits(connection, _visits_of(connection, number))
        connection.execute(delete(BOILERS).where(BOILERS.c.customer == number))
        connection.execute(delete(CUSTOMERS).where(CUSTOMERS.c.id == number))
    _forget(store)
    return held


def erase_visits(store: Store, visits: tuple[int, ...]) -> None:
    """Take away visits with their entries and photos; boilers and customers stay."""
    with store.database.begin() as connection:
        _erase_visits(connection, visits)
    _forget(store)


def _visits_of(connection: Connection, number: int) -> tuple[int, ...]:
    """Visits for a customer, or to one of the customer's boilers."""
    boilers = select(BOILERS.c.id).where(BOILERS.c.customer == number)
    query = (
        select(WHERE.c.visit)
        .where(or_(WHERE.c.customer == number, WHERE.c.boiler.in_(boilers)))
        .order_by(WHERE.c.visit)
    )
    return tuple(connection.scalars(query))


def _erase_visits(connection: Connection, visits) -> None:
    tables: tuple[tuple[Table, str], ...] = (
        (PHOTOS, "visit"), (EVENTS, "visit"), (WHERE, "visit"), (VISITS, "id"),
    )  # fmt: skip
    for table, column in tables:
        connection.execute(delete(table).where(table.c[column].in_(visits)))


def _forget(store: Store) -> None:
    """Let no copy of what was erased stay behind in SQLite's write-ahead log."""
    if store.database.dialect.name == "sqlite":
        with store.database.connect() as connection:
            connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
