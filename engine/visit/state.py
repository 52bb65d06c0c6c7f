"""The state of a visit: a fold over its events, always worked out from the beginning."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from engine.knowledge import Knowledge
from engine.knowledge.before import gives_verdict
from engine.knowledge.facts import circumstances, fact_from_text
from engine.knowledge.instruments import Stated, own_accuracy
from engine.knowledge.schema import Danger
from engine.visit import events as happened
from engine.visit.dangers import MadeSafe, sign_of, standing
from engine.visit.findings import Finding, interpret, with_derived
from engine.visit.opened import into_access, shut_by


@dataclass(frozen=True)
class Done:
    """A repair made."""

    action: str
    cause: str | None
    event: int


@dataclass(frozen=True)
class Proof:
    """A closing step as filled: whether it passed, and with what."""

    closing: str
    passed: bool
    words: str
    event: int


@dataclass(frozen=True)
class Raised:
    """A complaint that nobody made: a finding of the service brings it."""

    symptom: str
    check: str
    outcome: str


@dataclass(frozen=True)
class State:
    """Everything a visit amounts to so far; equal histories give equal states."""

    who: str = "caller"  # until somebody says who holds the tool: the least may do the least
    title: str = ""
    facts: Mapping[str, object] = field(default_factory=dict)  # choice, or SI value
    typed_facts: Mapping[str, str] = field(default_factory=dict)
    instruments: Mapping[str, Stated] = field(default_factory=dict)  # those of stated accuracy
    symptoms: tuple[str, ...] = ()
    contexts: tuple[str, ...] = ()
    suspected: tuple[str, ...] = ()
    service: tuple[str, ...] | None = None  # what is opened for it; None where there is none
    raised: tuple[Raised, ...] = ()  # their complaints stand among the symptoms
    findings: tuple[Finding, ...] = ()
    answers: tuple[Finding, ...] = ()  # each as it was given, also those that a later one replaced
    touches: tuple[int, ...] = ()  # events after which the boiler may burn otherwise
    postponed: tuple[str, ...] = ()
    skipped: Mapping[str, str] = field(default_factory=dict)
    unanswered: tuple[str, ...] = ()  # checks set aside since something was found or done
    done: tuple[Done, ...] = ()
    opened: tuple[str, ...] = ()  # access states that hold now
    ever_opened: tuple[str, ...] = ()
    proofs: tuple[Proof, ...] = ()
    proof_runs: tuple[tuple[int, bool], ...] = ()  # (epoch, passed) of five starts in a row
    notes: tuple[str, ...] = ()
    danger: tuple[str, Danger] | None = None  # the first that stands
    made_safe: tuple[MadeSafe, ...] = ()
    end: str | None = None
    end_words: str = ""

    @property
    def epoch(self) -> int:
        """Number of repairs made so far."""
        return len(self.done)

    def since_proof(self) -> tuple[Done, ...]:
        """Repairs made since the last five starts, whether those passed or not."""
        return self.done[max((epoch for epoch, _ in self.proof_runs), default=0) :]

    def current(self) -> dict[str, Finding]:
        """Findings on the boiler as it is now, by check."""
        return {f.check: f for f in self.findings if f.epoch == self.epoch}

    def found(self) -> tuple[tuple[str, str], ...]:
        """All (check, outcome) pairs, whenever found."""
        return tuple((f.check, f.outcome) for f in self.findings if f.outcome)

    def latest(self) -> tuple[tuple[str, str], ...]:
        """The last outcome of every check."""
        return tuple({f.check: f.outcome for f in self.findings if f.outcome}.items())


Numbered = tuple[int, "happened.Event"]


def live(history: Iterable[Numbered]) -> list[Numbered]:
    """The events that count: all but those taken back, and the taking back itself.

    Taking back a taking-back puts the event in place again.
    """
    history = list(history)
    counting = still_counting(history)
    return [
        (number, event)
        for number, event in history
        if number in counting and not isinstance(event, happened.TakenBack)
    ]


def still_counting(history: Iterable[Numbered]) -> set[int]:
    """Numbers of the events that nothing later has taken back, taking back among them."""
    history = list(history)
    counting = {number for number, _ in history}
    for number, event in reversed(history):
        if isinstance(event, happened.TakenBack) and number in counting:
            counting.discard(event.event)
    return counting


def fold(knowledge: Knowledge, history: Iterable[Numbered]) -> State:
    """The state after a history of numbered events.

    Events that name things which the knowledge does not hold are refused when they are entered
    (`engine.visit.keeping`); here they are taken as they are.
    """
    counted = live(history)
    state = State()
    for _, event in counted:
        if isinstance(event, happened.FactStated):
            state = _with_fact(knowledge, state, event)
        elif isinstance(event, happened.InstrumentStated):
            state = _with_instrument(knowledge, state, event)
    reported = {n: e.symptom for n, e in counted if isinstance(e, happened.SymptomReported)}
    for number, event in counted:
        if isinstance(event, happened.MadeSafe):
            state = _with_made_safe(knowledge, state, reported, number, event)
        else:
            state = _apply(knowledge, state, number, event)
    state = replace(
        state,
        findings=with_derived(knowledge, state),
        contexts=circumstances(knowledge, state.facts, state.contexts),
    )
    raised = raised_by(knowledge, state)
    symptoms = dict.fromkeys((*state.symptoms, *(each.symptom for each in raised)))
    state = replace(state, raised=raised, symptoms=tuple(symptoms))
    return replace(state, danger=standing(knowledge, state, reported))


def raised_by(knowledge: Knowledge, state: State) -> tuple[Raised, ...]:
    """The complaints that findings bring in a service, each once, beside those reported.

    An answer given again before anything was opened or done corrects the one before it; once the
    boiler was touched, what was found stays found.
    """
    if state.service is None:
        return ()
    judged = {f.event: f for f in state.findings if f.event is not None}
    counted = [judged.get(f.event, f) for f in state.answers if not _corrected(state, f)]
    raised: dict[str, Raised] = {}
    for finding in (*counted, *(f for f in state.findings if f.event is None)):
        if not finding.outcome:
            continue
        symptom = knowledge.checks[finding.check].outcomes[finding.outcome].raises
        if symptom and symptom not in state.symptoms:
            raised.setdefault(symptom, Raised(symptom, finding.check, finding.outcome))
    return tuple(raised.values())


def _corrected(state, answer) -> bool:
    return any(
        later.check == answer.check
        and later.event > answer.event
        and not any(answer.event < touch < later.event for touch in state.touches)
        for later in state.answers
    )


def _with_made_safe(knowledge, state, reported, number, event):
    sign = sign_of(knowledge, state, reported, event.event)
    if sign is None:
        return state  # what brought the sign was taken back
    sign = replace(sign, event=number, words=event.words)
    return replace(state, made_safe=(*state.made_safe, sign))


def _with_fact(knowledge, state, event):
    facts, typed = dict(state.facts), dict(state.typed_facts)
    facts.pop(event.fact, None)
    typed.pop(event.fact, None)
    if event.value.strip():
        facts[event.fact] = fact_from_text(knowledge, event.fact, event.value)
        typed[event.fact] = event.value.strip()
    return replace(state, facts=facts, typed_facts=typed)


def _with_instrument(knowledge, state, event):
    own = own_accuracy(knowledge, event.instrument, event.of_reading, event.at_least)
    others = {n: a for n, a in state.instruments.items() if n != event.instrument}
    return replace(state, instruments=others | ({event.instrument: own} if own else {}))


def _apply(knowledge, state, number, event) -> State:
    match event:
        case happened.Opened():
            return replace(state, who=event.who, title=event.title)
        case happened.SymptomReported():
            return replace(state, symptoms=_once(state.symptoms, event.symptom))
        case happened.ServicePlanned():
            return replace(state, service=event.openings)
        case happened.Postponed():
            others = tuple(name for name in state.postponed if name != event.step)
            return replace(state, postponed=(*others, event.step))
        case happened.ContextStated():
            return replace(state, contexts=_once(state.contexts, event.context))
        case happened.Suspected():
            return replace(state, suspected=_once(state.suspected, event.cause))
        case happened.Found():
            finding = interpret(knowledge, state, event, number)
            state = _into(knowledge, state, knowledge.checks[event.check], number)
            return replace(_with_finding(state, finding), unanswered=())
        case happened.Skipped():
            skipped = {**state.skipped, event.step: event.reason}
            if event.step in knowledge.checks:
                state = replace(state, unanswered=_once(state.unanswered, event.step))
            return replace(state, skipped=skipped)
        case happened.ActionDone():
            state = _into(knowledge, state, knowledge.actions[event.action], number)
            done = Done(event.action, event.cause, number)
            by_others = knowledge.actions[event.action].kind == "refer"
            touches = state.touches if by_others else (*state.touches, number)
            return replace(
                state, done=(*state.done, done), proofs=(), unanswered=(), touches=touches
            )
        case happened.Proved():
            return _prove(knowledge, state, number, event)
        case happened.Noted():
            return replace(state, notes=(*state.notes, event.text))
        case happened.HandedOver():
            return replace(state, who=event.who, skipped={}, unanswered=())
        case happened.Closed():
            return replace(state, end=event.end, end_words=event.words)
    return state  # facts and instruments were taken in first: the last word on them counts


def _once(names, name):
    return names if name in names else (*names, name)


def _with_finding(state, finding) -> State:
    kept = (f for f in state.findings if (f.check, f.epoch) != (finding.check, finding.epoch))
    return replace(state, findings=(*kept, finding), answers=(*state.answers, finding))


def _into(knowledge, state, step, number) -> State:
    """The state with the access that a step leaves, and the event noted where that disturbs."""
    after = into_access(knowledge, state, step)
    newly = [name for name in after.opened if name not in state.opened]
    disturbed = any(knowledge.access[name].disturbs for name in newly)
    return replace(after, touches=(*after.touches, number)) if disturbed else after


def _prove(knowledge, state, number, event) -> State:
    closing = knowledge.closing[event.closing]
    if closing.check is None:
        passed, verdict = not event.failed, gives_verdict(knowledge, event.closing)
        proof = Proof(event.closing, passed, event.words, number)
        if verdict:
            state = replace(state, proof_runs=(*state.proof_runs, (state.epoch, passed)))
        if passed or verdict:
            gone = shut_by(knowledge, state.opened, event.closing)
            state = replace(state, opened=tuple(n for n in state.opened if n not in gone))
    else:
        found = happened.Found(
            check=closing.check, outcome=event.outcome, values=event.values, sure=event.sure
        )
        finding = interpret(knowledge, state, found, number)
        state = _into(knowledge, state, knowledge.checks[closing.check], number)
        state = _with_finding(state, finding)
        words = finding.banded.figure.shown() if finding.banded else (finding.outcome or "")
        proof = Proof(event.closing, finding.outcome in closing.passes, words, number)
    kept = tuple(p for p in state.proofs if p.closing != event.closing)
    return replace(state, proofs=(*kept, proof), unanswered=())
