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

from engine.planner.problem import Problem
from engine.planner.stand import Stand, referred

LONGEST, IN_MANY = 10, 6
"""How many repairs of an order are looked at; what is left after them is referred. The second where
there are many repairs to choose from: on the shipped knowledge it does as well, sooner.
Judgement."""

MANY = 30
"""More repairs than these are many. Judgement."""

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
    >>> from engine.planner.stand import start
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
    works = problem.repairs.works.T
    one = _order(problem, at, at.weights @ problem.alone @ works, cost, can)
    best = _cut(problem, at, one, cost)
    if problem.chief is not None:
        return best
    # By single-cause weight, which is optimal where the theory says so, and by marginal, which
    # does not overlook causes that stand in pairs only.
    other = _order(problem, at, at.weights @ problem.to_mend @ works, cost, can)
    differ = np.flatnonzero((one != other).any(axis=1))
    if not len(differ):
        return best
    return _better(best, differ, _cut(problem, at[differ], other[differ], cost[differ]))


def _better(one: Plan, rows: np.ndarray, other: Plan) -> Plan:
    """The cheaper of two plans, where the other one is for some of the places."""
    take = other.minutes < one.minutes[rows] - 1e-12
    rows = rows[take]
    minutes, order, batch = one.minutes.copy(), one.order.copy(), one.batch.copy()
    minutes[rows] = other.minutes[take]
    order[rows], batch[rows] = other.order[take], other.batch[take]
    return Plan(minutes, order, batch)


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
        first = _quickest_left(problem, at)
        at_hand = (first < len(checks.names)) & ~at.pending[:, None]
        can = can & (at.justified | at_hand)
        minutes = np.append(checks.minutes, 0.0)[first]
        cost = cost + np.where(at.justified, 0.0, minutes)
    return np.where(can, cost, NEVER), can


def _quickest_left(problem, at) -> np.ndarray:
    """The quickest check left that may justify each repair, t where there is none; (R, r)."""
    _, quickest = justifying(problem)
    made = np.concatenate([at.made, np.zeros((len(at), 1), dtype=bool)], axis=1)
    first = np.broadcast_to(quickest[:, 0], at.tried.shape).copy()
    # Few checks are made by any place, so few repairs need their next one looked up.
    place, which = np.nonzero(made[:, quickest[:, 0]])
    nth = 0
    while len(place):
        nth += 1
        first[place, which] = quickest[which, nth]
        again = made[place, first[place, which]]
        place, which = place[again], which[again]
    return first


@lru_cache(maxsize=64)
def justifying(problem) -> tuple[np.ndarray, np.ndarray]:
    """Which checks may justify which repair, (t, r); for each repair these checks, the quickest
    first, and t for none after them, (r, k)."""
    checks, repairs = problem.checks, problem.repairs
    by_check = np.zeros((len(checks.names), len(repairs.names)), dtype=bool)
    for column, which in enumerate(checks.owner):
        by_check[which] |= repairs.justifies[column]
    count, most = len(checks.names), int(by_check.sum(axis=0).max(initial=0))
    quickest = np.full((len(repairs.names), most + 1), count)
    by_minutes = np.argsort(checks.minutes, kind="stable")
    for row, some in zip(quickest, by_check.T, strict=True):
        mine = by_minutes[some[by_minutes]]
        row[: len(mine)] = mine
    return by_check, quickest


@lru_cache(maxsize=64)
def _ways(problem) -> tuple[np.ndarray, np.ndarray]:
    """(distinct accesses of the repairs, shape (d, a); which repairs each suffices for, (d, r))."""
    wanted = problem.repairs.wanted
    ways = np.unique(wanted, axis=0)
    inside = ~(wanted[None] & ~ways[:, None]).any(axis=2)
    return ways[ways.any(axis=1)], inside[ways.any(axis=1)]


