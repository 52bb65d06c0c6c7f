"""What happened in a visit so far, in words: each entry with the number to change it by."""

from dataclasses import dataclass, replace

from engine.knowledge import Knowledge
from engine.knowledge import graph as graphs
from engine.knowledge.before import minutes_to_prove
from engine.knowledge.instruments import own_accuracy
from engine.readings.accuracy_words import whose_accuracy
from engine.visit import events as happened
from engine.visit.dangers import name_of, sign_of
from engine.visit.keeping import Visit
from engine.visit.opened import shut_by, shut_for
from engine.visit.reading_words import reading_words
from engine.visit.state import live

WHO = {
    "technician": "Technician with a gas licence",
    "technician_no_gas": "Technician, no gas licence",
    "caller": "On the phone with a caller",
}
STEPS = ("Found", "Done", "Closing", "Set aside", "Later", "Handed over")
"""The kinds of entry that a step brings."""

_SAID = (
    happened.SymptomReported, happened.Found, happened.ActionDone, happened.Proved,
    happened.ContextStated,
)  # fmt: skip


@dataclass(frozen=True)
class Told:
    """One entry of the visit. `check` is set where the answer can be given again as things stand;
    `step` is the check, action or closing step that it belongs to. `by_caller` marks what was said
    or done by somebody on the phone."""

    number: int
    kind: str
    text: str
    check: str | None = None
    step: str | None = None
    by_caller: bool = False


def told(known: Knowledge, visit: Visit) -> tuple[Told, ...]:
    """The entries that count, newest first; an answer that a later one replaced is left out."""
    by_event = {f.event: f for f in visit.state.findings if f.event is not None}
    entries, who = [], "caller"
    for number, event in live(visit.history):
        if isinstance(event, happened.Found) and number not in by_event:
            continue
        entry = _told(known, visit, number, event, by_event.get(number))
        if entry:
            said = who == "caller" and isinstance(event, _SAID)
            entries.append(replace(entry, by_caller=said))
        if isinstance(event, happened.Opened | happened.HandedOver):
            who = event.who
    return tuple(reversed(entries))


def _told(known, visit, number, event, finding) -> Told | None:
    match event:
        case happened.Found():
            again = event.check if finding.epoch == visit.state.epoch else None
            text = f"{known.checks[event.check].name}: {answer_words(known, visit, finding)}"
            return Told(number, "Found", text, check=again, step=event.check)
        case happened.Proved():
            proof = next((p for p in visit.state.proofs if p.event == number), None)
            name = known.closing[event.closing].name
            if proof is None:
                return Told(
                    number, "Closing", f"{name}: has to be proven again", step=event.closing
                )
            verdict = "proven" if proof.passed else "did not hold"
            words = proof_words(known, visit, proof)
            return Told(number, "Closing", f"{name}: {verdict}, {words}", step=event.closing)
        case happened.ActionDone():
            name = known.actions[event.action].name
            mends = f" (for: {known.causes[event.cause].name})" if event.cause else ""
            return Told(number, "Done", f"{name}{mends}", step=event.action)
        case happened.Skipped():
            name = (known.checks.get(event.step) or known.actions[event.step]).name
            reason = f": {event.reason}" if event.reason else ""
            return Told(number, "Set aside", f"{name}{reason}", step=event.step)
        case happened.SymptomReported():
            return Told(number, "Complaint", known.symptoms[event.symptom].name)
        case happened.ServicePlanned():
            names = ", ".join(known.access[name].name for name in event.openings)
            return Told(number, "Service", f"To be opened: {names or 'nothing'}")
        case happened.Postponed():
            kinds = (known.checks, known.actions, known.closing)
            name = next(kind[event.step].name for kind in kinds if event.step in kind)
            return Told(number, "Later", name, step=event.step)
        case happened.ContextStated():
            return Told(number, "Circumstance", known.contexts[event.context].name)
        case happened.Suspected():
            return Told(number, "You think", known.causes[event.cause].name)
        case happened.FactStated():
            fact = known.facts[event.fact]
            value = (fact.choices or {}).get(event.value, event.value) or "not known"
            return Told(number, "Boiler", f"{fact.name}: {value}")
        case happened.InstrumentStated():
            own = own_accuracy(known, event.instrument, event.of_reading, event.at_least)
            stated = {event.instrument: own} if own else {}
            return Told(number, "Instrument", whose_accuracy(known, stated, [event.instrument]))
        case happened.MadeSafe():
            sign = next((s for s in visit.state.made_safe if s.event == number), None)
            name = f"{name_of(known, sign)}: " if sign else ""
            return Told(number, "Made safe", f"{name}{event.words}")
        case happened.Noted():
            return Told(number, "Note", event.text)
        case happened.HandedOver():
            words = f" ({event.words})" if event.words else ""
            return Told(number, "Handed over", f"to: {WHO[event.who]}{words}")
        case happened.Closed():
            words = f" ({event.words})" if event.words else ""
            return Told(number, "Closed", f"{happened.ENDS[event.end]}{words}")
    return None


