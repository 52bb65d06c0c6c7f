"""Visits found by words, wherever these were written."""

import json

from sqlalchemy import Text, cast, or_, select

from engine.records.store import Store, StoredVisit, listed_visits
from engine.records.tables import BOILERS, CUSTOMERS, EVENTS, VISITS, WHERE


def like(column, word: str):
    """Whether a column holds a word, its letters taken as they are."""
    return column.ilike(
        f"%{word.replace('!', '!!').replace('%', '!%').replace('_', '!_')}%", escape="!"
    )


def find_visits(store: Store, words: str, most: int = 50) -> tuple[StoredVisit, ...]:
    """Visits with each of the words in title or entries, or on the card of boiler or customer;
    a bare number finds the visit of that number too. Latest first.

    Examples
    --------
    >>> store = Store("sqlite://")
    >>> visit = store.begin("Mill Lane 4", "abc")
    >>> _ = store.append(visit, {"kind": "noted", "text": "the dog is friendly"})
    >>> [found.id for found in find_visits(store, "mill friendly")]
    [1]
    """
    query = (
        listed_visits()
        .outerjoin(BOILERS, BOILERS.c.id == WHERE.c.boiler)
        .outerjoin(CUSTOMERS, or_(CUSTOMERS.c.id == WHERE.c.customer,
                                  CUSTOMERS.c.id == BOILERS.c.customer))
        .distinct()
    )  # fmt: skip
    for word in words.split():
        entries = cast(EVENTS.c.body, Text)
        as_kept = json.dumps(word)[1:-1]  # JSON columns hold "ä" as "\\u00e4"
        in_events = select(EVENTS.c.visit).where(or_(like(entries, word), like(entries, as_kept)))
        places = [
            VISITS.c.title, BOILERS.c.name, BOILERS.c.place, CUSTOMERS.c.name,
            CUSTOMERS.c.address, CUSTOMERS.c.phone, CUSTOMERS.c.mail,
        ]  # fmt: skip
        found = [like(place, word) for place in places] + [VISITS.c.id.in_(in_events)]
        if word.isascii() and word.isdigit() and len(word) < 10:
            found.append(VISITS.c.id == int(word))
        query = query.where(or_(*found))
    with store.database.connect() as connection:
        return tuple(StoredVisit(*row) for row in connection.execute(query.limit(most)))
