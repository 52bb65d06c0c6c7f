"""Small problems: every step of every place, as many steps ahead as a fixed amount of work allows.

A place is worth what the best of its steps is, and a step its own minutes and what the places
after it are worth. Where looking ahead ends, a place is worth what following the base policy comes
to from there, or repairing without another check where that is less: both are plans that exist, so
no price is too low but for what is estimated. Places that different orders of the same steps lead
to are one place.

How far it looks depends on the problem alone, never on time, so that the same place always gives
the same advice.
"""

import numpy as np

from engine.planner.problem import Problem
from engine.planner.repairing import plan
from engine.planner.stand import Stand
from engine.planner.steps import Taken, take, worthwhile
from engine.planner.tree import follow

FEW_STEPS = 14
"""Up to so many checks and repairs a problem is small. Judgement."""

GRAIN = 0.003
"""Branches less likely than this are estimated, not followed."""

AHEAD = 4
"""How many steps ahead at the most, the first one among them. Judgement."""

BROAD = 64_000
"""From how many places, times sets of causes and answers of a check, one more step ahead is taken.
Judgement."""

PLACES = 1000
"""From so many places on none is taken, however few sets of causes there are. Judgement."""

WORK = 100_000
"""How many sets of causes one more step ahead may take, summed over all moves by how likely each
can be made. Judgement."""


def small(problem: Problem, at: Stand) -> bool:
    """Whether few steps enough are left in the one place `at` for looking ahead."""
    return (~at.made).sum() + (~at.tried).sum() <= FEW_STEPS


def priced(problem: Problem, taken: Taken) -> np.ndarray:
    """Expected minutes of steps from one place, by the best that can be seen after each.

    Returns
    -------
    ndarray, shape (S,)
    """
    return _moves(problem, taken, np.ones(len(taken.minutes)), AHEAD)


def _moves(problem, taken, reached, ahead) -> np.ndarray:
    """Minutes of moves, each from a place that is reached with the chance given."""
    if not len(taken.chance):
        return taken.minutes
    one, same, chance = _merged(taken.after, reached[taken.move] * taken.chance)
    worth = _places(problem, taken.after[one], chance, ahead - 1)
    onward = np.bincount(taken.move, taken.chance * worth[same], minlength=len(taken.minutes))
    return taken.minutes + onward


def _places(problem: Problem, at: Stand, chance: np.ndarray, ahead: int) -> np.ndarray:
    """What places are worth that are reached with `chance`; shape (R,)."""
    worth = np.minimum(follow(problem, at, GRAIN / chance), plan(problem, at).minutes)
    moves = worthwhile(problem, at)
    sets, checks = len(problem.sets), problem.checks
    answers = len(checks.owner) / max(len(checks.names), 1)
    broad = len(at) > PLACES or len(at) * sets * answers > BROAD
    if ahead and not broad and chance[moves.place].sum() * sets <= WORK:
        price = _moves(problem, take(problem, at, moves), chance[moves.place], ahead)
        np.minimum.at(worth, moves.place, price)
    return worth


def _merged(at: Stand, chance: np.ndarray):
    """(one of each kind of place; which of them each place is; the highest chance of each)."""
    flags = (at.opened, at.made, at.tried, at.justified, at.unproven, at.pending[:, None])
    known = np.concatenate([at.weights, *flags], axis=1)
    # Two projections in directions drawn once: places that differ never meet in both.
    directions = np.random.default_rng(1).standard_normal((2, known.shape[1]))
    key = known @ directions[0] + 1j * (known @ directions[1])
    _, one, same = np.unique(np.round(key, 9), return_index=True, return_inverse=True)
    highest = np.zeros(len(one))
    np.maximum.at(highest, same, chance)
    return one, same, highest
