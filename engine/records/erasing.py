"""The one place where something stored is taken away for good: a person's data, or a visit."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, Table, delete, func, or_, select

from engine.records.cards import Boiler, Customer, boiler, boilers_of, customer
from engine.records.store import Store
from engine.records.tables import BOILERS, CUSTOMERS, EVENTS, PHOTOS, VISITS, WHERE


@dataclass(frozen=True)
class Held:
    """Everything that is kept of one customer."""

    customer: Customer
    boilers: tuple[Boiler, ...]
    visits: tuple[int, ...]
    photos: int


@dataclass(frozen=True)
class Going:
    """What goes with some visits: their photos, boilers that no other visit is kept of, and
    customers of whom nothing else is kept."""

    visits: tuple[int, ...]
    photos: int
    boilers: tuple[Boiler, ...]
    customers: tuple[Customer, ...]


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


def going_with(store: Store, visits: Iterable[int]) -> Going:
    """What would be taken away by `erase_with`.

    A boiler that never had a visit stays, and so does a customer who never had one: nobody knows
    how old those cards are.
    """
    with store.database.connect() as connection:
        places = connection.execute(select(WHERE.c.visit, WHERE.c.boiler, WHERE.c.customer)).all()
        owners = dict(connection.execute(select(BOILERS.c.id, BOILERS.c.customer)).all())
        known = sorted({*visits} & {*connection.scalars(select(VISITS.c.id))})
        photos = sum(
            connection.scalar(
                select(func.count()).select_from(PHOTOS).where(PHOTOS.c.visit.in_(part))
            )
            for part in _parts(known)
        )
    gone = {*known}
    with_them = [place for place in places if place.visit in gone]
    staying = [place for place in places if place.visit not in gone]
    boilers = {p.boiler for p in with_them} - {p.boiler for p in staying} - {None}
    customers = {p.customer for p in with_them} | {owners[number] for number in boilers}
    customers -= {p.customer for p in staying} | {None}
    customers -= {owner for number, owner in owners.items() if number not in boilers}
    return Going(
        tuple(known), photos,
        tuple(boiler(store, number) for number in sorted(boilers)),
        tuple(customer(store, number) for number in sorted(customers)),
    )  # fmt: skip


def erase_with(store: Store, visits: Iterable[int]) -> Going:
    """Take away visits with all that goes with them; what was taken.

    Examples
    --------
    >>> from engine.records.cards import add_boiler, find_boilers
    >>> store = Store("sqlite://")
    >>> visit, loft = store.begin("noise", "v"), add_boiler(store, "Loft")
    >>> store.place(visit, boiler=loft)
    >>> [gone.name for gone in erase_with(store, [visit]).boilers], find_boilers(store)
    (['Loft'], ())
    """
    going = going_with(store, visits)
    with store.database.begin() as connection:
        _erase_visits(connection, going.visits)
        for table, cards in ((BOILERS, going.boilers), (CUSTOMERS, going.customers)):
            for part in _parts([card.id for card in cards]):
                connection.execute(delete(table).where(table.c.id.in_(part)))
    _forget(store)
    return going


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
    for part in _parts(visits):
        for table, column in tables:
            connection.execute(delete(table).where(table.c[column].in_(part)))


def _parts(numbers: Sequence[int]) -> Iterator[Sequence[int]]:
    """So many at once as every database takes in one statement."""
    yield from (numbers[start : start + 500] for start in range(0, len(numbers), 500))


def _forget(store: Store) -> None:
    """Let no copy of what was erased stay behind in SQLite's write-ahead log."""
    if store.database.dialect.name == "sqlite":
        with store.database.connect() as connection:
            connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
