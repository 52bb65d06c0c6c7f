"""Small random networks in plain numbers, and what follows from them by counting everything.

Nothing here uses the engine's arithmetic: sets are counted one by one, and the most dominant of
several independent outcomes is found by running through their combinations. `as_network` only
puts the same numbers into the engine's form (cumulative sums).
"""

import random
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np

from engine.belief.network import COMPLAINT_LEAK, Network


@dataclass
class Plain:
    """A network as a person would write it down."""

    chief: list[list[float]]  # for each complaint, P(cause is the chief one)
    share: list[float]
    standing: list[float]
    promoted: dict[tuple[int, int], float]
    made: list[list[float]]  # for each complaint, P(cause alone brings it)
    sound: dict[str, list[float]]  # for each check, P(outcome) with nothing wrong
    shown: dict[str, list[list[float]]]  # for each check and cause, P(outcome the cause tries for)
    findings: dict[str, list[float]] = field(default_factory=dict)  # weight of each outcome

    @property
    def count(self) -> int:
        return len(self.standing)


def _shares(dice, count):
    weights = [dice.expovariate(1) + 0.01 for _ in range(count)]
    return [w / sum(weights) for w in weights]


def drawn(seed: int, causes: int, checks: int, complaints: int = 1, soft: bool = True) -> Plain:
    """A network with promoted pairs and a finding on every check but one."""
    dice = random.Random(seed)
    standing = [0.0 if dice.random() < 0.3 else dice.uniform(0.002, 0.15) for _ in range(causes)]
    pairs = [(i, j) for i in range(causes) for j in range(causes) if i != j and standing[j]]
    promoted = {
        pair: dice.uniform(0.05, 0.4) for pair in dice.sample(pairs, min(len(pairs), causes // 2))
    }
    sound, shown, findings = {}, {}, {}
    for number in range(checks):
        outcomes = dice.choice([2, 2, 3, 4])
        faulty = [0.1 * p for p in _shares(dice, outcomes)[1:]]
        sound[f"check{number}"] = [1 - sum(faulty), *faulty]
        rows = []
        for _ in range(causes):
            reach = 0.0 if dice.random() < 0.4 else dice.uniform(0.1, 0.97)
            tried = [reach * p for p in _shares(dice, outcomes - 1)]
            rows.append([1 - sum(tried), *tried])
        shown[f"check{number}"] = rows
        if number:
            seen = dice.randrange(outcomes)
            reliable = dice.uniform(0.8, 1.0) if soft and dice.random() < 0.7 else 1.0
            findings[f"check{number}"] = [
                reliable * (k == seen) + (1 - reliable) / outcomes for k in range(outcomes)
            ]
            if soft and dice.random() < 0.2:  # a reading whose accuracy reaches all bands
                findings[f"check{number}"] = _shares(dice, outcomes)
    return Plain(
        chief=[_shares(dice, causes) for _ in range(complaints)],
        share=_shares(dice, complaints),
        standing=standing,
        promoted=promoted,
        made=[[dice.uniform(0, 0.9) for _ in range(causes)] for _ in range(complaints)],
        sound=sound,
        shown=shown,
        findings=findings,
    )


def as_network(plain: Plain) -> Network:
    """The same numbers in the engine's form; the last cause takes the unlisted one's place."""
    names = tuple(f"cause{i}" for i in range(plain.count - 1))
    return Network(
        causes=(*names, "none_of_these"),
        chief=np.array(plain.chief),
        share=np.array(plain.share),
        standing=np.array(plain.standing),
        promoted=plain.promoted,
        complaint=1 - np.array(plain.made),
        background={check: _summed(row) for check, row in plain.sound.items()},
        effects={check: _summed(rows) for check, rows in plain.shown.items()},
        strays={check: np.ones(len(row)) for check, row in plain.sound.items()},
    )


def _summed(rows):
    sums = np.cumsum(rows, axis=-1)
    sums[..., -1] = 1.0  # the network's form asks for exactly 1
    return sums


def every_set(count: int, largest: int) -> list[tuple[int, ...]]:
    """All sets of at most `largest` of `count` causes, the smallest first."""
    return [chosen for size in range(largest + 1) for chosen in combinations(range(count), size)]


def outcomes_of(plain: Plain, check: str, chosen: tuple[int, ...]) -> list[float]:
    """P(outcome) of a check: the most dominant of what sound boiler and causes each try for."""
    shown = list(plain.sound[check])
    for cause in chosen:
        tried = plain.shown[check][cause]
        both = [0.0] * len(shown)
        for i, p in enumerate(shown):
            for j, q in enumerate(tried):
                both[max(i, j)] += p * q
        shown = both
    return shown


def chiefs_of(plain: Plain, chosen: tuple[int, ...]) -> dict[int, float]:
    """P(exactly these causes, all complaints made, this one the chief) for each of the causes."""
    total = dict.fromkeys(chosen, 0.0)
    for s, share in enumerate(plain.share):
        others = 1.0
        for i in range(len(plain.share)):
            if i != s:
                quiet = 1 - COMPLAINT_LEAK
                for cause in chosen:
                    quiet *= 1 - plain.made[i][cause]
                others *= 1 - quiet
        for chief in chosen:
            together = plain.chief[s][chief]
            for cause in range(plain.count):
                if cause != chief:
                    p = plain.promoted.get((chief, cause), plain.standing[cause])
                    together *= p if cause in chosen else 1 - p
            total[chief] += share * together * others
    return total


def prior_of(plain: Plain, chosen: tuple[int, ...]) -> float:
    """P(exactly these causes, and all complaints made)."""
    return sum(chiefs_of(plain, chosen).values())


def joint_of(plain: Plain, chosen: tuple[int, ...]) -> float:
    """P(exactly these causes, all complaints, all findings)."""
    total = prior_of(plain, chosen)
    for check, weights in plain.findings.items():
        shown = outcomes_of(plain, check, chosen)
        total *= sum(w * p for w, p in zip(weights, shown, strict=True))
    return total


def marginals_of(joint: dict[tuple[int, ...], float], count: int) -> list[float]:
    """P(cause present) from the weight of each set."""
    total = sum(joint.values())
    return [sum(w for chosen, w in joint.items() if i in chosen) / total for i in range(count)]
