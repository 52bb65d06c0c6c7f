"""The use cases of a visit: every event is checked, stored, and only then folded.

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

from engine import safety
from engine.belief.readings import band, read_values
from engine.errors import NotAllowed, OutOfRange, Overtaken, UnreadableValue, nearest
from engine.knowledge import Knowledge, load
from engine.knowledge.facts import fact_from_text
from engine.knowledge.instruments import own_accuracy
from engine.physics import CALCULATIONS
from engine.records import Store, StoredVisit
from engine.units.typed_values import with_unit
from engine.visit import events as happened
from engine.visit import kit
from engine.visit.dangers import may_go_on, name_of, sign_of
from engine.visit.ends import check_end
from engine.visit.findings import holding, interpret
from engine.visit.service import choosable
from engine.visit.state import Numbered, State, fold, live
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


def check_event(known: Knowledge, history: tuple[Numbered, ...], event: happened.Event) -> None:
    """Refuse an event that the visit cannot take; see `record`."""
    if isinstance(event, happened.TakenBack):
        _check_taken_back(history, event)
        return
    state = fold(known, history)
    if state.end:
        raise NotAllowed("the visit is closed; take the closing back to go on")
    if state.danger and not isinstance(
        event, happened.Noted | happened.HandedOver | happened.Closed | happened.MadeSafe
    ):
        raise NotAllowed(
            f"a danger sign stands ({state.danger[0]}): no further step. "
            "Take it back only if it was entered by mistake."
        )
    if isinstance(event, happened.MadeSafe):
        _check_made_safe(known, history, state, event)
    if isinstance(event, happened.Opened) and history:
        raise NotAllowed("the visit is open already; hand it over if somebody else goes on")
    check_content(known, state, event)


def check_content(known: Knowledge, state: State, event: happened.Event) -> None:
    """Refuse an event for what it says, whether or not the visit goes on; see `record`."""
    match event:
        case happened.FactStated() if event.value.strip():
            fact_from_text(known, event.fact, event.value)
        case happened.FactStated():
            _known(known.facts, event.fact, "fact")
        case happened.InstrumentStated():
            own_accuracy(known, event.instrument, event.of_reading, event.at_least)
        case happened.SymptomReported():
            _known(known.symptoms, event.symptom, "complaint")
        case happened.ServicePlanned():
            _check_service(known, state, event)
        case happened.Postponed():
            _known({**known.checks, **known.actions, **known.closing}, event.step, "step")
        case happened.ContextStated():
            _known(known.contexts, event.context, "circumstance")
        case happened.Suspected():
            _known(known.causes, event.cause, "cause")
        case happened.Found():
            _check_found(known, state, event)
        case happened.Skipped():
            _known({**known.checks, **known.actions}, event.step, "check or action")
        case happened.ActionDone():
            _check_action(known, state, event)
        case happened.Proved():
            _check_proof(known, state, event)
        case happened.Closed():
            check_end(known, state, event)


def _known(entries, name, what) -> None:
    if name not in entries:
        close = nearest(name, entries)
        raise UnreadableValue(
            f"there is no {what} {name!r}" + (f"; write {close!r}" if close else "")
        )


def _check_service(known, state, event) -> None:
    if state.who == "caller":
        raise NotAllowed("a service is a technician's work; hand over, or enter a complaint")
    able = choosable(known, state.who)
    for name in event.openings:
        _known(known.access, name, "access state")
        if not known.access[name].choosable:
            raise NotAllowed(f"'{known.access[name].name}' is no opening to choose; leave it out")
        if name not in able:
            raise NotAllowed(
                f"'{known.access[name].name}' is not for this person to open: it takes a licence; "
                "leave it out, or hand the visit over"
            )


def _check_taken_back(history, event) -> None:
    by_number = dict(history)
    target = by_number.get(event.event)
    if target is None:
        raise NotAllowed(f"there is no event {event.event} in this visit")
    if isinstance(target, happened.Opened):
        raise NotAllowed("the opening of a visit cannot be taken back")


def _check_made_safe(known, history, state, event) -> None:
    if not state.danger:
        raise NotAllowed("no danger sign stands, so there is nothing to make safe")
    if not may_go_on(state):
        raise NotAllowed(
            f"'{state.danger[0]}' ends the visit for this person; hand it over to somebody with "
            "a gas licence, or end it"
        )
    reported = {n: e.symptom for n, e in history if isinstance(e, happened.SymptomReported)}
    sign = sign_of(known, state, reported, event.event)
    if sign is None:
        raise NotAllowed(f"event {event.event} is no danger sign")
    if name_of(known, sign) != state.danger[0]:  # what was confirmed belongs to another sign
        raise NotAllowed(f"'{state.danger[0]}' stands first; make that safe before this one")
    if not event.words.strip():
        raise UnreadableValue("write down what you measured and did to make it safe")


def _check_found(known, state, event) -> None:
    _known(known.checks, event.check, "check")
    check = known.checks[event.check]
    if check.derived:
        raise NotAllowed(f"'{check.name}' is worked out from other readings, not entered")
    if not safety.allowed(known, state.who, "checks", event.check):
        raise NotAllowed(
            f"'{check.name}' is not for this person: it takes a licence or tools; "
            "leave it to somebody who has them"
        )
    if not safety.possible(known, state.facts, "checks", event.check):
        raise NotAllowed(
            f"'{check.name}' does not exist on this boiler, by its facts; "
            "correct the fact if it does"
        )
    _check_answer(known, state, event.check, event)


def _check_answer(known, state, name, event) -> None:
    check = known.checks[name]
    if event.outcome is not None:
        if event.outcome not in check.outcomes:
            close = nearest(event.outcome, check.outcomes)
            raise UnreadableValue(
                f"'{check.name}' has no outcome {event.outcome!r}; "
                + (f"write {close!r}" if close else f"choose from {', '.join(check.outcomes)}")
            )
        return
    values = read_values(known, state.facts, name, event.values, event.sure)
    band(known, state.facts, name, {name: values}, state.instruments)
    finding = interpret(known, state, happened.Found(check=name, values=event.values), None)
    if finding.problem:
        raise OutOfRange(finding.problem)


def _check_action(known, state, event) -> None:
    _known(known.actions, event.action, "action")
    action = known.actions[event.action]
    if not safety.allowed(known, state.who, "actions", event.action):
        raise NotAllowed(
            f"'{action.name}' is not for this person: it takes a licence or tools; "
            "leave it to somebody who has them"
        )
    if not safety.possible(known, state.facts, "actions", event.action):
        raise NotAllowed(
            f"'{action.name}' does not exist on this boiler, by its facts; "
            "correct the fact if it does"
        )
    if event.cause is not None:
        _known(known.causes, event.cause, "cause")
        if event.action not in known.causes[event.cause].mended_by:
            raise NotAllowed(f"'{action.name}' does not mend '{known.causes[event.cause].name}'")
    found = {name: finding.outcome for name, finding in holding(known, state).items()}
    for checks, what in zip(
        safety.unmet(known, state.facts, event.action, found),
        ("not made yet", "it came out against it"),
        strict=True,
    ):
        if checks:
            raise NotAllowed(
                f"'{action.name}' may not come before '{known.checks[checks[0]].name}' came out "
                f"right: {what}"
            )
    if safety.needs_justification(known, event.action):
        mends = (
            [event.cause]
            if event.cause
            else [name for name, cause in known.causes.items() if event.action in cause.mended_by]
        )
        if not any(safety.justified(known, event.action, c, state.latest()) for c in mends):
            raise NotAllowed(
                f"'{action.name}' opens the gas or combustion circuit or sets the mixture, and "
                "no finding points at it yet; make a check that does"
            )


def _check_proof(known, state, event) -> None:
    _known(known.closing, event.closing, "closing step")
    closing = known.closing[event.closing]
    if not safety.may_prove(known, state.who, event.closing):
        raise NotAllowed(
            f"'{closing.name}' is not for this person: it takes a licence; hand it over"
        )
    if closing.check is None:
        if not event.words.strip():
            raise UnreadableValue(f"'{closing.name}': write down what you saw, not only a tick")
        return
    _check_answer(known, state, closing.check, event)


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
    "check_content",
    "check_event",
    "knowledge",
    "listed",
    "only_if_seen",
    "read",
    "readable",
    "record",
    "undo",
    "what_changes",
]
