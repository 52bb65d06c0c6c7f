"""Customers and boilers, a card for each."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Table, insert, or_, select, update

from engine.errors import SightportError
from engine.records.finding import like
from engine.records.store import Store, now
from engine.records.tables import BOILERS, CUSTOMERS


@dataclass(frozen=True)
class Customer:
    """Somebody who calls, or for whom a boiler is looked after."""

    id: int
    name: str
    address: str
    phone: str
    mail: str
    note: str
    added: datetime


@dataclass(frozen=True)
class Boiler:
    """One boiler: whose, what it is called, where it hangs, and its sheet, facts as typed."""

    id: int
    customer: int | None
    name: str
    place: str
    sheet: dict[str, str]
    added: datetime


def add_customer(
    store: Store, name: str, address: str = "", phone: str = "", mail: str = "", note: str = ""
) -> int:
    """A new customer; its id.

    Examples
    --------
    >>> store = Store("sqlite://")
    >>> ann = add_customer(store, "Ann Example", phone="555 0100")
    >>> customer(store, ann).phone
    '555 0100'
    >>> [c.name for c in find_customers(store, "0100")]
    ['Ann Example']
    """
    row = {"name": name, "address": address, "phone": phone, "mail": mail, "note": note}
    return _add(store, CUSTOMERS, row)


def change_customer(store: Store, customer: int, **fields: str) -> None:
    """Put other words on a customer's card."""
    _change(store, CUSTOMERS, customer, fields)


def customer(store: Store, number: int) -> Customer:
    """One customer.

    Raises
    ------
    SightportError
        If there is none of this number.
    """
    return Customer(*_one(store, CUSTOMERS, number, "customer"))


def find_customers(store: Store, words: str = "", most: int = 50) -> tuple[Customer, ...]:
    """Customers with these words in name, address, phone or mail, the latest added first."""
    columns = (CUSTOMERS.c.name, CUSTOMERS.c.address, CUSTOMERS.c.phone, CUSTOMERS.c.mail)
    return tuple(Customer(*row) for row in _search(store, CUSTOMERS, columns, words, most))


def add_boiler(
    store: Store,
    name: str,
    place: str = "",
    sheet: dict[str, str] | None = None,
    customer: int | None = None,
) -> int:
    """A new boiler; its id."""
    row = {"name": name, "place": place, "sheet": sheet or {}, "customer": customer}
    return _add(store, BOILERS, row)


def change_boiler(store: Store, boiler: int, **fields) -> None:
    """Put another name, place, sheet or customer on a boiler's card."""
    _change(store, BOILERS, boiler, fields)


def boiler(store: Store, number: int) -> Boiler:
    """One boiler.

    Raises
    ------
    SightportError
        If there is none of this number.
    """
    return Boiler(*_one(store, BOILERS, number, "boiler"))


def find_boilers(store: Store, words: str = "", most: int = 50) -> tuple[Boiler, ...]:
    """Boilers with these words in their name or place, or on their customer's card."""
    columns = (
        BOILERS.c.name, BOILERS.c.place, CUSTOMERS.c.name, CUSTOMERS.c.address, CUSTOMERS.c.phone,
    )  # fmt: skip
    return tuple(Boiler(*row) for row in _search(store, BOILERS, columns, words, most))


def boilers_of(store: Store, customer: int) -> tuple[Boiler, ...]:
    """All boilers of one customer."""
    query = select(BOILERS).where(BOILERS.c.customer == customer).order_by(BOILERS.c.id)
    with store.database.connect() as connection:
        return tuple(Boiler(*row) for row in connection.execute(query))


def _add(store, table: Table, row) -> int:
    with store.database.begin() as connection:
        result = connection.execute(insert(table).values(**_cut(table, row), added=now()))
        return result.inserted_primary_key[0]


def _change(store, table: Table, number, fields) -> None:
    with store.database.begin() as connection:
        connection.execute(update(table).where(table.c.id == number).values(**_cut(table, fields)))


def _cut(table, row) -> dict:
    """Texts no longer than their columns: a database that is strict refuses them otherwise."""
    return {
        name: value.strip()[: getattr(table.c[name].type, "length", None)]
        if isinstance(value, str)
        else value
        for name, value in row.items()
    }


def _one(store, table: Table, number, what):
    with store.database.connect() as connection:
        row = connection.execute(select(table).where(table.c.id == number)).first()
    if row is None:
        raise SightportError(f"there is no {what} number {number}")
    return row


def _search(store, table: Table, columns, words, most):
    query = select(table).order_by(table.c.id.desc()).limit(most)
    if table is BOILERS:
        query = query.outerjoin(CUSTOMERS, CUSTOMERS.c.id == BOILERS.c.customer)
    for word in words.split():
        query = query.where(or_(*(like(column, word) for column in columns)))
    with store.database.connect() as connection:
        return connection.execute(query).all()
