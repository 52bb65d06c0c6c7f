"""The end of a visit: what was wrong, how sure, what was done, what is proven and what is not."""

from dataclasses import dataclass

from engine import explain, safety
from engine.belief.network import bearing_on
from engine.errors import SightportError
from engine.knowledge import Knowledge
from engine.readings.accuracy_words import whose_accuracy
from engine.visit import events as happened
from engine.visit.dangers import name_of
from engine.visit.keeping import Visit
from engine.visit.opened import open_closing, required_closing
from engine.visit.proving import waits_for_somebody
from engine.visit.reading_words import reading_words
from engine.visit.reasons import for_and_against, in_hundred, why_closing
from engine.visit.service_words import (
    NOTHING_WRONG,
    Compared,
    compared,
    left_out,
    left_words,
    opened_words,
    raised_words,
)
from engine.visit.state import Done, fold, live
from engine.visit.taking import check_event
from engine.visit.thinking import Thought, think
from engine.visit.told import answer_words, proof_words, told

PROVEN, FAILED, MISSING = "proven", "did not hold", "not proven yet"

LEFT = "Found wrong, and not put right by what was done"

HOLDS = 0.6
"""Below this probability that it is mended, a passed proof is said to settle little. Judgement."""

STAYS_OPEN = (
    "It runs, and what was found does not say clearly that the reason is out: it may come back. "
    "Ask again tomorrow, and go on from here if it does."
)


@dataclass(frozen=True)
class Closing:
    """A closing step: how it stands, with what value or words, and what obliges it."""

    id: str
    name: str
    stands: str
    words: str
    why: tuple[str, ...]


@dataclass(frozen=True)
class Summary:
    """Everything the person who leaves, and the one who comes next, has to know."""

    wrong: tuple[str, ...]
    speaks_for: tuple[str, ...]
    against: tuple[str, ...]
    done: tuple[str, ...]
    left: tuple[str, ...]
    advised: tuple[str, ...]
    parts: tuple[str, ...]
    cautions: tuple[str, ...]
    governs: tuple[str, ...]  # what the cautions defer to
    closing: tuple[Closing, ...]
    compared: tuple[Compared, ...]
    service: tuple[str, ...]
    left_out: tuple[str, ...]
    write_down: tuple[str, ...]


def summarise(known: Knowledge, visit: Visit) -> Summary:
    """The summary of a visit as it stands."""
    state, view = visit.state, visit.view
    wrong, speaks_for, against = (), (), ()
    if state.danger:
        wrong = (f"Stopped for danger: {state.danger[0]}.", f"Who acts: {state.danger[1].who_acts}")
    elif state.symptoms:
        wrong, speaks_for, against = _wrong(known, visit)
    elif state.service is not None:
        wrong = (NOTHING_WRONG,)
    for sign in state.made_safe:
        wrong += (f"Danger sign made safe: {name_of(known, sign)}. {sign.words}",)
    actions = [entry.action for entry in state.done] or [advice.id for advice in view.actions]
    cautions = _cautions(known, state, actions)
    return Summary(
        wrong=wrong,
        speaks_for=speaks_for,
        against=against,
        done=tuple(known.actions[entry.action].name for entry in state.done),
        left=left(known, state),
        advised=tuple(
            f"{advice.name} (for: {known.causes[advice.cause].name})"
            for advice in view.actions
            if not state.done
        ),
        parts=tuple(
            dict.fromkeys(
                f"{p.count} × {p.part}" for action in actions for p in known.actions[action].parts
            )
        ),
        cautions=tuple(caution.says for caution in cautions),
        governs=tuple(dict.fromkeys(caution.defers_to for caution in cautions)),
        closing=tuple(_closing(known, visit, name) for name in required_closing(known, state)),
        compared=_compared(known, visit),
        service=_service(known, visit),
        left_out=left_out(visit),
        write_down=_write_down(known, visit),
    )


def _wrong(known, visit):
    """What was wrong and how sure, judged by what was known before what was proven last."""
    state, view = visit.state, visit.view
    last = _proven_last(state)
    thought = _before(known, visit, last[0]) if last else view.thought
    belief = thought.belief
    present = dict(explain.suspects(belief))
    brought = dict(zip(belief.space.network.causes, belief.to_mend(), strict=True))
    mended = dict.fromkeys(entry.cause for entry in last if entry.cause)
    cause, *others = sorted(mended or present, key=lambda c: -brought.get(c, 0.0))
    what = f"{known.causes[cause].name}. {known.causes[cause].mechanism}"
    sure = (
        f"How sure: {in_hundred(present.get(cause, 0.0))} that it was so, "
        f"{in_hundred(brought.get(cause, 0.0))} that it was to blame,"
    )
    if not last:
        sentences = [f"First suspect: {what}", f"{sure} so far."]
    else:
        sentences = [what, f"{sure} before the repair."]
        if mended and others:
            named = "; ".join(
                f"{known.causes[c].name}, {in_hundred(brought.get(c, 0.0))}" for c in others
            )
            sentences.append(
                f"Mended before the same proof: {named}. The proof does not tell which it was."
            )
        mended_by_now = f"That what brought the complaint is mended: {in_hundred(view.mended)}."
        waits = waits_for_somebody(known, state)
        sentences.append("It waits for somebody else to mend it." if waits else mended_by_now)
        proven = not waits and not open_closing(known, state)
        if proven and view.mended < HOLDS:
            sentences.append(STAYS_OPEN)
    if view.none_of_these >= 0.01:
        sentences.append(f"That it is none of the listed causes: {in_hundred(view.none_of_these)}.")
    return (tuple(sentences), *for_and_against(known, thought, cause))


