r"""How much probability the sets that are not listed still hold.

For noisy-MAX findings the sum over *all* subsets of causes needs no listing of them: each
likelihood is a sum of products over causes, so the sum over subsets factorises, as in
Heckerman's Quickscore for noisy-OR [1]_. For a finding with weights l_k over its outcomes,

.. math:: \sum_k l_k (C_k - C_{k-1}) = \sum_k (l_k - l_{k+1}) C_k

where C_k, the probability of an outcome at most k, is a product over the present causes. The
cost is one pass over the causes for every combination of non-zero terms: one term for a hard
healthy finding, two for a hard faulty one or a soft healthy one.

Where the terms multiply beyond `MAX_TERMS`, soft healthy findings are taken as one term each, with
their flat share ε counted per cause: (ε + ρ Π v_c) as (ε + ρ) Π (ε + ρ v_c)/(ε + ρ). That is exact
for sets in which at most one cause bears on the check, and a hair low for the others, which such
a finding speaks against anyway.

The total variation between the truncated and the full posterior equals the posterior mass left
out, so no probability is off by more than it; where findings were shortened, it is a hair low.

.. [1] D. Heckerman, "A tractable inference algorithm for diagnosing multiple diseases",
   Uncertainty in Artificial Intelligence 5 (1989) 163-171 (abstract read).
"""

from collections.abc import Mapping

import numpy as np

from engine.belief.network import COMPLAINT_LEAK, Network

MAX_TERMS = 4096
_NEGLIGIBLE = 1e-12


def total_evidence(network: Network, findings: Mapping[str, np.ndarray]) -> float | None:
    """P(complaints and findings) summed over every subset of the network's causes.

    Parameters
    ----------
    network : Network
    findings : mapping of check to ndarray, shape (K,)
        Weight of each outcome in the light of what was seen.

    Returns
    -------
    float or None
        None where even the shortened findings expand to more than `MAX_TERMS` terms.
    """
    found = [_finding_terms(network, check, l) for check, l in findings.items()]
    complaints = len(network.share)
    shorten = sorted(
        (i for i, terms in enumerate(found) if _soft_healthy(terms)),
        key=lambda i: found[i][1][0] / found[i][0][0],
    )
    while 2.0 ** (complaints - 1) * np.prod([float(len(t)) for t in found]) > MAX_TERMS:
        if not shorten:
            return None
        least = shorten.pop(0)
        found[least] = _shortened(found[least])
    total = 0.0
    for s in range(complaints):
        factors = [_complaint_terms(network, i) for i in range(complaints) if i != s] + found
        total += network.share[s] * _sum_over_subsets(network, network.chief[s], factors)
    return total


def left_out(network: Network, findings: Mapping[str, np.ndarray], listed: float) -> float:
    """Posterior mass of the sets that are not listed.

    Parameters
    ----------
    listed : float
        P(complaints and findings, one of the listed sets).

    Returns
    -------
    float
        0 to 1; 1 where the findings expand to too many terms to tell.
    """
    total = total_evidence(network, findings)
    return 1.0 if total is None else float(np.clip(1 - listed / total, 0.0, 1.0))


def _complaint_terms(network, s):
    n = len(network.causes)
    return [(1.0, np.ones(n)), (-(1 - COMPLAINT_LEAK), network.complaint[s])]


def _finding_terms(network, check, weights):
    steps = weights - np.append(weights[1:], 0.0)
    return [
        (step * network.background[check][k], network.effects[check][:, k])
        for k, step in enumerate(steps)
        if abs(step) > _NEGLIGIBLE
    ]


def _soft_healthy(terms) -> bool:
    """Whether a finding is a flat share (the last outcome's) and more for the healthy outcome."""
    if len(terms) != 2:
        return False
    (healthy, _), (flat, vector) = terms
    return healthy > 0 and flat > 0 and bool((vector == 1).all())


def _shortened(terms):
    (healthy, vector), (flat, _) = terms
    return [(healthy + flat, (flat + healthy * vector) / (flat + healthy))]


def _sum_over_subsets(network, chief, factors) -> float:
    coefficients, products = np.ones(1), np.ones((1, len(network.causes)))
    for terms in factors:
        steps, vectors = (np.array(part) for part in zip(*terms, strict=True))
        coefficients = np.outer(coefficients, steps).ravel()
        products = (products[:, None] * vectors).reshape(len(coefficients), -1)
    beside = 1 - network.standing * (1 - products)  # (terms, n): present or not, summed
    every = beside.prod(axis=1, keepdims=True)
    rest = every / beside
    for (first, second), prevalence in network.promoted.items():
        rest[:, first] *= (1 - prevalence * (1 - products[:, second])) / beside[:, second]
    return float(coefficients @ ((products * rest) @ chief))
