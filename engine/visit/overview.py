"""Stored visits at a glance: the complaint, and whether they are open or how they ended."""

from dataclasses import dataclass
from datetime import datetime

from engine.knowledge import Knowledge
from engine.records import Store
from engine.visit import events as happened
from engine.visit.keeping import listed
from engine.visit.state import live

OPEN = "Open"


@dataclass(frozen=True)
class Past:
    """A visit in the list; times are UTC."""

    id: int
    title: str
    begun: datetime
    last: datetime
    complaints: tuple[str, ...]
    stands: str


def overview(store: Store, known: Knowledge) -> tuple[Past, ...]:
    """The visits touched last, latest first."""
    return tuple(_past(store, known, visit) for visit in listed(store))


def _past(store, known, visit) -> Past:
    stored = ((e.number, happened.EVENT.validate_python(e.body)) for e in store.events(visit.id))
    complaints, stands = [], OPEN
    for _, event in live(stored):
        if isinstance(event, happened.SymptomReported):
            entry = known.symptoms.get(event.symptom)
            complaints.append(entry.name if entry else event.symptom)
        elif isinstance(event, happened.Closed):
            stands = happened.ENDS[event.end]
    return Past(visit.id, visit.title, visit.begun, visit.last, tuple(complaints), stands)
