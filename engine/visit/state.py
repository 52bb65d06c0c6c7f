"""The state of a visit: a fold over its events, always worked out from the beginning."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from engine import safety
from engine.belief.readings import Banded, band, read_values
from engine.errors import OutOfRange
from engine.knowledge import Knowledge
from engine.knowledge import graph as graphs
from engine.knowledge.before import FIVE_STARTS
from engine.knowledge.facts import fact_from_text
from engine.knowledge.instruments import Stated, own_accuracy
from engine.knowledge.schema import Danger
from engine.planner.access import with_dependents
from engine.visit import events as happened


@dataclass(frozen=True)
class Finding:
    """A check's answer as it counts: `outcome` is None while a figure's inputs are missing.

    `epoch` is the number of repairs made before it; findings of different epochs speak of a
    different boiler. `event` is the event that brought it, None for derived findings.
    """

    check: str
    outcome: str | None
    epoch: int
    observer: str
    event: int | None = None
    values: tuple[tuple[str, float], ...] = ()
    typed: tuple[tuple[str, str], ...] = ()
    banded: Banded | None = None
    problem: str | None = None


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
    findings: tuple[Finding, ...] = ()
    skipped: Mapping[str, str] = field(default_factory=dict)
    unanswered: tuple[str, ...] = ()  # checks set aside one after the other, nothing found between
    done: tuple[Done, ...] = ()
    opened: tuple[str, ...] = ()  # access states that hold now
    ever_opened: tuple[str, ...] = ()
    proofs: tuple[Proof, ...] = ()
    proof_runs: tuple[tuple[int, bool], ...] = ()  # (epoch, passed) of five starts in a row
    notes: tuple[str, ...] = ()
    danger: tuple[str, Danger] | None = None
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

    def holding(self, knowledge: Knowledge) -> dict[str, Finding]:
        """Findings that no repair since may have changed, by check."""
        return {f.check: f for f in self.findings if not self._changed(knowledge, f, self.epoch)}

    def repeated(self, knowledge: Knowledge, finding: Finding) -> bool:
        """Whether the same was looked at again, with no repair between that may have changed it."""
        return any(
            f.check == finding.check
            and f.epoch > finding.epoch
            and not self._changed(knowledge, finding, f.epoch)
            for f in self.findings
        )

    def _changed(self, knowledge, finding, epoch) -> bool:
        return any(
            finding.check in graphs.changed_by(knowledge.graph, done.action)
            for done in self.done[finding.epoch : epoch]
        )

    def found(self) -> tuple[tuple[str, str], ...]:
        """All (check, outcome) pairs, whenever found."""
        return tuple((f.check, f.outcome) for f in self.findings if f.outcome)


Numbered = tuple[int, "happened.Event"]


def live(history: Iterable[Numbered]) -> list[Numbered]:
    """The events that count: all but those taken back, and the taking back itself.

    Taking back a taking-back puts the event in place again.
    """
    history = list(history)
    standing = {number for number, _ in history}
    for number, event in reversed(history):
        if isinstance(event, happened.TakenBack) and number in standing:
            standing.discard(event.event)
    return [
        (number, event)
        for number, event in history
        if number in standing and not isinstance(event, happened.TakenBack)
    ]


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
    for number, event in counted:
        state = _apply(knowledge, state, number, event)
    state = _with_derived(knowledge, state)
    danger = safety.danger(knowledge, state.symptoms, state.found())
    return replace(state, danger=danger)


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
        case happened.ContextStated():
            return replace(state, contexts=_once(state.contexts, event.context))
        case happened.Suspected():
            return replace(state, suspected=_once(state.suspected, event.cause))
        case happened.Found():
            finding = interpret(knowledge, state, event, number)
            state = _into_access(knowledge, state, knowledge.checks[event.check])
            found = _superseding(state.findings, finding)
            return replace(state, findings=found, unanswered=())
        case happened.Skipped():
            skipped = {**state.skipped, event.step: event.reason}
            more = (event.step,) if event.step in knowledge.checks else ()
            return replace(state, skipped=skipped, unanswered=(*state.unanswered, *more))
        case happened.ActionDone():
            state = _into_access(knowledge, state, knowledge.actions[event.action])
            done = Done(event.action, event.cause, number)
            return replace(state, done=(*state.done, done), proofs=(), unanswered=())
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


def _superseding(findings, finding):
    kept = tuple(f for f in findings if (f.check, f.epoch) != (finding.check, finding.epoch))
    return (*kept, finding)


def _into_access(knowledge, state, step) -> State:
    """The access state that a step leaves behind."""
    names = graphs.opening_order(knowledge.graph, step.access)
    shut = shut_for(knowledge, state.opened, step, names)
    opened = tuple(dict.fromkeys((*(n for n in state.opened if n not in shut), *names)))
    newly = [name for name in names if name not in state.opened]
    obliged = {closing for name in newly for closing in knowledge.access[name].closing}
    return replace(
        state,
        opened=opened,
        ever_opened=tuple(dict.fromkeys((*state.ever_opened, *names))),
        proofs=tuple(p for p in state.proofs if p.closing not in obliged or not p.passed),
    )


def shut_for(knowledge: Knowledge, opened, step, wanted) -> tuple[str, ...]:
    """What is open now and must be shut before a step that wants certain access states.

    What lies behind a layer that is shut is shut with it, the innermost first.
    """
    excluded = {
        other
        for other in opened
        if other in step.shut
        or any(knowledge.access[other].excludes(knowledge.access[name]) for name in wanted)
    }
    still = with_dependents(knowledge, opened, excluded)
    return tuple(reversed([name for name in opened if name not in still]))


def shut_by(knowledge: Knowledge, opened, closing: str) -> tuple[str, ...]:
    """What of the open states is shut for a confirmed closing step, the innermost first.

    Starting shuts all that must be shut to run, and the covers; any other sentence says that what
    obliged it is back in its place.
    """
    access = knowledge.access
    starting = closing == FIVE_STARTS
    gone = {
        name
        for name in opened
        if (starting and access[name].shut_to_run)
        or (COVERS_ON if starting else closing) in access[name].closing
    }
    still = with_dependents(knowledge, opened, gone)
    return tuple(reversed([name for name in opened if name not in still]))


def interpret(knowledge: Knowledge, state: State, event, number: int | None) -> Finding:
    """What an answer says, with all readings made since the last repair.

    Raises
    ------
    UnreadableValue, Implausible
        Only for values never accepted before; stored events were accepted.
    """
    check = event.check
    common = {"check": check, "epoch": state.epoch, "observer": state.who, "event": number}
    if event.outcome is not None:
        return Finding(outcome=event.outcome, **common)
    values = read_values(knowledge, state.facts, check, event.values, sure=True)
    readings = _readings(state) | {check: values}
    banded, problem = None, None
    try:
        banded = band(knowledge, state.facts, check, readings, state.instruments)
    except OutOfRange as error:
        problem = str(error)
    return Finding(
        outcome=banded.outcome if banded else None,
        values=tuple(values.items()),
        typed=tuple(event.values.items()),
        banded=banded,
        problem=problem,
        **common,
    )


def _readings(state) -> dict[str, dict[str, float]]:
    return {f.check: dict(f.values) for f in state.findings if f.epoch == state.epoch and f.values}


def _with_derived(knowledge, state) -> State:
    """Figures over several readings: judged again with all of them, derived checks added."""
    findings = []
    for epoch in range(state.epoch + 1):
        mine = [f for f in state.findings if f.epoch == epoch]
        readings = {f.check: dict(f.values) for f in mine if f.values}
        for finding in mine:
            if finding.values:
                finding = _again(knowledge, state, finding, readings)
            findings.append(finding)
        for name, check in knowledge.checks.items():
            if (
                check.derived
                and readings
                and safety.possible(knowledge, state.facts, "checks", name)
            ):
                derived = Finding(check=name, outcome=None, epoch=epoch, observer=state.who)
                derived = _again(knowledge, state, derived, readings)
                if derived.outcome:
                    findings.append(derived)
    return replace(state, findings=tuple(findings))


def _again(knowledge, state, finding, readings) -> Finding:
    try:
        banded = band(knowledge, state.facts, finding.check, readings, state.instruments)
    except OutOfRange as error:
        return replace(finding, outcome=None, banded=None, problem=str(error))
    return replace(finding, outcome=banded.outcome if banded else None, banded=banded, problem=None)


def _prove(knowledge, state, number, event) -> State:
    closing = knowledge.closing[event.closing]
    if closing.check is None:
        passed = not event.failed
        proof = Proof(event.closing, passed, event.words, number)
        if event.closing == FIVE_STARTS:
            state = replace(state, proof_runs=(*state.proof_runs, (state.epoch, passed)))
        if passed or event.closing == FIVE_STARTS:
            gone = shut_by(knowledge, state.opened, event.closing)
            state = replace(state, opened=tuple(n for n in state.opened if n not in gone))
    else:
        found = happened.Found(
            check=closing.check, outcome=event.outcome, values=event.values, sure=event.sure
        )
        finding = interpret(knowledge, state, found, number)
        state = _into_access(knowledge, state, knowledge.checks[closing.check])
        state = replace(state, findings=_superseding(state.findings, finding))
        words = finding.banded.figure.shown() if finding.banded else (finding.outcome or "")
        proof = Proof(event.closing, finding.outcome in closing.passes, words, number)
    kept = tuple(p for p in state.proofs if p.closing != event.closing)
    return replace(state, proofs=(*kept, proof))


COVERS_ON = "covers_and_seals_on"
"""The closing step that everything obliges which is part of the boiler's outside."""


