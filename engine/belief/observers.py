"""How far an answer can be trusted: a person's, and that of a proof run."""

from engine.knowledge import Knowledge

RELIABILITY = {"caller": 0.85, "technician_no_gas": 0.98, "technician": 0.98}
"""How often an observer reports rightly, where the check does not say. Judgement."""

PROOF_PASSES = {"sound": 0.97, "faulty": 0.12}
"""How often five starts in a row pass on a mended boiler, and on one that still has its fault:
an intermittent fault may stay away. Judgement."""


def reliability(knowledge: Knowledge, check: str, observer: str) -> float:
    """How often an observer reports the outcome of a check rightly."""
    word = knowledge.checks[check].reliability.get(observer)
    return knowledge.probability(word) if word else RELIABILITY[observer]
