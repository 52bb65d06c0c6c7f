"""The exact optimum, for small problems only: a yardstick, never part of the advice.

Bellman's principle [1]_ over all places that can be reached: the least expected minutes from a
place are those of its best step, a step's are its own and those of the places it may lead to. A
place is the belief and what was made, tried, justified and opened; the same place is priced once.
Places are gone through depth first, with a bound to either side, so that most are never reached.

*From below*, a place costs at least what it costs whoever knows which causes are present at all
times, averaged over the belief (`engine.planner.knowing`).

*From above*, a place need not be priced once it is sure to cost more than another step allows. Its
bound is then kept in place of its price, until somebody can allow more.

.. [1] R. Bellman, "Dynamic programming", Princeton (1957) (from memory). On graphs with steps and
   answers in turn, with bounds: A. Martelli, U. Montanari, "Additive AND/OR graphs", IJCAI 3
   (1973) 1-11 (from memory).
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from engine.planner.knowing import Knowing, Steps, TooLargeError, bits, moved, proof_prices
from engine.planner.problem import Problem, entropy
from engine.planner.stand import Stand

MOST_STEPS, MOST_SETS = 60, 400
"""Checks and repairs, and sets of causes, beyond which nothing is tried. The number of steps also
keeps the recursion shallow."""

LEAST_CHANCE = 1e-12
"""Answers less likely than this are left out, as `engine.planner.stand.check` does."""

FINE = 1e11
"""Beliefs that agree to this fineness are one place."""


@dataclass(frozen=True)
class Solved:
    """The optimum from one place.

    Attributes
    ----------
    minutes : float
        Expected, to a proven repair or a referral.
    kind : str
        Of the first step: check, repair, proof or refer.
    name : str
        Of the check or the repair; empty otherwise.
    states : int
        Places priced.
    """

    minutes: float
    kind: str
    name: str
    states: int


def optimum(problem: Problem, at: Stand, most_states: int = 400_000) -> Solved | None:
    """The least expected minutes from a place, and a step that begins them.

    Parameters
    ----------
    at : Stand
        One place.

    Returns
    -------
    Solved or None
        None where it is too large: beyond `MOST_STEPS`, `MOST_SETS`, or `most_states` places.

    Raises
    ------
    ValueError
        Where repairs supersede each other.

    Examples
    --------
    A check that tells all, for 3 minutes, against trying the cheaper repair first:

    >>> from engine.planner.neutral import read
    >>> from engine.planner.stand import start
    >>> problem, weights = read({
    ...     "causes": [{"id": "a", "prior": 0.5, "repair": {"minutes": 10}},
    ...                {"id": "b", "prior": 0.5, "repair": {"minutes": 20}}],
    ...     "checks": [{"id": "t", "minutes": 3, "outcomes": ["a", "b"], "otherwise": [1, 0],
    ...                 "given": {"b": [0, 1]}}],
    ...     "refer": {"minutes": 300}})
    >>> optimum(problem, start(problem, weights))
    Solved(minutes=18.0, kind='check', name='t', states=4)
    """
    solver = _solver(problem, most_states)
    return solver and solver.solved(at)


def all_knowing(problem: Problem, at: Stand, most_states: int = 400_000) -> float | None:
    """Expected minutes of a repairer who is told at the outset which causes are present.

    He knows neither whether an imperfect repair will work nor what a proof overlooks. Nobody's
    expected minutes are less. None as for `optimum`.
    """
    solver = _solver(problem, most_states)
    return solver and solver.told(at)


def _solver(problem, most_states):
    if problem.repairs.supersedes.any():
        raise ValueError("repairs that supersede each other are not solved exactly")
    steps = len(problem.checks.names) + len(problem.repairs.names)
    if steps > MOST_STEPS or len(problem.sets) > MOST_SETS:
        return None
    return _Solver(problem, most_states)


@dataclass(frozen=True, eq=False)
class _Menu:
    """All steps from what is open and tried: checks first, then repairs, last the proof.

    Attributes
    ----------
    opened : list of int
        What is open after each.
    onward : ndarray, shape (steps, m)
        The bound on what follows, by the set present afterwards.
    bound : ndarray, shape (m, steps)
        The bound on the whole, by the set present now.
    answers : list of ndarray, shape (2 K, m)
        For each check P(outcome | set), and below it the same times the bound on what follows.
    """

    opened: list[int]
    onward: np.ndarray
    bound: np.ndarray
    answers: list[np.ndarray]


@dataclass(frozen=True, eq=False)
class _Node:
    """All that makes a place but the belief.

    Attributes
    ----------
    steps : list of int
        Those allowed, as the menu counts them.
    bound : ndarray, shape (m, steps)
        Their columns of the menu's.
    values : dict
        Belief to (value, whether it is exact or else a bound from below).
    """

    made: int
    tried: int
    opened: int
    justified: int
    pending: bool
    menu: _Menu
    steps: list[int]
    bound: np.ndarray
    values: dict


class _Solver:
    """One problem being solved. Sets of layers, checks and repairs are bits of an int."""

    def __init__(self, problem: Problem, most_states: int):
        checks, repairs = problem.checks, problem.repairs
        self.problem, self.most_states, self.states = problem, most_states, 0
        self.t, self.r, self.m = len(checks.names), len(repairs.names), len(problem.sets)
        self.steps = Steps.of(problem)
        self.knowing = Knowing(problem, 10 * most_states)  # his places are quickly priced
        columns = zip(checks.first[:-1], checks.first[1:], strict=True)
        self.shows = [np.ascontiguousarray(checks.shows[:, a:b].T) for a, b in columns]
        self.justifies = [bits(row) for row in repairs.justifies]
        self.refreshes = [bits(row) for row in repairs.refreshes]
        self.moves = [moved(problem, i) for i in range(self.r)]
        self.touched = [1.0 - np.diag(move) for move in self.moves]
        self.proof = proof_prices(problem)
        self.fails = problem.catches * (np.arange(self.m) > 0)
        self.node = lru_cache(maxsize=None)(self._node)  # they go when the solver goes
        self.menu = lru_cache(maxsize=None)(self._menu)

    def solved(self, at: Stand) -> Solved | None:
        try:
            value, step = self._best(self._place(at), at.weights[0], np.inf)
        except TooLargeError:
            return None
        checks, repairs = self.problem.checks.names, self.problem.repairs.names
        if step is None:
            kind, name = "refer", ""
        elif step < self.t:
            kind, name = "check", checks[step]
        elif step < self.t + self.r:
            kind, name = "repair", repairs[step - self.t]
        else:
            kind, name = "proof", ""
        return Solved(float(value), kind, name, self.states)

    def told(self, at: Stand) -> float | None:
        possible = np.flatnonzero(at.weights[0])
        try:
            node = self._place(at)
            each = [self._value(node, np.eye(self.m)[s], np.inf) for s in possible]
        except TooLargeError:
            return None
        return float(at.weights[0][possible] @ each)

    def _place(self, at) -> _Node:
        rows = (at.made, at.tried, at.opened, at.justified)
        return self.node(*(bits(row[0]) for row in rows), bool(at.pending[0]))

    def _node(self, made, tried, opened, justified, pending) -> _Node:
        steps = [self.t + i for i in range(self.r) if justified & ~tried & 1 << i]
        steps += [self.t + self.r] if pending else [i for i in range(self.t) if not made >> i & 1]
        menu = self.menu(opened, tried)
        bound = np.ascontiguousarray(menu.bound[:, steps])
        return _Node(made, tried, opened, justified, pending, menu, steps, bound, {})

    def _menu(self, opened, tried) -> _Menu:
        known = self.knowing.minutes
        spent, after = [], []
        for step in range(self.t + self.r):
            minutes, then = self.steps.move(step, opened)
            spent.append(np.full(self.m, minutes))
            after.append(then)
        spent.append(self.proof)
        after.append(opened & ~self.steps.shut_for_proof)
        onward = [
            *(known(then, tried, False) for then in after[: self.t]),
            *(known(after[self.t + i], tried | 1 << i, True) for i in range(self.r)),
            known(after[-1], tried, False),
        ]
        bound = [
            *onward[: self.t],
            *(move @ low for move, low in zip(self.moves, onward[self.t : -1], strict=True)),
            self.fails * onward[-1],
        ]
        answers = [
            np.concatenate([shows, shows * low])
            for shows, low in zip(self.shows, onward[: self.t], strict=True)
        ]
        return _Menu(after, np.array(onward), (np.array(spent) + np.array(bound)).T, answers)

    def _value(self, node, weights, limit) -> float:
        """The least expected minutes where they are below `limit`, else a bound that is not."""
        return self._kept(node, weights, np.rint(weights * FINE).tobytes(), limit)

    def _kept(self, node, weights, key, limit) -> float:
        known = node.values.get(key)
        if known is None:
            self.states += 1
            if self.states > self.most_states:
                raise TooLargeError
        elif known[1] or known[0] >= limit:
            return known[0]
        value, _ = self._best(node, weights, limit)
        node.values[key] = value, value < limit
        return value

    def _best(self, node, weights, limit):
        """(what `_value` says, the step; None where that is referring)."""
        problem = self.problem
        best, first = problem.refer_minutes, None
        if problem.doubt_minutes:
            best += problem.doubt_minutes * float(entropy(weights))
        dropped = np.inf
        bounds = weights.dot(node.bound).tolist()
        for bound, step in sorted(zip(bounds, node.steps, strict=True)):
            cap = min(best, limit)
            if bound >= cap:
                dropped = min(dropped, bound)
                break
            value = self._step(node, step, weights, bound, cap)
            if value < cap:
                best, first = value, step
            else:
                dropped = min(dropped, value)
        return (best, first) if best < limit else (min(best, dropped), first)

    def _step(self, node, step, weights, bound, cap) -> float:
        """Expected minutes by a step where they are below `cap`, else a bound that is not."""
        if step < self.t:
            ways = self._answers(node, step, weights)
        elif step < self.t + self.r:
            ways = self._mended(node, step, weights)
        else:
            ways = self._failed_proof(node, step, weights)
        if ways is None:
            return np.inf
        todo = []
        for chance, low, after, belief in ways:
            key = np.rint(belief * FINE).tobytes()
            known = after.values.get(key)
            if known is not None:
                bound += chance * known[0] - low
                low = chance * known[0]
            if known is None or not known[1]:
                todo.append((chance, low, after, belief, key))
        todo.sort(key=_by_chance)
        for chance, low, after, belief, key in todo:
            if bound >= cap:
                break
            allowed = (cap - bound + low) / chance
            bound += chance * self._kept(after, belief, key, allowed) - low
        return bound

    # Where a step leads: a list of (chance, the bound's part, place, belief), or None where it
    # only costs. The bound's part has the chance in it.

    def _answers(self, node, step, weights):
        shows = self.shows[step]
        both = node.menu.answers[step].dot(weights).tolist()
        chances, lows = both[: len(shows)], both[len(shows) :]
        if max(chances) > 1 - LEAST_CHANCE:
            only = chances.index(max(chances))
            if self._after(node, step, only).justified == node.justified:
                return None
        return [
            (chance, low, self._after(node, step, k), shows[k] * weights / chance)
            for k, (chance, low) in enumerate(zip(chances, lows, strict=True))
            if chance > LEAST_CHANCE
        ]

    def _mended(self, node, step, weights):
        # A repair that mends nothing may still open the way to a proof that tells or overlooks, or
        # to checks that were made.
        vain = node.pending or (weights[0] == 0 and self.problem.catches == 1)
        vain = vain and not node.made & self.refreshes[step - self.t]
        if vain and not weights.dot(self.touched[step - self.t]):
            return None
        belief = weights.dot(self.moves[step - self.t])
        return [(1.0, float(belief.dot(node.menu.onward[step])), self._after(node, step), belief)]

    def _failed_proof(self, node, step, weights):
        belief = weights * self.fails
        chance = float(belief.sum())
        if chance <= LEAST_CHANCE:
            return []
        low = float(belief.dot(node.menu.onward[step]))
        return [(chance, low, self._after(node, step), belief / chance)]

    def _after(self, node, step, outcome=0) -> _Node:
        opened = node.menu.opened[step]
        if step < self.t:
            column = int(self.problem.checks.first[step]) + outcome
            justified = node.justified | self.justifies[column]
            return self.node(node.made | 1 << step, node.tried, opened, justified, False)
        if step < self.t + self.r:
            tried = node.tried | 1 << step - self.t
            made = node.made & ~self.refreshes[step - self.t]
            return self.node(made, tried, opened, node.justified, True)
        return self.node(node.made, node.tried, opened, node.justified, False)


def _by_chance(way):
    return -way[0]
