"""What comes before a step: the states it needs, the cautions that stand there, the hazards left.

The review asks this of every step of the knowledge, and `engine.safety` of every step offered.
"""

from collections.abc import Collection

from engine.knowledge import graph as graphs
from engine.knowledge.loading import Knowledge


def opened_for(knowledge: Knowledge, kind: str, name: str) -> tuple[str, ...]:
    """Access states that a step needs, in the order in which they come about.

    For an access state itself: all that comes before it, then the state.
    """
    entry = getattr(knowledge, kind)[name]
    states = (name,) if kind == "access" else getattr(entry, "access", ())
    return graphs.opening_order(knowledge.graph, states)


def cautions(
    knowledge: Knowledge, kind: str, name: str, already_open: Collection[str] = ()
) -> tuple[str, ...]:
    """Caution ids that stand before a step: of what is opened for it, then its own.

    What is open already was warned of when it was opened; of a hazard that nothing else here
    speaks of, one caution is said again.
    """
    layers = opened_for(knowledge, kind, name)
    nodes = [("access", layer) for layer in layers if layer not in already_open] + [(kind, name)]
    found = [caution for node in nodes for caution in _cautions_of(knowledge, node)]
    spoken = {knowledge.cautions[caution].hazard for caution in found}
    for layer in layers:
        for caution in _cautions_of(knowledge, ("access", layer)):
            hazard = knowledge.cautions[caution].hazard
            if hazard not in spoken:
                spoken.add(hazard)
                found.append(caution)
    return tuple(dict.fromkeys(found))


def _cautions_of(knowledge, node):
    return [caution[1] for caution in graphs.joined(knowledge.graph, node, "warns")]


def uncovered(knowledge: Knowledge, kind: str, name: str) -> tuple[str, ...]:
    """Hazards of a step, its access included, that no caution of it speaks of."""
    hazards = set(getattr(knowledge, kind)[name].hazards)
    for layer in opened_for(knowledge, kind, name):
        hazards |= set(knowledge.access[layer].hazards)
    spoken = {knowledge.cautions[c].hazard for c in cautions(knowledge, kind, name)}
    return tuple(sorted(hazards - spoken))


FIVE_STARTS = "five_starts"
"""The closing step that says whether a repair has mended anything: it comes as soon as the burner
may be lit, and whatever else is proven comes after it."""


def gives_verdict(knowledge: Knowledge, closing: str) -> bool:
    """Whether a closing step says if anything was mended: five starts, or what stands for them
    where only what a caller may do was done."""
    return closing == FIVE_STARTS or knowledge.closing[closing].after_safe_acts


def at_the_end(knowledge: Knowledge, actions: Collection[str]) -> tuple[str, ...]:
    """Closing steps that stand at the end of repairs, whatever was opened for them."""
    safe = [name for name, entry in knowledge.closing.items() if entry.after_safe_acts]
    if safe and all(knowledge.actions[action].who == "caller" for action in actions):
        return tuple(safe)
    return tuple(name for name, entry in knowledge.closing.items() if entry.always)


CONFIRMING_MINUTES = 2.0
"""Minutes of a closing step that is confirmed in words. Judgement."""


def minutes_to_prove(knowledge: Knowledge, closing: str) -> float:
    """Minutes of a closing step: its own, its check's, or those for a look and a line."""
    entry = knowledge.closing[closing]
    if entry.minutes is not None:
        return entry.minutes
    return knowledge.checks[entry.check].minutes if entry.check else CONFIRMING_MINUTES
