"""Stored visits at a glance: the complaint, and whether they are open or how they ended."""

from dataclasses import dataclass
from datetime import datetime

from pydantic import ValidationError

from engine.knowledge import Knowledge
from engine.records import Store, StoredVisit
from engine.records.finding import find_visits
from engine.visit import events as happened
from engine.visit.keeping import listed
from engine.visit.state import live

OPEN = "Open"
SERVICE = "Yearly service"
UNREADABLE = "Kept by another version of the program"


@dataclass(frozen=True)
class Past:
    """A visit in the list; times are UTC."""

    id: int
    title: str
    begun: datetime
    last: datetime
    complaints: tuple[str, ...]
    stands: str
    boiler: int | None = None


def overview(store: Store, known: Knowledge, words: str = "") -> tuple[Past, ...]:
    """The visits touched last, latest first; only those that hold all of the words."""
    visits = find_visits(store, words) if words.strip() else listed(store)
    return tuple(past(store, known, visit) for visit in visits)


def past(store: Store, known: Knowledge, visit: StoredVisit) -> Past:
    """One visit at a glance, whatever version of the program kept it."""
    complaints, stands = [], OPEN
    try:
        history = [
            (e.number, happened.EVENT.validate_python(e.body)) for e in store.events(visit.id)
        ]
    except ValidationError:  # one such visit must not hide the others
        history, stands = [], UNREADABLE
    for _, event in live(history):
        if isinstance(event, happened.ServicePlanned):
            complaints = [SERVICE, *(name for name in complaints if name != SERVICE)]
        elif isinstance(event, happened.SymptomReported):
            entry = known.symptoms.get(event.symptom)
            complaints.append(entry.name if entry else event.symptom)
        elif isinstance(event, happened.Closed):
            stands = happened.ENDS[event.end]
    return Past(
        visit.id, visit.title, visit.begun, visit.last, tuple(complaints), stands, visit.boiler
    )
