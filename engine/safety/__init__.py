"""The gate: what ends a visit at once, and what is never offered to whom.

Nothing here weighs anything. A danger sign stops; a step that this person may not do does not
exist for them; a step's cautions are those of everything that is opened for it.
"""

from collections.abc import Collection, Iterable, Mapping

from engine.knowledge import Knowledge
from engine.knowledge import graph as graphs
from engine.knowledge.before import cautions, opened_for, uncovered
from engine.knowledge.facts import applies
from engine.knowledge.schema import WHO, Danger

__all__ = [
    "allowed", "cautions", "danger", "justified", "may", "may_prove", "needs_justification",
    "opened_for", "possible", "uncovered", "unmet",
]  # fmt: skip


def may(who: str, least: str) -> bool:
    """Whether `who` may do what is reserved to `least` and those above.

    Examples
    --------
    >>> may("caller", "technician"), may("technician", "technician_no_gas")
    (False, True)
    """
    return WHO.index(who) >= WHO.index(least)


def allowed(knowledge: Knowledge, who: str, kind: str, name: str) -> bool:
    """Whether this person may do this check, action or closing step, its access included.

    A caller opens nothing: any step behind an opened layer is out, whatever it says itself.
    """
    step = getattr(knowledge, kind)[name]
    if not may(who, step.who):
        return False
    layers = opened_for(knowledge, kind, name)
    if who == "caller" and any(knowledge.access[layer].kind == "opened" for layer in layers):
        return False
    return all(may(who, knowledge.access[layer].who) for layer in layers)


def may_prove(knowledge: Knowledge, who: str, closing: str) -> bool:
    """Whether this person may fill a closing step, the check behind it included."""
    check = knowledge.closing[closing].check
    return allowed(knowledge, who, "closing", closing) and (
        check is None or allowed(knowledge, who, "checks", check)
    )


def danger(
    knowledge: Knowledge, symptoms: Iterable[str], found: Iterable[tuple[str, str]]
) -> tuple[str, Danger] | None:
    """The first danger sign among complaints and findings: its name and what to say."""
    for symptom in symptoms:
        entry = knowledge.symptoms[symptom]
        if entry.danger:
            return entry.name, entry.danger
    for check, outcome in found:
        entry = knowledge.checks[check].outcomes[outcome]
        if entry.danger:
            return f"{knowledge.checks[check].name}: {entry.says}", entry.danger
    return None


def needs_justification(knowledge: Knowledge, action: str) -> bool:
    """Whether an action breaks into the gas or combustion circuit, or sets the mixture.

    Such an action does not come before a finding that points at the cause it mends.
    """
    entry = knowledge.actions[action]
    if entry.kind == "adjust":
        return True
    layers = opened_for(knowledge, "actions", action)
    return any(set(knowledge.access[layer].breaks) & {"gas", "combustion"} for layer in layers)


def justified(
    knowledge: Knowledge, action: str, cause: str, found: Collection[tuple[str, str]]
) -> bool:
    """Whether the findings lead, in the graph, to this cause and on to this action."""
    if not needs_justification(knowledge, action):
        return True
    return any(
        (cause, action) in graphs.evidence_paths(knowledge.graph, check, outcome)
        for check, outcome in found
    )


def unmet(
    knowledge: Knowledge, facts: Mapping[str, object], action: str, found: Mapping[str, str]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What stands between the findings and an action: (checks not made yet, checks that came out
    against it). Checks that this boiler does not have do not count."""
    missing, against = [], []
    for check, outcomes in knowledge.actions[action].only_after.items():
        if not possible(knowledge, facts, "checks", check):
            continue
        if check not in found:
            missing.append(check)
        elif found[check] not in outcomes:
            against.append(check)
    return tuple(missing), tuple(against)


def possible(knowledge: Knowledge, facts: Mapping[str, object], kind: str, name: str) -> bool:
    """Whether a step exists on this boiler."""
    return applies(getattr(knowledge, kind)[name].only_if, facts)
