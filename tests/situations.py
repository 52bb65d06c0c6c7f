"""Situations made by hand for the planner, and what following its advice really costs.

`Toy` is a repair problem in plain numbers: weights of fault sets, minutes, repairs that work with
a probability, checks as tables, layers to open. It keeps its own books, so that the price of the
advice is counted without the planner's arithmetic.
"""

from dataclasses import dataclass, field, replace
from itertools import combinations

import numpy as np

from engine.planner.problem import Checks, Layers, Problem, Repairs
from engine.planner.rollout import rank
from engine.planner.stand import start

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
    pending: bool = False  # whether a repair waits for its proof

    @property
    def causes(self) -> tuple[str, ...]:
        return tuple(f"c{i}" for i in range(len(self.minutes)))

    def problem(self):
        """The same in the planner's form, and the place to begin from."""
        n = len(self.minutes)
        sets = closed(self.weights)
        layers = Layers(
            names=tuple(name for name, _, _ in self.layers),
            minutes=np.array([minutes for _, minutes, _ in self.layers], dtype=float),
            shut_for_proof=np.array([shut for _, _, shut in self.layers], dtype=bool),
        )
        mended = [i for i, minutes in enumerate(self.minutes) if minutes is not None]
        wanted = np.array([layers.mask(self._behind(i)) for i in mended], dtype=bool)
        wanted = wanted.reshape(len(mended), len(layers.names))
        tables = [
            np.array([table.get(s, uniform(table)) for s in sets])
            for _, table in self.checks.values()
        ]
        width = max(max(map(len, sets)), 1)
        columns = sum(table.shape[1] for table in tables)
        free = np.zeros((len(tables), len(layers.names)), dtype=bool)
        problem = Problem(
            causes=self.causes,
            sets=np.array([[*sorted(s), *[n] * (width - len(s))] for s in sets], dtype=np.intp),
            checks=Checks(
                names=tuple(self.checks),
                minutes=np.array([minutes for minutes, _ in self.checks.values()], dtype=float),
                wanted=free,
                shut=free,
                shows=np.concatenate(tables, axis=1) if tables else np.zeros((len(sets), 0)),
                first=np.cumsum([0, *(table.shape[1] for table in tables)]),
            ),
            repairs=Repairs(
                names=tuple(f"mend_c{i}" for i in mended),
                minutes=np.array([self.minutes[i] for i in mended], dtype=float),
                works=np.array(
                    [[self._works(i) if j == i else 0.0 for j in range(n)] for i in mended]
                ).reshape(-1, n),
                wanted=wanted,
                shut=np.zeros_like(wanted),
                justified=np.ones(len(mended), dtype=bool),
                justifies=np.zeros((columns, len(mended)), dtype=bool),
                refreshes=np.zeros((len(mended), len(self.checks)), dtype=bool),
                supersedes=np.zeros((len(mended), len(mended)), dtype=bool),
            ),
            layers=layers,
            proof_minutes=self.proof,
            refer_minutes=self.refer,
        )
        weights = np.array([self.weights.get(s, 0.0) for s in sets])
        at = start(problem, weights, layers.mask(self.opened))
        at.pending[:] = self.pending
        return problem, at

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

    def tried(self, i: int) -> tuple[float, "Toy"]:
        """Minutes of a repair, and the problem before its proof."""
        to_open = set(self._behind(i)) - self.opened
        spent = self.minutes[i] + sum(m for n, m, _ in self.layers if n in to_open)
        left = {}
        for s, w in self.weights.items():
            mended = self._works(i) if i in s else 0.0
            for rest, share in ((s, 1 - mended), (s - {i}, mended)):
                if share:
                    left[rest] = left.get(rest, 0.0) + w * share
        minutes = tuple(None if j == i else m for j, m in enumerate(self.minutes))
        opened = self.opened | set(self._behind(i))
        return spent, replace(self, weights=left, minutes=minutes, opened=opened, pending=True)

    def proven(self) -> tuple[float, "Toy"]:
        """P(still faulty) after a proof run, and the problem then."""
        total = sum(w for s, w in self.weights.items() if s)
        left = {s: w / total for s, w in self.weights.items() if s} if total > 1e-12 else {}
        opened = self.opened - {n for n, _, to_run in self.layers if to_run}
        return total, replace(self, weights=left, opened=frozenset(opened), pending=False)

    def steps(self):
        """Everything that can be done now: (kind, name), and its (minutes, [(chance, after)])."""
        yield ("refer", "refer"), (self.refer, [])
        if self.pending:
            left, after = self.proven()
            yield ("proof", "proof"), (self.proof, [(left, after)] if left > 1e-12 else [])
        for i, minutes in enumerate(self.minutes):
            if minutes is not None:
                spent, after = self.tried(i)
                yield ("repair", f"mend_c{i}"), (spent, [(1.0, after)])
        for name, (minutes, table) in {} if self.pending else self.checks.items():
            answers = [self.answered(name, o) for o in range(len(next(iter(table.values()))))]
            yield ("check", name), (minutes, [a for a in answers if a[0] > 1e-12])


def closed(weights) -> list[frozenset]:
    """All sets that mending may lead to, the empty one first."""
    sets = {frozenset()} | set(weights)
    for s in list(sets):
        for size in range(len(s)):
            sets |= set(map(frozenset, combinations(sorted(s), size)))
    return sorted(sets, key=lambda s: (len(s), sorted(s)))


def uniform(table) -> tuple[float, ...]:
    """What a check shows for a set that the toy says nothing of."""
    outcomes = len(next(iter(table.values())))
    return (1 / outcomes,) * outcomes


def advice(toy: Toy):
    """(kind, name), minutes and expected minutes of all steps that the planner ranks."""
    problem, at = toy.problem()
    names = {"check": problem.checks.names, "repair": problem.repairs.names}
    return {
        (p.step.kind, names[p.step.kind][p.step.index] if p.step.kind in names else p.step.kind): (
            p.expected
        )
        for p in rank(problem, at)
    }


def price_of_advice(toy: Toy) -> float:
    """Expected minutes of doing what the planner says until mended or referred."""
    best = next(iter(advice(toy)))
    minutes, after = dict(toy.steps())[best]
    return minutes + sum(chance * price_of_advice(rest) for chance, rest in after)


def least_possible(toy: Toy) -> float:
    """The best that any plan can reach, by trying every step in every state."""
    return min(
        minutes + sum(chance * least_possible(rest) for chance, rest in after)
        for _, (minutes, after) in toy.steps()
    )


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
