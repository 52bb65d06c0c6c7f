"""Fault sets, and the noisy-MAX rule by which present causes combine.

A hypothesis is a set of causes present at once. A check's outcomes are ordered by dominance, the
first is healthy. Each present cause tries to produce an outcome, so does the background, and the
most dominant one shows [1]_:

    P(outcome <= k | set) = P0(outcome <= k) * product over c in set of P_c(outcome <= k)

.. [1] F. J. Diez, "Parameter adjustment in Bayes networks: the generalized noisy OR-gate",
   Uncertainty in Artificial Intelligence 9 (1993) 99-105 (from memory).
"""

from collections.abc import Collection
from itertools import combinations

import numpy as np


def fault_sets(causes: int, largest: int, beside: Collection[int] | None = None) -> np.ndarray:
    """All sets of at most `largest` causes.

    Parameters
    ----------
    beside : collection of int, optional
        Causes that may stand beside another; of the others a set holds one at most. All where not
        given.

    Returns
    -------
    ndarray of int, shape (m, max(largest, 1))
        A row a set, the empty one first; unused places hold the number `causes`.

    Examples
    --------
    >>> fault_sets(3, 2).tolist()
    [[3, 3], [0, 3], [1, 3], [2, 3], [0, 1], [0, 2], [1, 2]]
    >>> fault_sets(3, 2, beside=[1]).tolist()
    [[3, 3], [0, 3], [1, 3], [2, 3], [0, 1], [1, 2]]
    """
    width = max(largest, 1)
    others = range(causes) if beside is None else sorted(beside)
    sizes = [np.full((1, width), causes, dtype=np.intp)]
    for size in range(1, largest + 1):
        chosen = [*combinations(others, size - 1)]
        rest = np.array(chosen, dtype=np.intp).reshape(len(chosen), size - 1)
        one = np.tile(np.arange(causes), len(rest))
        rows = np.sort(np.column_stack([np.repeat(rest, causes, axis=0), one]), axis=1)
        rows = np.unique(rows[(np.diff(rows, axis=1) > 0).all(axis=1)], axis=0)
        sizes.append(np.pad(rows, ((0, 0), (0, width - size)), constant_values=causes))
    return np.concatenate(sizes)


def without(sets: np.ndarray, causes: int) -> np.ndarray:
    """Row of the set that is left when the cause in each place is taken out.

    Parameters
    ----------
    sets : ndarray of int, shape (m, width)
        As `fault_sets` gives them, in any order; with every set those that are left.

    Returns
    -------
    ndarray of int, shape (m, width)

    Examples
    --------
    >>> without(fault_sets(2, 2), 2).tolist()
    [[0, 0], [0, 1], [0, 2], [2, 1]]
    """
    digits = (causes + 1) ** np.arange(sets.shape[1])
    known = np.sort(sets, axis=1) @ digits
    order = np.argsort(known)
    columns = []
    for place in range(sets.shape[1]):
        rest = sets.copy()
        rest[:, place] = causes
        found = np.searchsorted(known, np.sort(rest, axis=1) @ digits, sorter=order)
        columns.append(order[found])
    return np.column_stack(columns)


def over_members(values: np.ndarray, sets: np.ndarray, neutral: float = 1.0) -> np.ndarray:
    """Product over each set's members of `values`, shape (n, ...) -> (m, ...)."""
    padded = np.concatenate([values, np.full_like(values[:1], neutral)])
    product = padded[sets[:, 0]]
    for place in range(1, sets.shape[1]):  # several times quicker than `prod` over a short axis
        product *= padded[sets[:, place]]
    return product


def outcome_table(background: np.ndarray, effects: np.ndarray, sets: np.ndarray) -> np.ndarray:
    """P(outcome | set) for one check.

    Parameters
    ----------
    background : ndarray, shape (K,)
        P0(outcome <= k), ending in 1.
    effects : ndarray, shape (n, K)
        P_c(outcome <= k) of each cause, each row ending in 1.
    sets : ndarray of int, shape (m, width)
        As `fault_sets` gives them.

    Returns
    -------
    ndarray, shape (m, K)
        Rows sum to 1.

    Examples
    --------
    Two causes that each fail to show with probability 0.2 and 0.5, leak 0.05 (noisy-OR):

    >>> table = outcome_table(
    ...     np.array([0.95, 1.0]), np.array([[0.2, 1.0], [0.5, 1.0]]), fault_sets(2, 2)
    ... )
    >>> [round(float(p), 3) for p in table[:, 1]]
    [0.05, 0.81, 0.525, 0.905]
    """
    cumulative = background * over_members(effects, sets)
    cumulative[:, 1:] -= cumulative[:, :-1].copy()
    return cumulative
