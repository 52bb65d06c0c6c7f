"""How long visits are kept: those that ended long ago, and what goes with them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from engine.knowledge import Knowledge
from engine.records import Store, StoredVisit
from engine.records.erasing import Going, erase_with, going_with
from engine.visit.overview import OPEN, UNREADABLE, past

DAYS_OF_A_YEAR = 365.2425
"""Mean of the Gregorian calendar: 97 leap years in 400."""


@dataclass(frozen=True)
class Outdated:
    """What is older than so many years.

    Attributes
    ----------
    going : Going
        Visits that ended, with their photos, boilers and customers.
    staying : int
        Visits as old that stay: still open, or kept by another version of the program.
    """

    years: int
    going: Going
    staying: int

    def counted(self) -> str:
        """What goes, in words: "1 visit, 2 photos, no boiler, no person"."""
        going = self.going
        return ", ".join(
            (
                _count(len(going.visits), "visit", "visits"),
                _count(going.photos, "photo", "photos"),
                _count(len(going.boilers), "boiler", "boilers"),
                _count(len(going.customers), "person", "people"),
            )
        )

    def left(self) -> str:
        """What is as old and stays, in words; empty for nothing."""
        if not self.staying:
            return ""
        return (
            f"{_count(self.staying, 'older visit', 'older visits')} not ended, or kept by another "
            "version of the program: not erased."
        )


def outdated(store: Store, known: Knowledge, years: int, today: datetime) -> Outdated:
    """What `erase_outdated` would take away.

    Parameters
    ----------
    years : int
        Years [-] since a visit's last entry, from 1 on.
    today : datetime
        UTC.
    """
    old = _old(store.visits(None), years, today)
    ended = _ended(store, known, old)
    return Outdated(years, going_with(store, ended), len(old) - len(ended))


def erase_outdated(store: Store, known: Knowledge, years: int, today: datetime) -> Outdated:
    """Take away for good all visits that ended and whose last entry is more than `years` years
    before `today` (UTC), boilers without any other visit, and customers of whom nothing else is
    kept; what was taken."""
    found = outdated(store, known, years, today)
    return Outdated(years, erase_with(store, found.going.visits), found.staying)


def lines(store: Store, found: Outdated) -> list[str]:
    """What would go, one line each, and how to erase it."""
    going = found.going
    visits = [store.visit(number) for number in going.visits]
    return [
        f"Older than {_count(found.years, 'year', 'years')}, would go: {found.counted()}.",
        *(f"  Visit {v.id}, {v.last:%Y-%m-%d}: {v.title or 'no title'}" for v in visits),
        *(f"  Boiler {card.id}: {card.name or 'no name'}" for card in going.boilers),
        *(f"  Person {card.id}: {card.name or 'no name'}" for card in going.customers),
        *(["Nothing is erased yet: add --yes to erase it for good."] if visits else []),
    ]


def older_visits(
    store: Store, known: Knowledge, boiler: int, years: int, today: datetime
) -> tuple[int, ...]:
    """Visits to one boiler that ended and whose last entry is as old."""
    return _ended(store, known, _old(store.visits_to(boiler=boiler), years, today))


def _old(visits: Iterable[StoredVisit], years, today) -> list[StoredVisit]:
    return [visit for visit in visits if (today - visit.last).days > years * DAYS_OF_A_YEAR]


def _ended(store, known, visits) -> tuple[int, ...]:
    return tuple(
        visit.id for visit in visits if past(store, known, visit).stands not in (OPEN, UNREADABLE)
    )


def _count(number: int, one: str, many: str) -> str:
    return f"{number or 'no'} {one if number < 2 else many}"