def _proven_last(state) -> tuple[Done, ...]:
    """The repairs that the last passed five starts have proven, or else those since any starts."""
    runs = sorted({epoch for epoch, _ in state.proof_runs})
    passed = max((epoch for epoch, held in state.proof_runs if held), default=0)
    before = max((epoch for epoch in runs if epoch < passed), default=0)
    return state.done[before:passed] or state.since_proof() or state.done[-1:]


def _before(known, visit, repair: Done) -> Thought:
    """What was believed before a repair, by all that is known of boiler and complaint by now."""
    history = [
        (number, event)
        for number, event in live(visit.history)
        if number < repair.event
        or not isinstance(event, happened.Found | happened.ActionDone | happened.Proved)
    ]
    return think(known, fold(known, history), visit.view.thought.belief.space.largest)


def left(known, state) -> tuple[str, ...]:
    """What was found wrong and no repair accounts for: the complaint may be gone without it."""
    if not state.done and state.service is None:
        return ()

    def mended(epoch):
        since = {done.action for done in state.done[epoch:]}
        return {c for c, entry in known.causes.items() if since & entry.mended_by.keys()}

    latest = {finding.check: finding for finding in state.findings if finding.outcome}
    return tuple(
        f"{known.checks[check].name}: {known.checks[check].outcomes[finding.outcome].says}"
        for check, finding in latest.items()
        if finding.outcome != known.checks[check].healthy
        and not mended(finding.epoch) & bearing_on(known, [(check, finding.outcome)])
    )


def _cautions(known, state, actions):
    names = [c for a in actions for c in safety.cautions(known, "actions", a)]
    names += [c for name in required_closing(known, state) for c in known.closing[name].cautions]
    return [known.cautions[name] for name in dict.fromkeys(names)]


def _closing(known, visit, name) -> Closing:
    proof = next((p for p in visit.state.proofs if p.closing == name), None)
    stands = MISSING if proof is None else PROVEN if proof.passed else FAILED
    words = proof_words(known, visit, proof) if proof else ""
    return Closing(name, known.closing[name].name, stands, words, why_closing(known, visit, name))


def _service(known, visit) -> tuple[str, ...]:
    state = visit.state
    if state.service is None:
        return ()
    opened = [name for name in state.ever_opened if known.access[name].kind == "opened"]
    lines = [f"Opened: {opened_words(known, opened)}.", left_words(visit.view.service)]
    return (*lines, *(f"Found on the way: {text}." for text in raised_words(known, visit)))


def _compared(known, visit) -> tuple[Compared, ...]:
    if visit.state.service is not None:
        return compared(known, visit)
    by_check: dict[str, list] = {}
    for finding in visit.state.findings:
        by_check.setdefault(finding.check, []).append(finding)
    return tuple(
        Compared(
            known.checks[check].name,
            answer_words(known, visit, found[0]),
            answer_words(known, visit, found[-1]),
        )
        for check, found in by_check.items()
        if found[0].epoch != found[-1].epoch
    )


def _write_down(known, visit) -> tuple[str, ...]:
    """Every figure with its limit, and what was done, in the order of the visit."""
    state = visit.state
    lines = [
        f"{known.facts[n].name}: {(known.facts[n].choices or {}).get(text, text)}"
        for n, text in state.typed_facts.items()
    ]
    lines += [whose_accuracy(known, state.instruments, [name]) for name in state.instruments]
    for finding in state.findings:
        reading = reading_words(known, state, finding)
        if reading:
            lines.append(f"{known.checks[finding.check].name}: {reading.line()}")
    lines += [
        entry.text for entry in reversed(told(known, visit)) if entry.kind in ("Done", "Note")
    ]
    return tuple(dict.fromkeys(lines))


def refused(known: Knowledge, visit: Visit, end: str) -> str | None:
    """Why the visit cannot end this way as it stands; None where it can."""
    try:
        check_event(known, visit.history, happened.Closed(end=end, words="to be written"))
    except SightportError as error:
        return str(error)
    return None