def _order(problem, at, chance, cost, can) -> np.ndarray:
    """Repairs in their order, shape (R, L); those superseded by an earlier one at the end."""
    order = _by_block(problem, at, chance, cost, can)
    if not problem.repairs.supersedes.any():
        return order
    useless, _ = _superseded(problem, order)
    return np.take_along_axis(order, np.argsort(useless, axis=1, kind="stable"), 1)


def _superseded(problem, order) -> tuple[np.ndarray, np.ndarray]:
    """(whether an earlier repair supersedes each, the last place before each that must be proven
    for it, -1 where none), of shape (R, L)."""
    pairs = problem.repairs.supersedes[order[:, :, None], order[:, None, :]]
    before = np.tril(pairs, -1)
    place = np.arange(order.shape[1])
    return np.triu(pairs, 1).any(axis=1), np.where(before, place, -1).max(axis=2)


def _by_block(problem, at, chance, cost, can) -> np.ndarray:
    """Repairs by the ratio of the best block that each belongs to; shape (R, L)."""
    ratio = np.where(can, chance, 0.0) / np.maximum(cost, 1e-9)
    longest = LONGEST if ratio.shape[1] <= MANY else IN_MANY
    own = np.argsort(-ratio, axis=1, kind="stable")[:, :longest]  # (R, L), by ratio
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
    each = np.take_along_axis(cost, order, 1)
    alone = np.full((rows, length), -1)  # the last place that must be proven before each repair
    if problem.repairs.supersedes.any():
        useless, alone = _superseded(problem, order)
        each = np.where(useless, NEVER, each)
        alone = np.maximum.accumulate(alone, axis=1)
    each = np.cumsum(each, axis=1)
    faulty = _still_faulty(problem, at, order)
    opening = _openings(problem, at, order)
    refer = referred(problem, at)
    proof = problem.proof_minutes + problem.closing_minutes
    failed = np.empty((rows, length))  # what is to come where a fault is left after each repair

    def onward(i, spent, share):
        """Going on from place i, where `share` of the weight is still faulty."""
        spent = np.where(alone[:, i:] < i, spent, NEVER)
        left = faulty[:, i + 1 :] / np.maximum(share, 1e-12)[:, None]
        total = proof + spent + left * failed[:, i:]
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
    waits = np.take_along_axis(problem.repairs.waits(at), order, 1)
    now = np.where(np.logical_or.accumulate(waits, axis=1), NEVER, each)
    value, choice = onward(0, now + opening(0), np.ones(rows))
    if at.pending.any():
        after, _ = onward(0, each + opening(0, proven=True), faulty[:, 0])
        now = proof + faulty[:, 0] * _failed(problem, after)
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
    """What is still to come where a fault is left when a proof is run, less what then falls out."""
    caught = problem.catches * (later - problem.closing_minutes)
    return (1 - problem.catches) * problem.missed_minutes + caught


def _still_faulty(problem, at, order) -> np.ndarray:
    """Probability that a fault is left before each place of the order; shape (R, L + 1)."""
    rows, length = order.shape
    faulty = np.empty((rows, length + 1))
    faulty[:, 0] = 1 - at.weights[:, 0]
    if problem.chief is not None:
        brought = at.weights @ problem.chief
        for j in range(length):
            brought = brought * (1 - problem.repairs.works[order[:, j]])
            faulty[:, j + 1] = brought.sum(axis=1)
        return np.clip(faulty, 0.0, 1.0)
    sets, mended = problem.sets, np.zeros((rows, len(problem.causes) + 1))  # P(mended by now)
    for j in range(length):
        works = problem.repairs.works[order[:, j]]
        mended[:, :-1] = 1 - (1 - mended[:, :-1]) * (1 - works)
        mended[:, -1] = 1.0
        sound = mended[:, sets[:, 0]]
        for place in range(1, sets.shape[1]):
            sound = sound * mended[:, sets[:, place]]
        faulty[:, j + 1] = 1 - (at.weights * sound).sum(axis=1)
    return np.clip(faulty, 0.0, 1.0)
