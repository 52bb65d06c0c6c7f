"""Why this step, in a technician's words, from the belief's own numbers.

Every sentence here is carried by a number of the posterior; where there is none, nothing is said.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from engine.belief.network import UNLISTED
from engine.belief.posterior import Belief
from engine.knowledge import Knowledge

WORDS = (
    (0.75, "very likely"),
    (0.40, "likely"),
    (0.15, "possible"),
    (0.03, "less likely"),
    (0.0, "unlikely"),
)
"""Lowest probability for each word a suspect is shown with. Judgement."""


def in_words(probability: float) -> str:
    """A suspect's probability as a word.

    Examples
    --------
    >>> in_words(0.5), in_words(0.01)
    ('likely', 'unlikely')
    """
    return next(word for least, word in WORDS if probability >= least)


@dataclass(frozen=True)
class WhatIf:
    """What one answer of a check would lead to, before anybody has given it."""

    outcome: str
    probability: float
    suspects: tuple[tuple[str, float], ...]


def what_if(belief: Belief, knowledge: Knowledge, check: str, most: int = 3) -> tuple[WhatIf, ...]:
    """For every outcome of a check: how likely it is, and the first suspects after it."""
    table = belief.space.table(check)
    results = []
    chances = belief.predict(check)
    for k, outcome in enumerate(knowledge.checks[check].outcomes):
        chance = float(chances[k])
        if chance <= 0:
            continue
        after = belief.observe(table[:, k])
        results.append(WhatIf(outcome, chance, suspects(after)[:most]))
    return tuple(results)


def suspects(belief: Belief) -> tuple[tuple[str, float], ...]:
    """Listed causes with their probability, the likeliest first."""
    marginals = belief.marginals()
    named = [
        (name, float(p))
        for name, p in zip(belief.space.network.causes, marginals, strict=True)
        if name != UNLISTED
    ]
    return tuple(sorted(named, key=lambda pair: (-round(pair[1], 12), pair[0])))


def separates(belief: Belief, check: str, among: int = 6, least: float = 0.05) -> tuple[str, ...]:
    """The leading suspects whose probability this check would move most.

    Parameters
    ----------
    among : int
        How many suspects are looked at.
    least : float
        Smallest expected change of a suspect's probability, as a share of it, worth naming.
    """
    before = belief.marginals()
    table = belief.space.table(check)
    joint = (belief.weights[:, None] * table).T @ belief.space.members  # P(outcome, cause)
    chance = belief.predict(check)
    change = np.abs(joint - chance[:, None] * before).sum(axis=0)
    first = [name for name, p in suspects(belief)[:among] if p > 0.01]
    index = {name: i for i, name in enumerate(belief.space.network.causes)}
    named = [name for name in first if change[index[name]] > least * before[index[name]]]
    return tuple(sorted(named, key=lambda name: -change[index[name]]))


@dataclass(frozen=True)
class Evidence:
    """How one finding bears on one cause: above 1 it speaks for it, below 1 against it."""

    check: str
    outcome: str
    ratio: float


def evidence(
    belief: Belief,
    before: np.ndarray,
    likelihoods: Mapping[str, tuple[str, np.ndarray]],
    cause: str,
) -> tuple[Evidence, ...]:
    """What speaks for and against a cause, the strongest first.

    Parameters
    ----------
    before : ndarray, shape (m,)
        Weights before these findings.
    likelihoods : mapping of check to (outcome, ndarray of shape (m,))
        P(finding | set) of every finding.
    """
    index = belief.space.network.causes.index(cause)
    with_it = belief.space.members[:, index]
    results = []
    for check, (outcome, likelihood) in likelihoods.items():
        having = (before * likelihood)[with_it].sum() / before[with_it].sum()
        lacking = (before * likelihood)[~with_it].sum() / before[~with_it].sum()
        if lacking > 0:
            results.append(Evidence(check, outcome, float(having / lacking)))
    return tuple(sorted(results, key=lambda e: -abs(np.log(max(e.ratio, 1e-12)))))


@dataclass(frozen=True)
class Surprise:
    """A finding that the others make unlikely, and those that it disagrees with."""

    check: str
    outcome: str
    probability: float
    against: tuple[str, ...]


SURPRISING = 0.06
"""A finding this unlikely in the light of all others is worth measuring again. Judgement."""


def surprises(
    prior: np.ndarray, likelihoods: Mapping[str, tuple[str, np.ndarray]]
) -> tuple[Surprise, ...]:
    """Findings that the other findings make unlikely.

    Parameters
    ----------
    prior : ndarray, shape (m,)
        Weights before these findings.
    likelihoods : mapping of check to (outcome, ndarray of shape (m,))
        P(finding | set) of every finding.
    """
    found = []
    for check, (outcome, likelihood) in likelihoods.items():
        others = {c: l for c, (_, l) in likelihoods.items() if c != check}
        chance = _predicted(prior, likelihood, others.values())
        if chance >= SURPRISING:
            continue
        against = tuple(
            other
            for other in others
            if _predicted(prior, likelihood, (l for c, l in others.items() if c != other))
            > 2 * max(chance, 1e-12)
        )
        found.append(Surprise(check, outcome, chance, against))
    return tuple(sorted(found, key=lambda s: s.probability))


def _predicted(prior, likelihood, others) -> float:
    weights = prior.copy()
    for other in others:
        weights = weights * other
    return float((weights * likelihood).sum() / weights.sum())
