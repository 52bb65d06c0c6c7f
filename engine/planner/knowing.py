"""The all-knowing repairer, who is told after every step which causes are present.

Knowing more never costs more, for it can be ignored. So his minutes, averaged over a belief, are a
bound from below on anybody's, whatever is checked or proven; `engine.planner.exact` goes by it. He
is given two things more that can only help: any repair is justified, and one that mends nothing of
what is present opens its covers for nothing. He needs such a repair only to come to a proof, which
may overlook the fault and end the work; he takes the quickest first, for they are all the same to
him. He needs no check. His minutes are the least over all orders of the repairs that mend something
present, so an imperfect repair, a shared cover and a cover that a proof shuts cost him what they
cost anybody.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from engine.planner.problem import Problem


class TooLargeError(Exception):
    """More places than allowed."""


@dataclass(frozen=True, eq=False)
class Steps:
    """What steps take and open: checks first, then repairs. Sets of layers are bits of an int."""

    minutes: list[float]
    wanted: list[int]
    shut: list[int]
    layer_minutes: list[float]
    shut_for_proof: int

    @classmethod
    def of(cls, problem: Problem) -> "Steps":
        checks, repairs = problem.checks, problem.repairs
        return cls(
            [float(x) for x in (*checks.minutes, *repairs.minutes)],
            [bits(row) for row in (*checks.wanted, *repairs.wanted)],
            [bits(row) for row in (*checks.shut, *repairs.shut)],
            [float(x) for x in problem.layers.minutes],
            bits(problem.layers.shut_for_proof),
        )

    def move(self, step: int, opened: int) -> tuple[float, int]:
        """Minutes of a step with its opening, and what is open afterwards."""
        closed = self.wanted[step] & ~opened
        opening = sum(x for i, x in enumerate(self.layer_minutes) if closed >> i & 1)
        return self.minutes[step] + opening, opened & ~self.shut[step] | self.wanted[step]


def bits(flags) -> int:
    """The places of those that are true, as bits of an int."""
    return sum(1 << i for i, flag in enumerate(flags) if flag)


def moved(problem: Problem, which: int) -> np.ndarray:
    """P(set afterwards | set before) of a repair; shape (m, m)."""
    chance = np.eye(len(problem.sets))
    for held, left, over, works in problem.moves[which]:
        part = chance[:, held] * works
        chance[:, held] -= part
        chance[:, left] += part * (1 - over)
        chance[:, 0] += part @ over
    return chance


def proof_prices(problem: Problem) -> np.ndarray:
    """Expected price of a proof with what it may overlook, by the set present; shape (m,)."""
    passes = np.where(np.arange(len(problem.sets)) > 0, 1 - problem.catches, 1.0)
    overlooked = np.where(np.arange(len(problem.sets)) > 0, passes * problem.missed_minutes, 0.0)
    return problem.proof_minutes + passes * problem.closing_minutes + overlooked


class Knowing:
    """The all-knowing repairer of one problem.

    Parameters
    ----------
    most : int
        How many places he may look at.
    """

    def __init__(self, problem: Problem, most: int):
        self.problem, self.most, self.steps = problem, most, Steps.of(problem)
        sets, repairs = range(len(problem.sets)), problem.repairs
        self.first_repair = len(problem.checks.names)
        moves = [moved(problem, i) for i in range(len(repairs.names))]
        self.leads = [
            [[(int(to), float(row[to])) for to in np.flatnonzero(row)] for row in move]
            for move in moves
        ]
        self.proof = proof_prices(problem).tolist()
        self.mending = [bits(move[s, s] < 1 for move in moves) for s in sets]
        self.in_the_way = [
            bits(repairs.wanted[[move[s, s] < 1 for move in moves]].any(axis=0)) for s in sets
        ]
        self.quickest_first = np.argsort(repairs.minutes, kind="stable").tolist()
        self._least = lru_cache(maxsize=None)(self._least_anew)  # goes when this goes

    def minutes(self, opened: int, tried: int, pending: bool) -> np.ndarray:
        """His expected minutes by the set present; shape (m,).

        Parameters
        ----------
        opened, tried : int
            Layers and repairs, as bits.
        pending : bool
            Whether a repair waits for its proof.
        """
        sets = range(len(self.problem.sets))
        return np.array([self._from(s, opened, tried, pending) for s in sets])

    def _from(self, s, opened, tried, pending) -> float:
        """By no more of the place than matters where this set is present."""
        tried = tried & self.mending[s] if self.problem.catches == 1 else tried
        return self._least(s, opened & self.in_the_way[s], tried, pending)

    def _least_anew(self, s, opened, tried, pending) -> float:
        if self._least.cache_info().currsize > self.most:
            raise TooLargeError
        value = self.problem.refer_minutes
        for i in range(len(self.leads)):
            if self.mending[s] & ~tried & 1 << i:
                total, after = self.steps.move(self.first_repair + i, opened)
                for to, chance in self.leads[i][s]:
                    total += chance * self._from(to, after, tried | 1 << i, True)
                value = min(value, total)
        if s and self.problem.catches == 1:
            return value  # a proof would only tell what he knows
        return min(value, self._by_proof(s, opened, tried, pending))

    def _by_proof(self, s, opened, tried, pending) -> float:
        """Where a proof comes next, after the quickest vain repair if it needs one."""
        if pending:
            if s == 0:
                return self.proof[s]
            shut = opened & ~self.steps.shut_for_proof
            return self.proof[s] + self.problem.catches * self._from(s, shut, tried, False)
        for i in self.quickest_first:
            if not (self.mending[s] | tried) >> i & 1:
                onward = self._from(s, opened, tried | 1 << i, True)
                return self.steps.minutes[self.first_repair + i] + onward
        return self.problem.refer_minutes
