"""Which closing step comes next, and who may take it."""

from engine import safety
from engine.knowledge import Knowledge
from engine.knowledge.before import gives_verdict
from engine.visit.opened import open_closing, prevented, shut_for
from engine.visit.state import State

LOW_FIRE = "firing_low"
"""What is read at low fire belongs straight after high fire, on a boiler that is warm."""


def waits_for_somebody(knowledge: Knowledge, state: State) -> bool:
    """Whether the repair is in another's hands, and nobody has begun to prove it."""
    return knowledge.actions[state.done[-1].action].kind == "refer" and not state.proofs


def proof_failed(state: State) -> bool:
    """Whether something did not hold since the last repair."""
    return any(not proof.passed for proof in state.proofs)


def repaired(state: State) -> bool:
    """Whether anything was done that may have mended what is complained of.

    What a service cleans because it is due mends no complaint.
    """
    return any(each.cause for each in state.done) or bool(state.done and state.service is None)


def waits_for_proof(knowledge: Knowledge, state: State) -> bool:
    """Whether a repair was done that nothing has shown yet to have failed or held."""
    return bool(repaired(state) and open_closing(knowledge, state)) and not proof_failed(state)


def proof_needs_another(knowledge: Knowledge, state: State, still_open) -> bool:
    """Whether a repair waits for proofs that only somebody with a licence may give."""
    return bool(repaired(state) and still_open) and not any(
        safety.may_prove(knowledge, state.who, name) for name in still_open
    )


def next_proof(knowledge: Knowledge, state: State, still_open) -> str | None:
    """The next thing that this person may prove, as the boiler behaves now; see `place`."""
    blocked = prevented(knowledge, state)
    possible = [
        name
        for name in still_open
        if safety.may_prove(knowledge, state.who, name)
        and not blocked & set(_layers(knowledge, knowledge.closing[name].check))
    ]
    return min(
        possible,
        key=lambda name: (*place(knowledge, name), way_to(knowledge, state, name)),
        default=None,
    )


def place(knowledge: Knowledge, closing: str | None, check: str | None = None) -> tuple[bool, ...]:
    """The place of a closing step, or of a reading as left, in the order of proving.

    First what must hold before the burner is lit; then five starts, for they say whether it is
    mended; then what is measured while it fires, high fire before low, what is at hand before what
    has to be opened again; then what is measured afterwards, and last what is only confirmed, for
    measuring opens what is confirmed to be shut.
    """
    entry = knowledge.closing[closing] if closing else None
    check = entry.check if entry else check
    layers = _layers(knowledge, check)
    return (
        not (entry and entry.before_firing),
        not (entry and gives_verdict(knowledge, closing)),
        not any(knowledge.access[layer].kind == "running" for layer in layers),
        check is None,
        LOW_FIRE in layers,
    )


def _layers(knowledge, check) -> tuple[str, ...]:
    return safety.opened_for(knowledge, "checks", check) if check else ()


def way_to(knowledge: Knowledge, state: State, closing: str) -> float:
    """Minutes of opening and shutting before a closing step."""
    check = knowledge.closing[closing].check
    to_open, to_shut = moves(knowledge, state, "checks", check) if check else ((), ())
    return sum(knowledge.access[name].open_minutes for name in to_open) + sum(
        knowledge.access[name].close_minutes for name in to_shut
    )


def moves(knowledge: Knowledge, state: State, kind: str, name: str):
    """(access states to bring about, in order; what is open now and must be shut first)."""
    step = getattr(knowledge, kind)[name]
    wanted = safety.opened_for(knowledge, kind, name)
    shut = shut_for(knowledge, state.opened, step, wanted)
    return tuple(layer for layer in wanted if layer not in state.opened or layer in shut), shut
