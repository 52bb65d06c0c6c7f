"""What a visit may take: every event is judged against the visit as it stands."""

from engine import safety
from engine.belief.readings import band, read_values
from engine.errors import NotAllowed, OutOfRange, UnreadableValue, nearest
from engine.knowledge import Knowledge
from engine.knowledge.facts import fact_from_text
from engine.knowledge.instruments import own_accuracy
from engine.visit import events as happened
from engine.visit.dangers import may_go_on, name_of, sign_of
from engine.visit.ends import check_end
from engine.visit.findings import holding, interpret
from engine.visit.service import choosable
from engine.visit.state import Numbered, State, fold


def check_event(known: Knowledge, history: tuple[Numbered, ...], event: happened.Event) -> None:
    """Refuse an event that the visit cannot take; raises as `engine.visit.keeping.record` does."""
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
    """Refuse an event for what it says, whether or not the visit goes on; raises likewise."""
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
    _check_offered(known, state, "checks", event.check)
    _check_answer(known, state, event.check, event)


def _check_offered(known, state, kind, name) -> None:
    """Refuse a step that is not for this person, or not of this boiler."""
    step = getattr(known, kind)[name]
    if not safety.allowed(known, state.who, kind, name):
        raise NotAllowed(
            f"'{step.name}' is not for this person: it takes a licence or tools; "
            "leave it to somebody who has them"
        )
    if not safety.possible(known, state.facts, kind, name):
        raise NotAllowed(
            f"'{step.name}' does not exist on this boiler, by its facts; "
            "correct the fact if it does"
        )


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
    _check_offered(known, state, "actions", event.action)
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
