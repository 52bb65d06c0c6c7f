"""The use cases of a visit: every event is judged, stored, and only then folded.

Screens and the command line call these and nothing below them.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from pathlib import Path

from pydantic import ValidationError

from engine.errors import NotAllowed, Overtaken, UnreadableValue
from engine.knowledge import Knowledge, load
from engine.physics import CALCULATIONS
from engine.records import Store, StoredVisit
from engine.units.typed_values import with_unit
from engine.visit import events as happened
from engine.visit import kit
from engine.visit.state import Numbered, State, fold, live
from engine.visit.taking import check_event
from engine.visit.view import View, look

KNOWLEDGE_FOLDER = Path(__file__).parents[2] / "knowledge"


def knowledge_folder() -> Path:
    """Where the knowledge is read from: SIGHTPORT_KNOWLEDGE, or the shipped folder."""
    return Path(os.environ.get("SIGHTPORT_KNOWLEDGE") or KNOWLEDGE_FOLDER)


@lru_cache(maxsize=4)
def knowledge(folder: Path = KNOWLEDGE_FOLDER) -> Knowledge:
    """The shipped knowledge, or that of another folder; read once in a process.

    Raises
    ------
    Unusable
        With every problem found.
    """
    return load(folder, CALCULATIONS)


@dataclass(frozen=True)
class Visit:
    """A stored visit as it stands; `begun` and `last` are the times of its first and its latest
    event (UTC)."""

    id: int
    history: tuple[Numbered, ...]
    state: State
    view: View
    begun: datetime | None = None
    last: datetime | None = None


def begin(store: Store, known: Knowledge, who: str, title: str = "") -> int:
    """A new visit; its id. The kit is copied into it, so that it stays what it was."""
    events = [happened.Opened(who=who, title=title), *kit.as_events(store, known)]
    visit = store.begin(title, known.version)
    for event in events:
        store.append(visit, event.model_dump(mode="json"))
    return visit


def read(store: Store, known: Knowledge, visit: int, largest: int = 2) -> Visit:
    """A visit as it stands, worked out from its events.

    Raises
    ------
    UnknownVisit
        If there is no such visit.
    """
    events = store.events(visit)
    history, state = _folded(known, visit, events)
    times = (events[0].at, events[-1].at) if events else (None, None)
    return Visit(visit, history, state, look(known, state, largest), *times)


def folded(store: Store, known: Knowledge, visit: int) -> State:
    """Where a visit stands, without asking what to do next.

    Raises
    ------
    UnknownVisit, NotAllowed
        If there is no such visit, or it was kept with other knowledge.
    """
    return _stored(store, known, visit)[1]


def _stored(store, known, visit) -> tuple[tuple[Numbered, ...], State]:
    return _folded(known, visit, store.events(visit))


def _folded(known, visit, events) -> tuple[tuple[Numbered, ...], State]:
    with readable(visit):
        history = tuple((e.number, happened.EVENT.validate_python(e.body)) for e in events)
        return history, fold(known, history)


@contextmanager
def readable(visit: int) -> Iterator[None]:
    """Say that a visit was kept with other knowledge, where what it names cannot be found here."""
    try:
        yield
    except (KeyError, UnreadableValue, ValidationError):  # what it names was there when entered
        raise NotAllowed(
            f"visit {visit} was kept with other knowledge than this; "
            "open it with the knowledge folder it was begun with"
        ) from None


def listed(store: Store) -> tuple[StoredVisit, ...]:
    """Visits that can be gone on with or looked at, latest first."""
    return store.visits()


def record(
    store: Store, known: Knowledge, visit: int, event: happened.Event, seen: int | None = None
) -> int:
    """Check an event against the visit as it stands, and store it; its number.

    `seen` is the number of the last event that the person had seen; without it nobody else is
    expected to write.

    Raises
    ------
    Overtaken
        If another event came after `seen`; nothing is stored.
    NotAllowed
        If the event is not possible now, or not for this person.
    UnreadableValue, Implausible, OutOfRange
        If a value cannot be taken; nothing is stored.
    """
    history, _ = _stored(store, known, visit)
    if seen is not None and history and history[-1][0] != seen:
        raise _overtaken()
    check_event(known, history, event)
    try:
        return store.append(visit, _with_units(known, event).model_dump(mode="json"), seen)
    except Overtaken:
        raise _overtaken() from None


def _overtaken() -> Overtaken:
    return Overtaken(
        "not stored: meanwhile something was entered elsewhere. Look at it, then answer again"
    )


def _with_units(known, event):
    """The event with a unit beside every number, so that it outlives another choice of units."""
    match event:
        case happened.FactStated() if known.facts[event.fact].quantity:
            unit = known.facts[event.fact].unit
            return event.model_copy(update={"value": with_unit(event.value, unit)})
        case happened.Found() | happened.Proved() if event.values:
            check = event.check if event.kind == "found" else known.closing[event.closing].check
            fields = known.checks[check].reading.fields
            values = {n: with_unit(v, fields[n].unit) for n, v in event.values.items()}
            return event.model_copy(update={"values": values})
    return event


def only_if_seen(known: Knowledge, event: happened.Event) -> bool:
    """Whether an event waits until the person has seen what others entered before it.

    What replaces nothing does not wait, and a danger sign never does.
    """
    if isinstance(event, happened.Found) and event.outcome and event.check in known.checks:
        outcome = known.checks[event.check].outcomes.get(event.outcome)
        return outcome is None or outcome.danger is None
    return not isinstance(event, happened.ADDING)


def undo(store: Store, known: Knowledge, visit: int, seen: int | None = None) -> bool:
    """Take the latest event back that still counts; False for none. `seen` as in `record`."""
    history, _ = _stored(store, known, visit)
    counted = [n for n, event in live(history) if not isinstance(event, happened.Opened)]
    if not counted:
        return False
    record(store, known, visit, happened.TakenBack(event=counted[-1]), seen)
    return True


def what_changes(known: Knowledge, history: tuple[Numbered, ...], event: happened.Event) -> str:
    """What an event would change of the first suspect, as a sentence; empty for no change."""
    before = look(known, fold(known, history))
    number = max((n for n, _ in history), default=0) + 1
    after = look(known, fold(known, (*history, (number, event))))
    first, then = (view.suspects[0].name if view.suspects else None for view in (before, after))
    if first == then or then is None:
        return ""
    return f"This changes the first suspect from '{first}' to '{then}'." if first else ""


__all__ = [
    "Visit",
    "begin",
    "knowledge",
    "listed",
    "only_if_seen",
    "read",
    "readable",
    "record",
    "undo",
    "what_changes",
]
