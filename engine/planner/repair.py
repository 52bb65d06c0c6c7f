"""Expected cost of repair: the price of mending without another check.

Repairs are tried in the order of probability over cost, each followed by a proof run, until the
boiler is proven or the rest is referred. The order is optimal for one fault and independent
actions [1]_; for independent multiple faults it is p/(c (1-p)) [2]_, which the weight of each
single-cause set over its cost gives; the cut, after which everything is referred, is the best of
all cuts [3]_.

.. [1] J. Kalagnanam, M. Henrion, "A comparison of decision analysis and expert rules for
   sequential diagnosis", Uncertainty in Artificial Intelligence 4 (1990) 271-281.
.. [2] S. Srinivas, "A polynomial algorithm for computing the optimal repair strategy in a system
   with independent component failures", UAI 11 (1995), as stated by M. Vomlelova (2003).
.. [3] D. Heckerman, J. S. Breese, K. Rommelse, "Decision-theoretic troubleshooting",
   Communications of the ACM 38(3) (1995) 49-57, equations 1 and 2.
"""

import numpy as np


def finishing_weights(
    weights: np.ndarray, sets: np.ndarray, order: np.ndarray, works: np.ndarray
) -> np.ndarray:
    """Probability that the boiler is mended exactly by the repair at each position.

    Parameters
    ----------
    weights : ndarray, shape (r, m)
        A belief a row.
    sets : ndarray of int, shape (m, width)
        Members of each set, unused places holding n.
    order : ndarray of int, shape (r, n)
        Causes in the order of repair, a row each.
    works : ndarray, shape (n,)
        Probability that the repair mends its cause.

    Returns
    -------
    ndarray, shape (r, n + 1)
        Column 0 is what needs no repair; column j what repair j finishes. What is missing to 1
        is never finished.
    """
    rows, n = order.shape
    position = np.zeros((rows, n + 1), dtype=np.intp)
    np.put_along_axis(position, order, np.arange(1, n + 1)[None, :], axis=1)
    last = position.take(sets[:, 0], axis=1)
    for place in range(1, sets.shape[1]):
        np.maximum(last, position.take(sets[:, place], axis=1), out=last)
    success = np.append(works, 1.0)[sets].prod(axis=1)
    last += np.arange(rows)[:, None] * (n + 1)
    done = np.bincount(last.ravel(), (weights * success).ravel(), minlength=rows * (n + 1))
    return done.reshape(rows, n + 1)


def cost_of_order(
    weights: np.ndarray,
    sets: np.ndarray,
    order: np.ndarray,
    minutes: np.ndarray,
    works: np.ndarray,
    refer: np.ndarray | float,
) -> np.ndarray:
    """Expected minutes of repairing in a given order, cut where referring is cheaper.

    Parameters
    ----------
    minutes : ndarray, shape (n,) or (r, n)
        Repair and proof of each cause.
    refer : float or ndarray, shape (r,)
        Minutes that a referral stands for.

    Returns
    -------
    ndarray, shape (r,)

    Examples
    --------
    Five causes, probability .10 .30 .20 .25 .15, minutes 1 6 2 10 5, one fault, no referral
    worth its price:

    >>> from engine.belief.sets import fault_sets
    >>> sets = fault_sets(5, 1)
    >>> belief = np.array([[0, .10, .30, .20, .25, .15]])
    >>> c = np.array([1.0, 6, 2, 10, 5])
    >>> order = np.array([[0, 2, 1, 4, 3]])
    >>> round(float(cost_of_order(belief, sets, order, c, np.ones(5), 1e9)[0]), 9)
    11.5
    """
    done = finishing_weights(weights, sets, order, works)
    each = np.take_along_axis(np.broadcast_to(minutes, order.shape), order, axis=1)
    spent = np.concatenate([np.zeros((len(order), 1)), np.cumsum(each, axis=1)], axis=1)
    paid = np.cumsum(done * spent, axis=1)
    open_share = np.clip(weights.sum(axis=1, keepdims=True) - np.cumsum(done, axis=1), 0.0, None)
    refer = np.broadcast_to(np.asarray(refer, dtype=float), (len(order),))[:, None]
    by_cut = paid + np.where(open_share > 1e-12, open_share * (spent + refer), 0.0)
    return by_cut.min(axis=1)


def best_orders(
    weights: np.ndarray, sets: np.ndarray, minutes: np.ndarray, works: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Two candidate orders a row: by single-cause weight over cost, and by marginal over cost.

    The first is optimal for one fault and for independent faults; the second does not overlook
    causes that stand in pairs only.
    """
    n = len(works)
    members = np.zeros((len(sets), n + 1))
    for place in range(sets.shape[1]):
        members[np.arange(len(sets)), sets[:, place]] = 1.0
    members = members[:, :n]
    alone = members.sum(axis=1) == 1
    single = weights[:, alone] @ members[alone]
    marginal = weights @ members
    orders = []
    for chance in (single, marginal):
        orders.append(np.argsort(-(chance * works) / minutes, axis=1, kind="stable"))
    return orders[0], orders[1]


def expected_cost_of_repair(weights, sets, minutes, works, refer) -> np.ndarray:
    """Expected minutes to a proven repair or referral without another check; shape (r,).

    Examples
    --------
    Two independent faults, prior .5 and .1, minutes 10 and 1.8, at least one present:

    >>> from engine.belief.sets import fault_sets
    >>> belief = np.array([[0, .45, .05, .05]]) / .55
    >>> cost = expected_cost_of_repair(
    ...     belief, fault_sets(2, 2), np.array([10, 1.8]), np.ones(2), 1e9)
    >>> round(float(cost[0]), 4)
    10.3273
    """
    costs = [
        cost_of_order(weights, sets, order, minutes, works, refer)
        for order in best_orders(weights, sets, minutes, works)
    ]
    return np.minimum(*costs)
