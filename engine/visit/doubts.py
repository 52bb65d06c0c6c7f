"""What speaks against going on as before: findings that fit badly, checks without an answer."""

from engine import explain
from engine.knowledge import Knowledge
from engine.visit.state import State
from engine.visit.thinking import Thought

UNANSWERED = 5
"""So many checks in a row without an answer, and the tool says that it leads nowhere. Judgement."""


def unusual(knowledge: Knowledge, thought: Thought) -> tuple[str, ...]:
    """Findings that are surprising beside all others, in sentences."""
    sentences = []
    for surprise in explain.surprises(thought.before, thought.likelihoods):
        check = knowledge.checks[surprise.check]
        odds = max(round(1 / max(surprise.probability, 1e-4)), 2)
        text = (
            f"{check.name}: '{check.outcomes[surprise.outcome].says}' comes about once in {odds} "
            "with everything else that was found. Measure it again, or look for a second fault."
        )
        if surprise.against:
            others = ", ".join(f"'{knowledge.checks[c].name}'" for c in surprise.against[:3])
            text += f" It disagrees most with {others}."
        sentences.append(text)
    return tuple(sentences)


def at_a_loss(knowledge: Knowledge, state: State) -> str:
    """That nothing is being found out, and what would mend it; empty where it is not so."""
    count = len(state.unanswered)
    if count < UNANSWERED:
        return ""
    said = f"The last {count} checks brought no answer, and without answers nothing is found out."
    checks = [knowledge.checks[name] for name in state.unanswered]
    missing = dict.fromkeys(check.instrument for check in checks if check.instrument)
    if missing:
        said += f" Needed: {'; '.join(missing)}. Fetch what is missing,"
        return f"{said} choose another step, or make safe and refer."
    return f"{said} Choose another step, or make safe and refer."
