"""What nobody can do better than: prices from below, for each drawn boiler.

*clairvoyant*  knows every draw: he does the cheapest of the repairs that will mend the chief cause,
               with the opening that a fresh boiler needs for it, and one proof, which passes; or
               he refers at once. No visit to the same boiler can be cheaper, whatever was done in
               it: it ends in a referral or a wrong proof, which costs the referral's price at
               least, or it has mended the chief cause by one of these repairs and proven it. So it
               holds visit by visit.
*all-knowing*  knows the faults, and after each repair whether the chief cause is gone, but not what
               is yet to be drawn. That is the information relaxation [1]_ with the ideal penalty
               for knowing the draws of repairs and proofs, so its mean is the tighter bound; it
               holds for the mean over draws.

Both are loose, for neither pays for finding out: all checks, all vain repairs and the proofs that
fail after them lie between the bound and any real visit. A penalty for knowing the faults would
need a close approximation of the value of the belief and an optimum over all sequences of checks
for each boiler; here it is left out.

.. [1] D. B. Brown, J. E. Smith, P. Sun, "Information relaxations and duality in stochastic dynamic
   programs", Operations Research 58 (2010) 785-801 (from memory).
"""

import numpy as np

from engine.belief.observers import PROOF_PASSES
from engine.planner.knowing import Steps, bits
from tests.benchmarks.worlds import Setting, Worlds


def clairvoyant(of: Setting, worlds: Worlds) -> np.ndarray:
    """The clairvoyant's price of each boiler; shape (N,)."""
    problem, repairs = of.problem, of.problem.repairs
    opening = problem.layers.opening(of.at.opened, repairs.wanted)[0]
    price = repairs.minutes + opening + problem.proof_minutes + problem.closing_minutes
    works = np.take_along_axis(worlds.mended, worlds.chief[:, None, None], axis=2)[:, :, 0]
    best = np.where(works, price, np.inf).min(axis=1)
    return np.minimum(best, problem.refer_minutes)


def all_knowing(of: Setting) -> np.ndarray:
    """The all-knowing repairer's expected price by chief cause; shape (n,).

    Exact over all orders of the repairs that mend the cause. Where a proof fails on a sound boiler
    he needs another repair before the next; he is given the quickest, behind no cover, as often as
    he likes.
    """
    problem, steps = of.problem, Steps.of(of.problem)
    again, fails = problem.repairs.minutes.min(), 1 - PROOF_PASSES["sound"]
    proven = (problem.proof_minutes + fails * again) / (1 - fails)
    proven = min(proven, problem.proof_minutes + fails * problem.refer_minutes)
    proven += (1 - fails) * problem.closing_minutes
    first = len(problem.checks.names)

    def least(works, opened, tried) -> float:
        value = problem.refer_minutes
        for r in np.flatnonzero(works):
            if not tried >> int(r) & 1:
                minutes, after = steps.move(first + int(r), opened)
                if minutes < value:  # no use going on otherwise
                    total = minutes + works[r] * proven
                    if works[r] < 1:
                        total += (1 - works[r]) * least(works, after, tried | 1 << int(r))
                    value = min(value, total)
        return value

    return np.array([least(works, bits(of.at.opened[0]), 0) for works in of.works.T])