def required_closing(knowledge: Knowledge, state: State) -> tuple[str, ...]:
    """What must be proven before leaving: by what was opened, what was done, and always.

    Without a repair only what was opened obliges anything.
    """
    names = [c for layer in state.ever_opened for c in knowledge.access[layer].closing]
    names += [c for done in state.done for c in knowledge.actions[done.action].verify]
    if state.done:
        names += [name for name, entry in knowledge.closing.items() if entry.always]
    order = list(knowledge.closing)
    return tuple(
        sorted(
            (
                name
                for name in set(names)
                if safety.possible(knowledge, state.facts, "closing", name)
            ),
            key=order.index,
        )
    )


def open_closing(knowledge: Knowledge, state: State) -> tuple[str, ...]:
    """Required closing steps that are not proven yet."""
    passed = {proof.closing for proof in state.proofs if proof.passed}
    return tuple(name for name in required_closing(knowledge, state) if name not in passed)


def prevented(knowledge: Knowledge, state: State) -> frozenset[str]:
    """Access states that cannot be reached, as the boiler behaves now.

    A complaint may say that it never fires; a later watched start that shows otherwise, or a
    repair, lifts that. What was found since the repair counts again.
    """
    states: set[str] = set()
    lifted = bool(state.done)
    for check, finding in state.current().items():
        outcomes = knowledge.checks[check].outcomes
        if finding.outcome and any(outcome.prevents for outcome in outcomes.values()):
            states |= set(outcomes[finding.outcome].prevents)
            lifted = lifted or not outcomes[finding.outcome].prevents
    if not lifted:
        for symptom in state.symptoms:
            states |= set(knowledge.symptoms[symptom].prevents)
    return frozenset(states)
