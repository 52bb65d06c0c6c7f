"""From knowledge and circumstances to the arrays that belief is computed from.

How a complaint comes about, as modelled here: one *chief* cause brought the complaint; it is
drawn by how common the causes are for that complaint, or it is none of the listed ones. Any other
cause may stand beside it at its own prevalence, raised where the chief one promotes it.

Causes that bear on nothing found are summed out, not listed. Under the noisy-MAX rule a cause that
cannot produce a found outcome multiplies its probability by the same factor whatever else is
present, so leaving it out as a companion changes nothing among the others; it would only fill the
list with faults that stand unnoticed in many boilers. (Its own weight as the chief cause comes out
low, by a factor of at most 1 less its prevalence, where findings speak against it; soft findings
and promotion add their share to that.) With several complaints any of them may be the one that the
chief cause brought; the others are then findings like any other, each as likely as the share it
has among the complaints that a cause brings (Bayes' rule over the mix of complaints).
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from engine.knowledge import Knowledge
from engine.knowledge import graph as graphs
from engine.knowledge.facts import applies

UNLISTED = "none_of_these"
"""Stands for a cause that no file names. It is never mended, only referred."""

UNLISTED_SHARE = 0.04
"""Share of complaints that no listed cause explains. Judgement; no field statistics exist."""

UNLISTED_STRAYS = 0.1
"""How often an unlisted cause upsets a given check, its outcome then being any. Judgement."""

COMPLAINT_LEAK = 0.05
"""How often a further complaint is made that none of the present causes brings. Judgement."""


@dataclass(frozen=True, eq=False)
class Network:
    """Arrays over n causes, the last of which is `UNLISTED`.

    Attributes
    ----------
    causes : tuple of str, length n
    chief : ndarray, shape (s, n)
        For each complaint, how likely each cause is the one that brought it; rows sum to 1.
    share : ndarray, shape (s,)
        How likely each complaint is the one the chief cause brought; sums to 1.
    standing : ndarray, shape (n,)
        Prevalence of each cause beside another; 0 where that bears on nothing found, and only one
        complaint is made.
    promoted : mapping of (chief, beside) index pairs to prevalence
        Where it differs from `standing`.
    complaint : ndarray, shape (s, n)
        P(complaint not made) as far as each present cause goes.
    background : mapping of check to ndarray, shape (K,)
    effects : mapping of check to ndarray, shape (n, K)
        Cumulative probabilities, see `engine.belief.sets.outcome_table`.
    strays : mapping of check to ndarray, shape (K,)
        P(outcome <= k) as far as the causes go that may stand unnoticed beside the chief one and
        bear on nothing found yet. They change no belief, but what a check is expected to show.
    """

    causes: tuple[str, ...]
    chief: np.ndarray
    share: np.ndarray
    standing: np.ndarray
    promoted: Mapping[tuple[int, int], float]
    complaint: np.ndarray
    background: Mapping[str, np.ndarray]
    effects: Mapping[str, np.ndarray]
    strays: Mapping[str, np.ndarray]


def suspects_of(knowledge: Knowledge, symptoms: Collection[str]) -> set[str]:
    """Causes that can bring one of the complaints."""
    return {
        node[1]
        for symptom in symptoms
        for node in graphs.pointing(knowledge.graph, ("symptoms", symptom), "seen_with")
    }


def bearing_on(knowledge: Knowledge, found: Collection[tuple[str, str]]) -> set[str]:
    """Causes that can produce one of the faulty outcomes found."""
    return {
        node[1]
        for check, outcome in found
        if outcome != knowledge.checks[check].healthy
        for node in graphs.pointing(knowledge.graph, ("outcomes", check, outcome), "shows")
    }


def build(
    knowledge: Knowledge,
    symptoms: Collection[str],
    contexts: Collection[str],
    facts: Mapping[str, object],
    found: Collection[tuple[str, str]] = (),
) -> Network:
    """The network for one complaint on one boiler.

    Parameters
    ----------
    knowledge : Knowledge
    symptoms : collection of str
        Reported complaints; at least one.
    contexts : collection of str
        Circumstances that apply.
    facts : mapping of str to choice or SI value
        What is known of the boiler.
    found : collection of (check, outcome)
        Findings so far; they only widen what is considered.
    """
    symptoms = tuple(dict.fromkeys(symptoms))
    suspects = suspects_of(knowledge, symptoms)
    beside = bearing_on(knowledge, found) | (suspects if len(symptoms) > 1 else set())
    listed = tuple(
        name
        for name, cause in knowledge.causes.items()
        if name in suspects | beside and applies(cause.only_if, facts)
    )
    causes = (*listed, UNLISTED)
    index = {name: i for i, name in enumerate(causes)}
    factor = _context_factors(knowledge, contexts)
    standing = np.array(
        [_prevalence(knowledge, name, factor) if name in beside else 0.0 for name in causes]
    )
    promoted = {}
    for name in listed:
        for other, word in knowledge.causes[name].promotes.items():
            if other in index and other in beside:
                pair = index[name], index[other]
                promoted[pair] = _shift(standing[pair[1]], knowledge.shifts[word].factor)
    mix = np.array(
        [knowledge.commonness[knowledge.symptoms[name].share].weight for name in symptoms]
    )
    unnoticed = {
        name: _prevalence(knowledge, name, factor)
        for name, cause in knowledge.causes.items()
        if name not in beside and applies(cause.only_if, facts)
    }
    background, effects, strays = {}, {}, {}
    for name, check in knowledge.checks.items():
        if applies(check.only_if, facts):
            background[name] = _cumulative(_sound(knowledge, check))
            names, rows = _shown(knowledge)[name]
            effects[name] = _effects(names, rows, index)
            strays[name] = _strays(names, rows, unnoticed)
    return Network(
        causes=causes,
        chief=np.array([_chief(knowledge, name, listed, factor) for name in symptoms]),
        share=mix / mix.sum(),
        standing=standing,
        promoted=promoted,
        complaint=np.array([_not_made(knowledge, name, listed) for name in symptoms]),
        background=background,
        effects=effects,
        strays=strays,
    )


def _context_factors(knowledge, contexts) -> dict[str, float]:
    factors: dict[str, float] = {}
    for context in dict.fromkeys(contexts):
        for cause, word in knowledge.contexts[context].shifts.items():
            factors[cause] = factors.get(cause, 1.0) * knowledge.shifts[word].factor
    return factors


def _shift(probability: float, factor: float) -> float:
    """Multiply the odds of `probability` by `factor`."""
    odds = factor * probability / (1 - probability)
    return odds / (1 + odds)


def _prevalence(knowledge, name, factor) -> float:
    word = knowledge.causes[name].standing
    return _shift(knowledge.standing[word].probability, factor.get(name, 1.0))


def _chief(knowledge, symptom, listed, factor) -> np.ndarray:
    weights = np.array(
        [
            knowledge.commonness[word].weight * factor.get(name, 1.0)
            if (word := knowledge.causes[name].seen_with.get(symptom))
            else 0.0
            for name in listed
        ]
    )
    total = weights.sum()
    if total == 0:
        return np.append(weights, 1.0)
    return np.append(weights / total * (1 - UNLISTED_SHARE), UNLISTED_SHARE)


def _not_made(knowledge, symptom, listed) -> np.ndarray:
    """P(this complaint is not made) for each cause alone, by inversion over the mix."""
    mix = {
        name: knowledge.commonness[entry.share].weight for name, entry in knowledge.symptoms.items()
    }
    shares = []
    for name in listed:
        brings = {
            s: mix[s] * knowledge.commonness[word].weight
            for s, word in knowledge.causes[name].seen_with.items()
        }
        shares.append(brings.get(symptom, 0.0) / sum(brings.values()) if brings else 0.0)
    return 1.0 - np.array([*shares, UNLISTED_STRAYS])


def _sound(knowledge, check) -> np.ndarray:
    """P0(outcome): what a boiler shows that has nothing this check would find."""
    faulty = [
        knowledge.probability(outcome.in_sound_boiler)
        for outcome in list(check.outcomes.values())[1:]
    ]
    return np.array([1 - sum(faulty), *faulty])


@lru_cache(maxsize=4)
def _shown(knowledge) -> Mapping[str, tuple[tuple[str, ...], np.ndarray]]:
    """For each check, the causes that show there and their P(outcome <= k), (causes, K)."""
    outcomes = {name: list(check.outcomes) for name, check in knowledge.checks.items()}
    rows: dict[str, dict[str, np.ndarray]] = {name: {} for name in outcomes}
    for cause, entry in knowledge.causes.items():
        for check, shown in entry.shows.items():
            row = np.zeros(len(outcomes[check]))
            for outcome, word in shown.items():
                row[outcomes[check].index(outcome)] = knowledge.probability(word)
            row[0] = 1 - row[1:].sum()
            rows[check][cause] = row
    return {
        check: (tuple(some), _cumulative(np.array([*some.values()]).reshape(-1, len(names))))
        for (check, some), names in zip(rows.items(), outcomes.values(), strict=True)
    }


def _effects(names, rows, index) -> np.ndarray:
    """Cumulative rows of all causes; those that do not show here leave the healthy outcome."""
    effects = np.ones((len(index), rows.shape[1]))
    here = [i for i, name in enumerate(names) if name in index]
    effects[[index[names[i]] for i in here]] = rows[here]
    unlisted = np.full(rows.shape[1], UNLISTED_STRAYS / rows.shape[1])
    unlisted[0] = 1 - unlisted[1:].sum()
    effects[-1] = _cumulative(unlisted)
    return effects


def _strays(names, rows, unnoticed) -> np.ndarray:
    here = [i for i, name in enumerate(names) if name in unnoticed]
    beside = np.array([unnoticed[names[i]] for i in here])
    return np.prod(1 - beside[:, None] * (1 - rows[here]), axis=0)


def _cumulative(probabilities: np.ndarray) -> np.ndarray:
    total = np.clip(np.cumsum(probabilities, axis=-1), 0.0, 1.0)
    total[..., -1] = 1.0
    return total
