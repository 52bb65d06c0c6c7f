"""What is open on the boiler, what a step leaves open, and what all of that obliges at the end."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from engine import safety
from engine.knowledge import Knowledge
from engine.knowledge import graph as graphs
from engine.knowledge.before import at_the_end, gives_verdict
from engine.knowledge.schema import Access
from engine.planner.access import with_dependents
from engine.visit import dangers

if TYPE_CHECKING:
    from engine.visit.state import State

PUT_BACK, END = "put back", "end it"
"""What ends a state of the boiler before a step."""

COVERS_ON = "covers_and_seals_on"
"""The closing step that everything obliges which is part of the boiler's outside."""


def word_to_shut(access: Access) -> str:
    """What ends a state of the boiler: a cover is put back, a running burner ended."""
    return PUT_BACK if access.kind == "opened" else END


def into_access(knowledge, state, step) -> State:
    """The state with the access that a step leaves behind; what was proven of it falls."""
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
    starting = gives_verdict(knowledge, closing)
    gone = {
        name
        for name in opened
        if (starting and access[name].shut_to_run)
        or (COVERS_ON if starting else closing) in access[name].closing
    }
    still = with_dependents(knowledge, opened, gone)
    return tuple(reversed([name for name in opened if name not in still]))


def required_closing(knowledge: Knowledge, state: State) -> tuple[str, ...]:
    """What must be proven before leaving: by what was opened, what was done, and always.

    Without a repair only what was opened obliges anything.
    """
    names = [c for layer in state.ever_opened for c in knowledge.access[layer].closing]
    names += [c for done in state.done for c in knowledge.actions[done.action].verify]
    if state.done:
        names += at_the_end(knowledge, [done.action for done in state.done])
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


def to_put_back(knowledge: Knowledge, state: State) -> tuple[str, ...]:
    """Closing steps by which what is open now is confirmed to be put back, and nobody has said yet
    whether it is."""
    said = {proof.closing for proof in state.proofs}
    obliged = {c for layer in state.opened for c in knowledge.access[layer].closing}
    return tuple(
        name
        for name, entry in knowledge.closing.items()
        if name in obliged - said and entry.check is None and not gives_verdict(knowledge, name)
    )


def prevented(knowledge: Knowledge, state: State) -> frozenset[str]:
    """Access states that cannot be reached, as the boiler behaves now.

    A complaint may say that it never fires; a later watched start that shows otherwise, or a
    repair, lifts that. What was found since the repair counts again. A complaint that only a
    finding of the service brings says nothing of how the boiler runs: it ran.
    """
    states: set[str] = set()
    lifted = bool(state.done)
    for check, finding in state.current().items():
        if not finding.outcome:
            continue
        outcomes = knowledge.checks[check].outcomes
        prevents = set(outcomes[finding.outcome].prevents)
        states |= prevents
        watches_a_start = any(entry.prevents and not entry.danger for entry in outcomes.values())
        lifted = lifted or (watches_a_start and not prevents)
    if not lifted:
        for symptom in set(state.symptoms) - {each.symptom for each in state.raised}:
            states |= set(knowledge.symptoms[symptom].prevents)
    signs = dangers.unanswered(knowledge, state)
    return frozenset(states) | dangers.prevented(knowledge, signs)
