"""The base policy, and what following it comes to from any place: exact, not sampled.

The base policy finds out while finding out pays, then repairs. At every place it compares

* the cheapest repairs without another check (`engine.planner.repairing`), and
* finding out first: the bits of uncertainty left over the rate at which the best check at hand
  brings bits, and then the repair of what is present.

It takes the check that tells most for its minutes, or the repairs up to their first proof, or
refers. What it is expected to cost is summed over its whole tree of answers; where a branch has
become less likely than `grain`, an estimate between the two stands for what follows.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from engine.planner.problem import Problem, bits_of, entropy, summed
from engine.planner.repairing import Plan, costs, justifying, plan
from engine.planner.stand import Stand, check, joined, prove, repair

OVERHEAD = 1.5
"""What each check is counted longer than it takes when rates are compared, as a share of the mean
minutes of all checks: many small answers split belief less than a few telling ones. Found by
trying on the shipped knowledge."""

FOUND_OUT = 2.7
"""How fast the price rises from that of a known cause to that of not looking, with the minutes of
finding out. Fitted to the base policy's own prices on the shipped knowledge."""

LEAST_MINUTES = 1e-6
"""A check that costs nothing counts as this long when rates are compared."""

LEAST_BITS = 1e-6


@dataclass(frozen=True, eq=False)
class Choice:
    """What the base policy does in each of R places.

    Attributes
    ----------
    check : ndarray of int, shape (R,)
        The check to make, or -1.
    plan : Plan
        The repairs otherwise.
    estimate : ndarray, shape (R,)
        Expected minutes from here on, without looking further.
    """

    check: np.ndarray
    plan: Plan
    estimate: np.ndarray


def told(problem: Problem, at: Stand):
    """(bits that each check brings, minutes it takes with its opening); both of shape (R, t)."""
    checks = problem.checks
    bits = summed(bits_of(at.weights @ checks.shows), checks.first) - at.weights @ checks.doubt
    can = ~at.made & ~at.pending[:, None]
    opening = problem.layers.opening(at.opened, checks.wanted)
    return np.where(can, np.maximum(bits, 0.0), 0.0), checks.minutes + opening


def mending(problem: Problem, at: Stand) -> np.ndarray:
    """Minutes of repairing and proving what must be mended, once that is known; shape (R,)."""
    repairs = problem.repairs
    n = len(problem.causes)
    refer = problem.refer_minutes
    if not len(repairs.names):
        return np.full(len(at), refer)
    cost, _ = costs(problem, at)
    opening = problem.layers.opening(at.opened, repairs.wanted)
    proof = problem.proof_minutes + problem.closing_minutes
    price = cost + opening + proof
    which, works, first, mended = _pairs(problem)
    each = np.full((len(at), n), refer)
    if len(mended):
        tried = price[:, which] + (1 - works) * refer
        each[:, mended] = np.minimum(np.minimum.reduceat(tried, first, axis=1), refer)
    if problem.chief is not None:
        return ((at.weights @ problem.chief) * each).sum(axis=1) + at.weights[:, 0] * proof
    padded = np.concatenate([each - proof, np.zeros((len(at), 1))], axis=1)
    by_set = padded[:, problem.sets].sum(axis=2) + proof
    return (at.weights * np.minimum(by_set, refer)).sum(axis=1)


@lru_cache(maxsize=64)
def _pairs(problem: Problem):
    """Causes with the repairs that mend them, cause by cause: (repair, works, first of each cause,
    the causes)."""
    works = problem.repairs.works
    cause, which = np.nonzero(works.T)
    mended, first = np.unique(cause, return_index=True)
    return which, works[which, cause], first, mended


