"""Why this step, in a technician's words, from the belief's own numbers.

Every sentence here is carried by a number of the posterior; where there is none, nothing is said.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import permutations

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


TWICE = 2.0
"""An answer tells two suspects apart where it is this much likelier with one of them."""

LEADING = 0.01
"""From this probability on a suspect is looked at; an answer from this chance on. Judgement."""

SEPARATED = 6
"""How many suspects are named at the most. Judgement."""


@dataclass(frozen=True)
class Parted:
    """An answer that is `ratio` times as likely with one suspect as with another.

    Without `less` it is as likely with it as without it: above 1 it speaks for it, below 1 against.
    """

    outcome: int
    more: str
    less: str | None
    ratio: float


def parted(belief: Belief, check: str, sure: float = 1.0) -> tuple[Parted, ...]:
    """The pairs of leading suspects that a check tells apart, those first that it moves most.

    Each pair with the answer that tells most. Where no two suspects are told apart, those suspects
    that an answer speaks for or against, be it against all that is unlikely.

    Parameters
    ----------
    sure : float
        How often whoever looks reports rightly; what is wrong may be any answer.
    """
    names, chance, shows, lacks, answers = _shown(belief, check, sure)
    pairs = []
    for a, b in permutations(range(len(names)), 2):
        ratio = shows[a] / np.maximum(shows[b], 1e-12)
        gap = np.where(answers & (ratio >= TWICE), shows[a] - shows[b], 0.0)
        if gap.max(initial=0.0) > 0:
            k = int(gap.argmax())
            moved = chance[a] * chance[b] * np.abs(shows[a] - shows[b]).sum()
            pairs.append((moved, Parted(k, names[a], names[b], float(ratio[k]))))
    if not pairs:
        for a, name in enumerate(names):
            ratio = shows[a] / np.maximum(lacks[a], 1e-12)
            far = np.where(answers, np.abs(np.log(np.maximum(ratio, 1e-12))), 0.0)
            k = int(far.argmax())
            if far[k] >= np.log(TWICE):
                moved = chance[a] * np.abs(shows[a] - lacks[a]).sum()
                pairs.append((moved, Parted(k, name, None, float(ratio[k]))))
    return tuple(pair for _, pair in sorted(pairs, key=lambda pair: -pair[0]))


def _shown(belief, check, sure):
    """(leading suspects, their probabilities, P(answer | suspect), P(answer | not the suspect),
    which answers are likely enough to count)."""
    space = belief.space
    table = space.foreseen(check, np.arange(len(belief.weights)))
    table = sure * table + (1 - sure) / table.shape[1]
    chances = dict(suspects(belief))
    names = [name for name, p in chances.items() if p >= LEADING]
    chance = np.array([chances[name] for name in names])
    index = [space.network.causes.index(name) for name in names]
    joint = (belief.weights[:, None] * space.members[:, index]).T @ table
    total = belief.weights @ table
    lacks = (total - joint) / np.maximum(1 - chance, 1e-12)[:, None]
    return names, chance, joint / chance[:, None], lacks, total >= LEADING


def separates(belief: Belief, check: str, sure: float = 1.0) -> tuple[str, ...]:
    """The suspects that a check tells apart: each at least twice as likely to bring some answer as
    another of them, or half as likely; the most moved first.
    """
    named: list[str] = []
    for pair in parted(belief, check, sure):
        new = [name for name in (pair.more, pair.less) if name not in named]
        if pair.less and len(named) + len(new) <= SEPARATED:
            named += new
    return tuple(named)


@dataclass(frozen=True)
class Aims:
    """What a repair may mend.

    Attributes
    ----------
    causes : tuple of (cause, chance)
        Chance that the cause must be mended for the complaint to go, and is mended by it; the
        likeliest first.
    any : float
        Chance that it mends at least one of these.
    """

    causes: tuple[tuple[str, float], ...]
    any: float


def aims(belief: Belief, knowledge: Knowledge, action: str) -> Aims:
    """What an action may mend, whatever it is meant for; no causes where none is in question."""
    works = {
        name: knowledge.probability(knowledge.causes[name].mended_by[action])
        for name, chance in suspects(belief)
        if chance > 0 and action in knowledge.causes[name].mended_by
    }
    index = [belief.space.network.causes.index(name) for name in works]
    sure = np.array(list(works.values()))
    chances = belief.to_mend()[index] * sure
    causes = [(name, float(p)) for name, p in zip(works, chances, strict=True)]
    if belief.space.chief is not None:
        helps = chances.sum()  # one cause alone has brought the complaint
    else:
        fails = np.where(belief.space.members[:, index], 1 - sure, 1.0).prod(axis=1)
        helps = belief.weights @ (1 - fails)
    return Aims(tuple(sorted(causes, key=lambda pair: -pair[1])), float(helps))


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
