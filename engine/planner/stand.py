"""Where one stands in a troubleshooting problem, and what each step does to it.

Steps are: make a check, do a repair, run a proof, refer. A check is made once, and again only after
a repair that may have changed what it shows; a repair is tried once. A repair need not be proven at
once, but no check comes between it and its proof, for a check reads a boiler that is known to be
faulty. A passed proof ends the work, and so does a referral.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from engine.planner.problem import Problem, entropy


@dataclass(frozen=True, eq=False)
class Stand:
    """Where one stands, in R places at once.

    Attributes
    ----------
    weights : ndarray, shape (R, m)
        Belief over the sets; rows sum to 1.
    opened : ndarray of bool, shape (R, a)
    made : ndarray of bool, shape (R, t)
    tried : ndarray of bool, shape (R, r)
        Done, or no use after what was done.
    justified : ndarray of bool, shape (R, r)
    unproven : ndarray of bool, shape (R, r)
        Done since the last proof.
    pending : ndarray of bool, shape (R,)
        Whether a repair waits for its proof.
    """

    weights: np.ndarray
    opened: np.ndarray
    made: np.ndarray
    tried: np.ndarray
    justified: np.ndarray
    unproven: np.ndarray
    pending: np.ndarray

    def __len__(self) -> int:
        return len(self.weights)

    def __getitem__(self, rows) -> "Stand":
        """Some of the places."""
        return Stand(
            self.weights[rows],
            self.opened[rows],
            self.made[rows],
            self.tried[rows],
            self.justified[rows],
            self.unproven[rows],
            self.pending[rows],
        )


def joined(stands: Sequence[Stand]) -> Stand:
    """All places of several, in their order."""
    return Stand(
        *(np.concatenate([getattr(s, field.name) for s in stands]) for field in fields(Stand))
    )


def start(problem: Problem, weights: np.ndarray, opened: np.ndarray | None = None) -> Stand:
    """The one place from which a problem begins."""
    layers = len(problem.layers.names)
    return Stand(
        weights=np.asarray(weights, dtype=float)[None],
        opened=(np.zeros(layers, dtype=bool) if opened is None else opened)[None],
        made=np.zeros((1, len(problem.checks.names)), dtype=bool),
        tried=np.zeros((1, len(problem.repairs.names)), dtype=bool),
        justified=problem.repairs.justified[None].copy(),
        unproven=np.zeros((1, len(problem.repairs.names)), dtype=bool),
        pending=np.zeros(1, dtype=bool),
    )


def check(problem: Problem, at: Stand, chosen: np.ndarray):
    """Make a check in every place.

    Parameters
    ----------
    chosen : ndarray of int, shape (R,)

    Returns
    -------
    minutes : ndarray, shape (R,)
    source : ndarray of int, shape (S,)
        The place that each possible answer comes from.
    chance : ndarray, shape (S,)
    after : Stand
        S places; answers that cannot come are left out.
    """
    checks = problem.checks
    minutes, opened = problem.layers.move(at.opened, checks.wanted[chosen], checks.shut[chosen])
    counts = checks.first[chosen + 1] - checks.first[chosen]
    source = np.repeat(np.arange(len(at)), counts)
    nth = np.arange(len(source)) - np.repeat(np.cumsum(counts) - counts, counts)
    column = checks.first[chosen][source] + nth
    joint = at.weights[source] * checks.shows.T[column]
    chance = joint.sum(axis=1)
    can = chance > 1e-12
    source, column, chance = source[can], column[can], chance[can]
    made = at.made[source]
    made[np.arange(len(source)), chosen[source]] = True
    after = Stand(
        weights=joint[can] / chance[:, None],
        opened=opened[source],
        made=made,
        tried=at.tried[source],
        justified=at.justified[source] | problem.repairs.justifies[column],
        unproven=at.unproven[source],
        pending=at.pending[source],
    )
    return checks.minutes[chosen] + minutes, source, chance, after


def repair(problem: Problem, at: Stand, chosen: np.ndarray) -> tuple[np.ndarray, Stand]:
    """Do a repair in every place; minutes of shape (R,), and the places afterwards."""
    repairs = problem.repairs
    minutes, opened = problem.layers.move(at.opened, repairs.wanted[chosen], repairs.shut[chosen])
    weights = at.weights.copy()
    for which in np.unique(chosen):
        rows = np.flatnonzero(chosen == which)
        for held, left, over, works in problem.moves[which]:
            moved = weights[rows[:, None], held] * works
            weights[rows[:, None], held] -= moved
            # Mending one cause leads from different sets to different sets.
            weights[rows[:, None], left] += moved * (1 - over)
            weights[rows, 0] += moved @ over
    done = np.zeros_like(at.tried)
    done[np.arange(len(at)), chosen] = True
    after = replace(
        at,
        weights=weights,
        opened=opened,
        made=at.made & ~repairs.refreshes[chosen],
        tried=at.tried | done | repairs.supersedes[chosen],
        unproven=at.unproven | done,
        pending=np.ones(len(at), dtype=bool),
    )
    return repairs.minutes[chosen] + minutes, after


def prove(problem: Problem, at: Stand) -> tuple[np.ndarray, np.ndarray, Stand]:
    """Run a proof in every place.

    Returns
    -------
    minutes : ndarray, shape (R,)
        With what follows a good verdict, and the price of a fault that the proof does not notice.
    fails : ndarray, shape (R,)
        Probability that the work goes on.
    after : Stand
        The places where it has failed.
    """
    faulty = np.clip(at.weights.sum(axis=1) - at.weights[:, 0], 0.0, None)
    fails = faulty * problem.catches
    weights = at.weights.copy()
    weights[:, 0] = 0.0
    weights /= np.where(faulty > 0, faulty, 1.0)[:, None]
    after = replace(
        at,
        weights=weights,
        opened=at.opened & ~problem.layers.shut_for_proof,
        unproven=np.zeros_like(at.unproven),
        pending=np.zeros(len(at), dtype=bool),
    )
    missed = (faulty - fails) * problem.missed_minutes
    return problem.proof_minutes + (1 - fails) * problem.closing_minutes + missed, fails, after


def referred(problem: Problem, at: Stand) -> np.ndarray:
    """What a referral costs in every place; shape (R,)."""
    price = np.full(len(at), problem.refer_minutes)
    if problem.doubt_minutes:
        price = price + problem.doubt_minutes * entropy(at.weights)
    return price
