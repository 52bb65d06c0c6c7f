"""A step as it is read out on the phone, and the answers as a caller would put them."""

from dataclasses import dataclass

from engine.knowledge import Knowledge
from engine.visit.keeping import Visit
from engine.visit.view import Next


@dataclass(frozen=True)
class Script:
    """Sentences to read out: warnings first, then the step with what to bring about for it."""

    warn: tuple[str, ...]
    say: tuple[str, ...]


@dataclass(frozen=True)
class Reply:
    """One answer: as a caller would put it, and what the trade calls it."""

    outcome: str
    words: str
    says: str
    danger: bool


def script(known: Knowledge, step: Next) -> Script:
    """What to say for a step; the written steps where there are no words for the phone."""
    kinds = {"check": known.checks, "action": known.actions, "proof": known.closing}
    entry = kinds[step.kind][step.id]
    asks = (entry.asks,) if step.kind == "check" else ()
    spoken = {caution.says: caution.say for caution in known.cautions.values() if caution.say}
    layers = [known.access[name] for name in step.to_open]
    first = [text for layer in layers for text in layer.say or layer.open_how]
    return Script(
        tuple(spoken.get(text, text) for text in step.cautions),
        (*first, *(entry.say or (*entry.how, *asks))),
    )


def replies(known: Knowledge, check: str) -> tuple[Reply, ...]:
    """The answers to a check in their order.

    Examples
    --------
    >>> from engine.visit.keeping import knowledge
    >>> replies(knowledge(), "hot_tap_test")[0].words
    'It is hot and stays hot.'
    """
    return tuple(
        Reply(name, (*o.caller_says, o.says)[0], o.says, o.danger is not None)
        for name, o in known.checks[check].outcomes.items()
    )


def waits(known: Knowledge, visit: Visit) -> str:
    """What a call waits for, on one line."""
    state, step = visit.state, visit.view.next
    if state.danger:
        return f"STOP: {state.danger[0]}"
    if not state.symptoms:
        return "What does the boiler do?"
    if step is None:
        return "Everything is proven. Close the call."
    if step.kind == "refer":
        return "Book a visit"
    return known.checks[step.id].asks if step.kind == "check" else step.name