def answer_words(known: Knowledge, visit: Visit, finding) -> str:
    """A finding's answer on one line."""
    check = known.checks[finding.check]
    reading = reading_words(known, visit.state, finding)
    if reading:
        typed = ", ".join(value for _, value in finding.typed)
        said = reading.value if len(finding.typed) < 2 else f"{typed}; {reading.value}"
        return f"{said}: {reading.says}"
    if finding.outcome:
        return check.outcomes[finding.outcome].says
    values = ", ".join(f"{check.reading.fields[name].name} {text}" for name, text in finding.typed)
    return f"{values} ({finding.problem or 'waits for another reading'})"


def proof_words(known: Knowledge, visit: Visit, proof) -> str:
    """What a closing step was proven with: the value, the outcome or the words written down."""
    finding = next((f for f in visit.state.findings if f.event == proof.event), None)
    if finding is None:
        return proof.words
    reading = reading_words(known, visit.state, finding)
    return reading.line() if reading else answer_words(known, visit, finding)


def latest(known: Knowledge, visit: Visit) -> tuple[str, tuple[str, ...]]:
    """The last entry, if it is a step: its kind, what was entered, and what that means."""
    entry = next(iter(told(known, visit)), None)
    if entry is None or entry.kind not in STEPS:
        return "", ()
    finding = next((f for f in visit.state.findings if f.event == entry.number), None)
    reading = reading_words(known, visit.state, finding) if finding else None
    if reading:
        return entry.kind, (f"{reading.line()}.", *reading.details())
    if finding and finding.outcome:
        means = known.checks[finding.check].outcomes[finding.outcome].means
        return entry.kind, (entry.text, means)
    return entry.kind, (entry.text,)


def danger_entry(known: Knowledge, visit: Visit) -> Told | None:
    """The entry that stops this visit, to be taken back if mistaken, or made safe."""
    state = visit.state
    reported = {
        number: event.symptom
        for number, event in live(visit.history)
        if isinstance(event, happened.SymptomReported)
    }
    safe = {sign.sign for sign in state.made_safe}
    for entry in told(known, visit):
        sign = sign_of(known, state, reported, entry.number)
        if sign and entry.number not in safe and name_of(known, sign) == state.danger[0]:
            return entry
    return None


def minutes_spent(known: Knowledge, visit: Visit) -> float:
    """Estimate of the minutes so far: every step's own, and what was opened and shut for it."""
    minutes, opened = 0.0, ()
    for _, event in live(visit.history):
        match event:
            case happened.Found():
                step = known.checks[event.check]
            case happened.ActionDone():
                step = known.actions[event.action]
            case happened.Proved() if known.closing[event.closing].check:
                step = known.checks[known.closing[event.closing].check]
            case happened.Proved():
                shut = shut_by(known, opened, event.closing)
                minutes += minutes_to_prove(known, event.closing)
                minutes += sum(known.access[name].close_minutes for name in shut)
                opened = tuple(name for name in opened if name not in shut)
                continue
            case _:
                continue
        wanted = graphs.opening_order(known.graph, step.access)
        shut = shut_for(known, opened, step, wanted)
        new = [name for name in wanted if name not in opened or name in shut]
        minutes += step.minutes
        minutes += sum(known.access[name].close_minutes for name in shut)
        minutes += sum(known.access[name].open_minutes for name in new)
        opened = tuple(dict.fromkeys((*(n for n in opened if n not in shut), *wanted)))
    return minutes
