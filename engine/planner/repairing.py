"""Repairing without another check: which repairs in which order, and where to prove.

The order is that of probability over cost, brought up to date behind covers: what lies behind a
closed cover is ranked as a block, the cover's opening spread over as many of its repairs as make
the block's ratio best [1]_. Without covers that is the rule which is optimal for one fault and
independent repairs [2]_, and for independent faults, where the weight of each single-cause set
stands for p/(1 - p) [3]_. Where the repairs are proven, and where the rest is referred, is then the
best of all cuts of that order, by dynamic programming over its places [4]_ [5]_.

.. [1] T. J. Ottosen, F. V. Jensen, "The cost of troubleshooting cost clusters with inside
   information", Uncertainty in Artificial Intelligence 26 (2010) (abstract read).
.. [2] J. Kalagnanam, M. Henrion, "A comparison of decision analysis and expert rules for
   sequential diagnosis", Uncertainty in Artificial Intelligence 4 (1990) 271-281.
.. [3] S. Srinivas, "A polynomial algorithm for computing the optimal repair strategy in a system
   with independent component failures", UAI 11 (1995), as stated by M. Vomlelova (2003).
.. [4] D. Heckerman, J. S. Breese, K. Rommelse, "Decision-theoretic troubleshooting",
   Communications of the ACM 38(3) (1995) 49-57, equations 1 and 2.
.. [5] T. J. Ottosen, F. V. Jensen, "When to test? Troubleshooting with postponed system test",
   technical report 10-001, Aalborg University (2010) (abstract read).
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from engine.planner.problem import Problem, Stand, referred

LONGEST = 10
"""How many repairs of an order are looked at; what is left after them is referred. Judgement."""

NEVER = 1e9
"""Minutes of a repair that cannot be done."""


@dataclass(frozen=True, eq=False)
class Plan:
    """What repairing without another check comes to, in R places.

    Attributes
    ----------
    minutes : ndarray, shape (R,)
        Expected, to a proven repair or a referral.
    order : ndarray of int, shape (R, L)
        Repairs in their order.
    batch : ndarray of int, shape (R,)
        How many of them come before the first proof; -1 where referring is cheapest.
    """

    minutes: np.ndarray
    order: np.ndarray
    batch: np.ndarray


def plan(problem: Problem, at: Stand) -> Plan:
    """The cheapest repairs without another check; see the module.

    Examples
    --------
    Five causes, probability .10 .30 .20 .25 .15, minutes 1 6 2 10 5, one fault:

    >>> from engine.planner.neutral import read
    >>> from engine.planner.problem import start
    >>> five = zip("abcde", [.10, .30, .20, .25, .15], [1, 6, 2, 10, 5])
    >>> problem, weights = read({
    ...     "causes": [{"id": i, "prior": p, "repair": {"minutes": c}} for i, p, c in five],
    ...     "refer": {"minutes": 1000}})
    >>> found = plan(problem, start(problem, weights))
    >>> round(float(found.minutes[0]), 9), [problem.repairs.names[i] for i in found.order[0]]
    (11.5, ['a', 'c', 'b', 'e', 'd'])
    """
    count = len(problem.repairs.names)
    if count == 0:
        return _none(problem, at)
    cost, can = costs(problem, at)
    members = problem.members
    alone = members.sum(axis=1) == 1
    single = at.weights[:, alone] @ members[alone]
    marginal = at.weights @ members
    best = None
    for mass in _candidates(single, marginal):
        order = _order(problem, at, mass @ problem.repairs.works.T, cost, can)
        found = _cut(problem, at, order, cost)
        best = found if best is None else _better(best, found)
    return best


def _candidates(single, marginal):
    """By single-cause weight, which is optimal where the theory says so, and by marginal, which
    does not overlook causes that stand in pairs only."""
    return (single,) if np.allclose(single, marginal, atol=1e-9) else (single, marginal)


def _better(one: Plan, other: Plan) -> Plan:
    take = other.minutes < one.minutes - 1e-12
    return Plan(
        np.where(take, other.minutes, one.minutes),
        np.where(take[:, None], other.order, one.order),
        np.where(take, other.batch, one.batch),
    )


def _none(problem, at) -> Plan:
    rows = len(at)
    return Plan(
        referred(problem, at), np.zeros((rows, 0), dtype=np.intp), np.full(rows, -1, dtype=np.intp)
    )


def costs(problem, at) -> tuple[np.ndarray, np.ndarray]:
    """(minutes of each repair without opening, with what justifies it; whether it can be done)."""
    repairs, checks = problem.repairs, problem.checks
    cost = np.broadcast_to(repairs.minutes, at.tried.shape)
    can = ~at.tried
    if not at.justified.all():
        by_check, cheapest = justifying(problem)
        at_hand = (~at.made).astype(float) @ by_check.astype(float) > 0 if len(checks.names) else 0
        at_hand = at_hand & ~at.pending[:, None]
        can = can & (at.justified | at_hand)
        cost = cost + np.where(at.justified, 0.0, cheapest)
    return np.where(can, cost, NEVER), can


@lru_cache(maxsize=64)
def justifying(problem) -> tuple[np.ndarray, np.ndarray]:
    """Which checks may justify which repair, (t, r); minutes of the cheapest, (r,)."""
    checks, repairs = problem.checks, problem.repairs
    by_check = np.zeros((len(checks.names), len(repairs.names)), dtype=bool)
    for column, which in enumerate(checks.owner):
        by_check[which] |= repairs.justifies[column]
    if not len(checks.names):
        return by_check, np.zeros(len(repairs.names))
    cheapest = np.where(by_check, checks.minutes[:, None], np.inf).min(axis=0)
    return by_check, np.where(np.isfinite(cheapest), cheapest, 0.0)


@lru_cache(maxsize=64)
def _ways(problem) -> tuple[np.ndarray, np.ndarray]:
    """(distinct accesses of the repairs, shape (d, a); which repairs each suffices for, (d, r))."""
    wanted = problem.repairs.wanted
    ways = np.unique(wanted, axis=0)
    inside = ~(wanted[None] & ~ways[:, None]).any(axis=2)
    return ways[ways.any(axis=1)], inside[ways.any(axis=1)]


def _order(problem, at, chance, cost, can) -> np.ndarray:
    """Repairs by the ratio of the best block that each belongs to; shape (R, L)."""
    ratio = np.where(can, chance, 0.0) / np.maximum(cost, 1e-9)
    own = np.argsort(-ratio, axis=1, kind="stable")[:, :LONGEST]  # (R, L), by ratio
    ways, inside = _ways(problem)
    if not len(ways):
        return own
    ratio = np.take_along_axis(ratio, own, 1)
    cost = np.take_along_axis(cost, own, 1)
    held = inside[:, own].transpose(1, 0, 2)  # (R, d, L)
    closed = problem.layers.opening(at.opened, ways)
    paid = np.cumsum(cost[:, None] * held, axis=2) + closed[:, :, None]
    block = np.cumsum((ratio * cost)[:, None] * held, axis=2) / np.maximum(paid, 1e-9)
    longest = block.argmax(axis=2)  # (R, d)
    value = np.take_along_axis(block, longest[:, :, None], 2)
    in_block = held & (np.arange(own.shape[1]) <= longest[:, :, None])
    index = np.where(in_block, value, 0.0).max(axis=1)  # (R, L)
    free = ~problem.repairs.wanted.any(axis=1)[own]
    index = np.where(free | (index == 0), np.maximum(index, ratio), index)
    return np.take_along_axis(own, np.argsort(-index, axis=1, kind="stable"), 1)


def _cut(problem, at, order, cost) -> Plan:
    """The best places for proofs, and for referring the rest; from the last place to the first."""
    rows, length = order.shape
    each = np.cumsum(np.take_along_axis(cost, order, 1), axis=1)
    faulty = _still_faulty(problem, at, order)
    opening = _openings(problem, at, order)
    refer = referred(problem, at)
    failed = np.empty((rows, length))  # what is to come where the proof after each repair fails

    def onward(i, spent, share):
        """Going on from place i, where `share` of the weight is still faulty."""
        left = faulty[:, i + 1 :] / np.maximum(share, 1e-12)[:, None]
        total = problem.proof_minutes + spent + left * failed[:, i:]
        best = total.argmin(axis=1)
        value = total[np.arange(rows), best]
        take = value < refer - 1e-12
        return np.where(take, value, refer), np.where(take, best + i + 1, -1)

    later = refer
    for i in range(length - 1, -1, -1):
        failed[:, i] = _failed(problem, later)
        if i:
            before = each[:, i - 1, None]
            later, _ = onward(i, each[:, i:] - before + opening(i, proven=True), faulty[:, i])
    value, choice = onward(0, each + opening(0), np.ones(rows))
    if at.pending.any():
        after, _ = onward(0, each + opening(0, proven=True), faulty[:, 0])
        now = problem.proof_minutes + faulty[:, 0] * _failed(problem, after)
        take = at.pending & (now < value - 1e-12)
        value, choice = np.where(take, now, value), np.where(take, 0, choice)
    return Plan(value, order, choice)


def _openings(problem, at, order):
    """Minutes of opening from any place of an order on, after a proof there or without one.

    What a proof leaves open is opened once, so its minutes only add up along the order; what it
    shuts is paid again by the first repair behind it after the proof.
    """
    layers, wanted = problem.layers, problem.repairs.wanted[order]  # (R, L, a)
    shut, closed = layers.shut_for_proof, ~at.opened[:, None]
    reached = np.logical_or.accumulate(wanted, axis=1) & closed
    once = (reached & ~shut) @ layers.minutes
    fresh = (reached & shut) @ layers.minutes
    place = np.arange(order.shape[1])
    last = np.where(wanted[:, :, shut], place[:, None], -1)
    last = np.maximum.accumulate(last, axis=1)  # where each layer was wanted last

    def opening(i, proven=False):
        """Summed up to every place from i on; shape (R, L - i)."""
        if not proven:
            return (once + fresh)[:, i:]
        before = once[:, i - 1, None] if i else 0.0
        return once[:, i:] - before + (last[:, i:] >= i) @ layers.minutes[shut]

    return opening


def _failed(problem, later):
    """What is still to come where a fault is left when a proof is run."""
    return (1 - problem.catches) * problem.missed_minutes + problem.catches * later


def _still_faulty(problem, at, order) -> np.ndarray:
    """Probability that a fault is left before each place of the order; shape (R, L + 1)."""
    rows, length = order.shape
    members, padded = problem.sets, np.zeros((rows, len(problem.causes) + 1))
    mended = padded  # P(cause mended by now)
    faulty = np.empty((rows, length + 1))
    faulty[:, 0] = 1 - at.weights[:, 0]
    for j in range(length):
        works = problem.repairs.works[order[:, j]]
        mended[:, :-1] = 1 - (1 - mended[:, :-1]) * (1 - works)
        mended[:, -1] = 1.0
        sound = mended[:, members[:, 0]]
        for place in range(1, members.shape[1]):
            sound = sound * mended[:, members[:, place]]
        faulty[:, j + 1] = 1 - (at.weights * sound).sum(axis=1)
    return np.clip(faulty, 0.0, 1.0)