def choose(problem: Problem, at: Stand) -> Choice:
    """The base policy's step in every place."""
    repairs = plan(problem, at)
    rows = np.arange(len(at))
    if not len(problem.checks.names):
        return Choice(np.full(len(at), -1), repairs, repairs.minutes)
    bits, minutes = told(problem, at)
    longer = minutes + OVERHEAD * problem.checks.minutes.mean()
    rates = bits / np.maximum(longer, LEAST_MINUTES)
    best = rates.argmax(axis=1)
    minutes, bits = np.maximum(minutes[rows, best], LEAST_MINUTES), bits[rows, best]
    tells = bits > LEAST_BITS
    unknown = entropy(at.weights)
    known = np.minimum(mending(problem, at), repairs.minutes)
    finding = np.where(tells, unknown * minutes / np.where(tells, bits, 1.0), 0.0)
    out = tells & (known + finding < repairs.minutes)
    excess = repairs.minutes - known
    slowly = FOUND_OUT * unknown / np.where(tells, rates[rows, best], 1.0)
    share = slowly / np.maximum(slowly + excess, 1e-12)
    estimate = np.where(tells, known + excess * share, repairs.minutes)
    chosen = np.where(out, best, -1)
    chosen = np.where(chosen < 0, _justify_first(problem, at, repairs), chosen)
    return Choice(chosen, repairs, estimate)


def _justify_first(problem, at, repairs) -> np.ndarray:
    """The check that must come before the first repair of a plan; -1 where none must."""
    result = np.full(len(at), -1)
    if at.justified.all():
        return result
    by_check, _ = justifying(problem)
    first = np.where(repairs.batch > 0, repairs.order[:, 0], 0)
    rows = np.flatnonzero((repairs.batch > 0) & ~at.justified[np.arange(len(at)), first])
    if not len(rows):
        return result
    some = at[rows]
    opening = problem.layers.opening(some.opened, problem.checks.wanted)
    can = by_check[:, first[rows]].T & ~some.made
    chance = some.weights @ problem.checks.shows
    chance = np.where(problem.repairs.justifies[:, first[rows]].T, chance, 0.0)
    chance = summed(chance, problem.checks.first)
    price = (problem.checks.minutes + opening + 1.0) / np.maximum(chance, 1e-9)
    result[rows] = np.where(can, price, np.inf).argmin(axis=1)
    return result


def follow(problem: Problem, at: Stand, grain: float | np.ndarray) -> np.ndarray:
    """Expected minutes of the base policy from each place; shape (R,).

    Parameters
    ----------
    grain : float or ndarray, shape (R,)
        Branches less likely than this are estimated, not followed.
    """
    grain = np.broadcast_to(grain, len(at))
    total = np.zeros(len(at))
    root, chance = np.arange(len(at)), np.ones(len(at))
    while len(at):
        chosen = choose(problem, at)
        refers = (chosen.check < 0) & (chosen.plan.batch < 0)
        leaf = refers | (chance < grain[root])
        stands = np.where(refers, chosen.plan.minutes, chosen.estimate)
        np.add.at(total, root[leaf], chance[leaf] * stands[leaf])
        out, root_after, chance_after = [], [], []
        ask = np.flatnonzero(~leaf & (chosen.check >= 0))
        if len(ask):
            minutes, source, answer, after = check(problem, at[ask], chosen.check[ask])
            np.add.at(total, root[ask], chance[ask] * minutes)
            out.append(after)
            root_after.append(root[ask][source])
            chance_after.append(chance[ask][source] * answer)
        mend = np.flatnonzero(~leaf & (chosen.check < 0))
        if len(mend):
            minutes, fails, after = mended(
                problem, at[mend], chosen.plan.order[mend], chosen.plan.batch[mend]
            )
            np.add.at(total, root[mend], chance[mend] * minutes)
            going = fails > 1e-12
            out.append(after[going])
            root_after.append(root[mend][going])
            chance_after.append((chance[mend] * fails)[going])
        if not out:
            break
        at = joined(out)
        root, chance = np.concatenate(root_after), np.concatenate(chance_after)
    return total


def mended(problem, at, order, batch):
    """The first repairs of a plan and their proof: minutes, chance of going on, places then."""
    total = np.zeros(len(at))
    for j in range(int(batch.max(initial=0))):
        rows = np.flatnonzero(batch > j)
        if len(rows) == len(at):
            minutes, at = repair(problem, at, order[:, j])
            total += minutes
        else:
            minutes, after = repair(problem, at[rows], order[rows, j])
            total[rows] += minutes
            rest = np.flatnonzero(batch <= j)
            both = joined([after, at[rest]])
            back = np.empty(len(at), dtype=np.intp)
            back[np.concatenate([rows, rest])] = np.arange(len(at))
            at = both[back]
    minutes, fails, after = prove(problem, at)
    return total + minutes, fails, after
