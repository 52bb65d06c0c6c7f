"""Situations made by hand for the planner, and what following its advice really costs.

`Toy` is a repair problem in plain numbers: weights of fault sets, minutes, repairs that work with
a probability, checks as tables, layers to open. It keeps its own books, so that the price of the
advice is counted without the planner's arithmetic.
"""

from dataclasses import dataclass, field, replace
from itertools import combinations

import numpy as np

from engine.planner import Situation, rank
from engine.planner.access import Layers

NEVER = 1e6  # minutes of a referral that is never worth it


@dataclass(frozen=True)
class Toy:
    """`repairs`, `works` and `behind` go by cause; `checks` map a name to minutes and table."""

    weights: dict[frozenset, float]
    minutes: tuple[float | None, ...]  # None where nobody can mend the cause
    works: tuple[float, ...] = ()
    checks: dict[str, tuple[float, dict[frozenset, tuple[float, ...]]]] = field(
        default_factory=dict
    )
    refer: float = NEVER
    proof: float = 0.0
    layers: tuple[tuple[str, float, bool], ...] = ()  # name, minutes, shut to run
    behind: tuple[tuple[str, ...], ...] = ()  # layers to open for each repair
    opened: frozenset = frozenset()

    @property
    def causes(self) -> tuple[str, ...]:
        return tuple(f"c{i}" for i in range(len(self.minutes)))

    def situation(self) -> Situation:
        """The same in the planner's form."""
        n = len(self.minutes)
        width = max(max(map(len, self.weights)), 1)
        sets = sorted(self.weights, key=lambda s: (len(s), sorted(s)))
        names = tuple(name for name, _, _ in self.layers)
        wanted = np.array([[x in self._behind(i) for x in names] for i in range(n)], dtype=bool)
        none = np.zeros((len(self.checks), len(names)), dtype=bool)
        return Situation(
            sets=np.array([[*sorted(s), *[n] * (width - len(s))] for s in sets], dtype=np.intp),
            weights=np.array([self.weights[s] for s in sets]),
            checks=tuple(self.checks),
            tables=tuple(
                np.array([table[s] for s in sets]) for _, table in self.checks.values()
            ),
            check_minutes=np.array([minutes for minutes, _ in self.checks.values()]),
            check_wanted=none,
            check_shut=none,
            repairs=tuple(None if m is None else f"mend_c{i}" for i, m in enumerate(self.minutes)),
            repair_minutes=np.array([m or 0.0 for m in self.minutes]),
            works=np.array([0.0 if m is None else self._works(i)
                            for i, m in enumerate(self.minutes)]),
            repair_wanted=wanted.reshape(n, len(names)),
            repair_shut=np.zeros((n, len(names)), dtype=bool),
            repair_now=np.ones(n, dtype=bool),
            layers=Layers(
                names,
                np.array([minutes for _, minutes, _ in self.layers], dtype=float),
                np.array([shut for _, _, shut in self.layers], dtype=bool),
            ),
            opened=np.array([name in self.opened for name in names], dtype=bool),
            refer_minutes=self.refer,
            proof_minutes=self.proof,
            handed_over=False,
        )  # fmt: skip

    def _behind(self, i):
        return self.behind[i] if self.behind else ()

    def _works(self, i):
        return self.works[i] if self.works else 1.0

    def answered(self, check: str, outcome: int) -> tuple[float, "Toy"]:
        """P(outcome), and the problem after it."""
        _, table = self.checks[check]
        joint = {s: w * table[s][outcome] for s, w in self.weights.items()}
        total = sum(joint.values())
        rest = {name: entry for name, entry in self.checks.items() if name != check}
        after = {s: w / total for s, w in joint.items()} if total else joint
        return total, replace(self, weights=after, checks=rest)

    def tried(self, i: int) -> tuple[float, float, "Toy"]:
        """Minutes of a repair and its proof, P(still faulty), and the problem then."""
        to_open = set(self._behind(i)) - self.opened
        spent = self.minutes[i] + self.proof + sum(m for n, m, _ in self.layers if n in to_open)
        left = dict.fromkeys(self.weights, 0.0)
        for s, w in self.weights.items():
            mended = self._works(i) if i in s else 0.0
            left[s] += w * (1 - mended)
            if s - {i}:
                left[s - {i}] += w * mended
        total = sum(left.values())
        opened = (self.opened | set(self._behind(i))) - {
            n for n, _, to_run in self.layers if to_run
        }
        minutes = tuple(None if j == i else m for j, m in enumerate(self.minutes))
        after = {s: w / total for s, w in left.items()} if total > 1e-12 else left
        return spent, total, replace(self, weights=after, minutes=minutes, opened=opened)


def price_of_advice(toy: Toy, foresight: bool = False) -> float:
    """Expected minutes of doing what the planner says until mended or referred."""
    best = rank(toy.situation(), toy.causes, foresight).best
    if best.kind == "refer":
        return toy.refer
    if best.kind == "check":
        total = toy.checks[best.name][0]
        outcomes = len(next(iter(toy.checks[best.name][1].values())))
        for outcome in range(outcomes):
            chance, after = toy.answered(best.name, outcome)
            if chance > 1e-12:
                total += chance * price_of_advice(after, foresight)
        return total
    spent, left, after = toy.tried(toy.causes.index(best.cause))
    return spent + (left * price_of_advice(after, foresight) if left > 1e-12 else 0.0)


def least_possible(toy: Toy) -> float:
    """The best that any plan can reach, by trying every step in every state."""
    prices = [toy.refer]
    for name, (minutes, table) in toy.checks.items():
        total = minutes
        for outcome in range(len(next(iter(table.values())))):
            chance, after = toy.answered(name, outcome)
            if chance > 1e-12:
                total += chance * least_possible(after)
        prices.append(total)
    for i, minutes in enumerate(toy.minutes):
        if minutes is not None:
            spent, left, after = toy.tried(i)
            prices.append(spent + (left * least_possible(after) if left > 1e-12 else 0.0))
    return min(prices)


def one_fault(chances) -> dict[frozenset, float]:
    """Weights of a single fault, by cause."""
    return {frozenset({i}): p for i, p in enumerate(chances)}


def independent_faults(priors) -> dict[frozenset, float]:
    """Weights of all sets of independent faults, given that there is one at least."""
    n = len(priors)
    weights = {}
    for size in range(1, n + 1):
        for chosen in combinations(range(n), size):
            parts = [p if i in chosen else 1 - p for i, p in enumerate(priors)]
            weights[frozenset(chosen)] = float(np.prod(parts))
    total = sum(weights.values())
    return {s: w / total for s, w in weights.items()}
