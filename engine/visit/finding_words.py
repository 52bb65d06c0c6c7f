"""Complaints, and answers to a question, found by the words that people use for them."""

import difflib
import math
import re
from collections import Counter
from dataclasses import dataclass

from engine.knowledge import Knowledge, schema

_EMPTY = frozenset(
    re.findall(
        r"\w+",
        "a an and are as at but by do does for from has have i in is it its me my of on or our "
        "that the then there they this to up was we when with boiler",
    )
)
_SMALL = frozenset({"not", "will", "would", "can", "even", "doesnt", "wont", "dont"})
"""Words that tell no answer from another, though they may tell complaints apart."""

ALIKE = 0.8
"""From this likeness of spelling on, two words are taken for one. Judgement."""

LEAST = 0.25
"""Share of the typed words, by weight, that a complaint must answer to be named. Judgement."""

DANGER_AHEAD = 0.2
"""By so much a danger sign may be further off and still come first. Judgement."""


@dataclass(frozen=True)
class Nearby:
    """A complaint near the typed words, and the saying of it that comes nearest."""

    symptom: str
    score: float
    saying: str


@dataclass(frozen=True)
class Answer:
    """An outcome near the typed words."""

    outcome: str
    score: float


def nearest_complaints(knowledge: Knowledge, typed: str, most: int = 5) -> tuple[Nearby, ...]:
    """The complaints whose sayings are nearest to the typed words, nearest first.

    A word counts more the fewer complaints use it; spelling mistakes are forgiven. Of two that
    are about equally near, a danger sign comes first.
    """
    sayings = {
        name: (symptom.name, *symptom.caller_says) for name, symptom in knowledge.symptoms.items()
    }
    found = [
        Nearby(name, score, sayings[name][best])
        for name, score, best in _nearest(sayings, _words(typed))
    ]
    found.sort(
        key=lambda near: -near.score - DANGER_AHEAD * bool(knowledge.symptoms[near.symptom].danger)
    )
    return tuple(found[:most])


def nearest_outcomes(check: schema.Check, typed: str, most: int = 3) -> tuple[Answer, ...]:
    """The answers to a check that are nearest to what somebody said, nearest first.

    Found as complaints are: a word counts more the fewer answers use it, and a danger sign comes
    first of two that are about equally near. Words that none of the few answers uses count for
    nothing. Nothing is entered: a person confirms it.

    Examples
    --------
    >>> from engine.visit.keeping import knowledge
    >>> check = knowledge().checks["hot_tap_test"]
    >>> nearest_outcomes(check, "it goes hot then cold in turns")[0].outcome
    'swings'
    """
    sayings = {
        name: (outcome.says, *outcome.caller_says) for name, outcome in check.outcomes.items()
    }
    used = {word for texts in sayings.values() for text in texts for word in _words(text)}
    words = [w for w in _words(typed) if w not in _SMALL and any(_alike(w, u) for u in used)]
    found = [Answer(name, score) for name, score, _ in _nearest(sayings, words)]
    found.sort(
        key=lambda near: -near.score - DANGER_AHEAD * bool(check.outcomes[near.outcome].danger)
    )
    return tuple(found[:most])


def _nearest(told, words) -> list[tuple[str, float, int]]:
    """(name, score, place of its nearest saying) of those that answer enough of the words."""
    if not words:
        return []
    sayings = {name: [_words(text) for text in texts] for name, texts in told.items()}
    spread = Counter(word for texts in sayings.values() for word in {w for t in texts for w in t})
    weight = {word: math.log(1 + len(sayings) / n) for word, n in spread.items()}
    heaviest = math.log(1 + len(sayings))
    found = []
    for name, texts in sayings.items():
        scores = [_score(words, text, weight, heaviest) for text in texts]
        whole = _score(words, [w for text in texts for w in text], weight, heaviest)
        best = max(range(len(texts)), key=scores.__getitem__)
        score = (whole + scores[best]) / 2
        if score >= LEAST:
            found.append((name, score, best))
    return found


def _score(words, text, weight, heaviest) -> float:
    """Share of the typed words that a text answers, each by its weight."""
    got = total = 0.0
    for word in words:
        likeness, other = max(((_alike(word, w), w) for w in text), default=(0.0, ""))
        worth = weight[other] if likeness else heaviest
        got += likeness * worth
        total += worth
    return got / total


def _alike(one, other) -> float:
    if one == other:
        return 1.0
    if min(len(one), len(other)) < 4:
        return 0.0
    if one.startswith(other) or other.startswith(one):
        return 0.9
    ratio = difflib.SequenceMatcher(None, one, other).ratio()
    return ratio if ratio >= ALIKE else 0.0


def _words(text) -> list[str]:
    words = re.findall(r"[a-z0-9]+", text.lower().replace("'", ""))
    return [_stem(word) for word in words if word not in _EMPTY]


def _stem(word) -> str:
    """A word without its plural or verb ending, so that 'bangs' and 'banging' meet 'bang'."""
    for ending in ("ing", "ies", "es", "ed", "s"):
        if word.endswith(ending) and len(word) - len(ending) >= 3:
            return word[: -len(ending)]
    return word
