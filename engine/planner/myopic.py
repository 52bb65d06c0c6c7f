"""Myopic expected cost of repair [1]_, with access costs and a look further ahead at the leaves.

A check is worth its minutes if the expected cost after its answer, over all answers, is lower by
more than it takes. After the answer the price of going on is the cheapest of

* repairing in the best order without another check, cut by referral (`engine.planner.repair`),
* referring at once,
* finding out first: the uncertainty left, in bits, over the rate at which the checks at hand
  bring bits, plus the repair of what will be found. Without it a belief spread over dozens of
  causes looks hopeless after any single answer, and everything is referred too early. It is an
  estimate, not a bound.

A repair is credited with the one cause it is meant for, though its action may mend others as well.

.. [1] D. Heckerman, J. S. Breese, K. Rommelse, "Decision-theoretic troubleshooting",
   Communications of the ACM 38(3) (1995) 49-57.
"""

from dataclasses import dataclass, replace

import numpy as np

from engine.planner.access import move
from engine.planner.repair import expected_cost_of_repair
from engine.planner.situation import Situation

PACE_OF_BEST = 0.5
"""The rate of bits a minute counted on further ahead, as a share of the best rate now.
Judgement: later checks split what is left less well than the first one."""

KEPT = 0.9995
"""Belief mass that the planner looks at; the rarest sets are left out for speed. Judgement."""

REPAIR_CANDIDATES = 6
"""How many repairs are priced as the very next step. Judgement."""

LEAST_MINUTES = 0.5
"""No check counts as quicker than this when the pace is taken. Judgement."""

_NEVER = 1e9  # minutes of a repair that this person cannot do: it is never worth trying


@dataclass(frozen=True)
class Option:
    """A step and what it is expected to lead to.

    `kind` is "check", "action" or "refer"; `name` the id of the check or action; `cause` what an
    action is meant to mend; `minutes` this step with its access; `expected_minutes` from here
    to a proven repair or referral.
    """

    kind: str
    name: str
    expected_minutes: float
    minutes: float
    cause: str | None = None


@dataclass(frozen=True)
class Ranking:
    """Steps, best first; `options` is never empty, because referring is always possible."""

    options: tuple[Option, ...]

    @property
    def best(self) -> Option:
        return self.options[0]

    def saved(self) -> float:
        """Minutes that the best step saves against the runner-up."""
        if len(self.options) < 2:
            return 0.0
        return self.options[1].expected_minutes - self.options[0].expected_minutes


def rank(now: Situation, causes: tuple[str, ...], foresight: bool = True) -> Ranking:
    """All steps possible now with their expected minutes, best first.

    Parameters
    ----------
    now : Situation
    causes : tuple of str
        Names of the causes in the columns of `now`.
    foresight : bool
        Whether "finding out first" counts at the leaves. False is the rule as published.
    """
    kept = _heaviest(now.weights)
    sets, weights = now.sets[kept], now.weights[kept] / now.weights[kept].sum()
    moved, states = _enter(now, now.check_wanted, now.check_shut)
    check_minutes = now.check_minutes + moved
    tables = [table[kept] for table in now.tables]
    pace = _pace(weights, tables, check_minutes) if foresight else 0.0

    rows, row_states, chances, owner = [weights], [now.opened], [1.0], [-1]
    for position, table in enumerate(tables):
        joint = weights[:, None] * table
        for chance, column in zip(joint.sum(axis=0), joint.T, strict=True):
            if chance > 1e-9:
                rows.append(column / chance)
                row_states.append(states[position])
                chances.append(chance)
                owner.append(position)
    value = _ahead(now, sets, np.array(rows), np.array(row_states), pace)
    after = np.bincount(
        np.array(owner[1:], dtype=np.intp),
        np.array(chances[1:]) * value[1:],
        minlength=len(tables),
    )
    options = [
        Option("check", name, float(check_minutes[i] + after[i]), float(check_minutes[i]))
        for i, name in enumerate(now.checks)
    ]
    options += _repairs(now, sets, weights, causes, pace)
    options.append(
        Option(
            "refer",
            "refer",
            float(_referred(now, weights[None], pace)[0]),
            now.refer_minutes,
        )
    )
    preference = {"check": 0, "action": 1, "refer": 2}
    options.sort(key=lambda o: (round(o.expected_minutes, 6), preference[o.kind], o.name))
    return Ranking(tuple(options))


def _heaviest(weights: np.ndarray) -> np.ndarray:
    order = np.argsort(-weights, kind="stable")
    count = int(np.searchsorted(np.cumsum(weights[order]), KEPT * weights.sum())) + 1
    return np.sort(order[:count])


def _enter(now, wanted, shut):
    if len(wanted) == 0:
        return np.zeros(0), np.zeros((0, len(now.opened)), dtype=bool)
    return move(now.layers, np.broadcast_to(now.opened, wanted.shape), wanted, shut)


def _entropy(rows: np.ndarray) -> np.ndarray:
    safe = np.where(rows > 0, rows, 1.0)
    return -(rows * np.log2(safe)).sum(axis=-1)


def _pace(weights, tables, minutes) -> float:
    """Bits a minute counted on further ahead."""
    before = _entropy(weights)
    best = 0.0
    for table, cost in zip(tables, minutes, strict=True):
        joint = weights[:, None] * table
        chance = joint.sum(axis=0)
        after = _entropy((joint / np.where(chance > 0, chance, 1.0)).T) @ chance
        best = max(best, float(before - after) / max(cost, LEAST_MINUTES))
    return PACE_OF_BEST * best


def _repair_prices(now: Situation, states: np.ndarray) -> np.ndarray:
    """Minutes to repair and prove each cause from each access state; shape (r, n)."""
    opening = (now.repair_wanted[None] & ~states[:, None, :]) @ now.layers.minutes
    price = now.repair_minutes + now.proof_minutes + opening
    possible = np.array([action is not None for action in now.repairs])
    return np.where(possible, price, _NEVER)


def _referred(now, rows, pace) -> np.ndarray:
    """What referring costs for each belief; it may be the beginning of somebody's work."""
    base = np.full(len(rows), now.refer_minutes)
    if now.handed_over and pace > 0:
        base = base + _entropy(rows) / pace
    return base


def _ahead(now: Situation, sets, rows, states, pace) -> np.ndarray:
    """Expected minutes from each belief on; shape (r,)."""
    prices = _repair_prices(now, states)
    refer = _referred(now, rows, pace)
    value = np.minimum(refer, expected_cost_of_repair(rows, sets, prices, now.works, refer))
    if pace > 0 and not now.handed_over:
        padded = np.concatenate([np.minimum(prices, refer[:, None]), np.zeros((len(rows), 1))], 1)
        success = np.append(now.works, 1.0)[sets].prod(axis=1)
        mending = np.zeros(rows.shape)
        for place in range(sets.shape[1]):
            mending += padded[:, sets[:, place]]
        mending = np.minimum(mending + (1 - success) * refer[:, None], refer[:, None])
        value = np.minimum(value, _entropy(rows) / pace + (rows * mending).sum(axis=1))
    return value


def _repairs(now: Situation, sets, weights, causes, pace) -> list[Option]:
    """The most promising repairs as the very next step, priced to the end."""
    n = len(now.repairs)
    present = np.zeros(n + 1)
    for place in range(sets.shape[1]):
        np.add.at(present, sets[:, place], weights)
    prices, _ = _enter(now, now.repair_wanted, now.repair_shut)
    minutes = now.repair_minutes + prices
    possible = now.repair_now & np.array([action is not None for action in now.repairs])
    promise = np.where(
        possible, present[:n] * now.works / np.maximum(minutes + now.proof_minutes, 1e-9), 0.0
    )
    first = [i for i in np.argsort(-promise, kind="stable")[:REPAIR_CANDIDATES] if promise[i] > 0]
    options = []
    for i in first:
        has = (sets == i).any(axis=1)
        only = has & ((sets == n).sum(axis=1) == sets.shape[1] - 1)
        mended = weights[only].sum() * now.works[i]
        # What is left if the proof fails: all sets with i unmended, and pairs less i.
        unmended = weights * np.where(has, 1 - now.works[i], 1.0)
        less = np.where(has & ~only, weights * now.works[i], 0.0)
        rest = 1.0 - mended
        total = minutes[i] + now.proof_minutes
        if rest > 1e-9:
            works = now.works.copy()
            works[i] = 0.0
            without = _with_works(now, works, i)
            state = (now.opened & ~now.repair_shut[i]) | now.repair_wanted[i]
            state = state & ~now.layers.shut_to_run  # the proof run shuts what must be shut
            both, left = _merged(
                np.concatenate([sets, np.where(sets == i, n, sets)]),
                np.concatenate([unmended, less]) / rest,
                n,
            )
            value = _ahead(without, both, left[None], state[None], pace)
            total += rest * float(value[0])
        options.append(Option("action", now.repairs[i], float(total), float(minutes[i]), causes[i]))
    return options


def _merged(sets, weights, n):
    """Equal sets made one: told apart, they would count as uncertainty."""
    sets = np.sort(sets, axis=1)
    codes = sets @ (n + 1) ** np.arange(sets.shape[1])
    _, first, place = np.unique(codes, return_index=True, return_inverse=True)
    return sets[first], np.bincount(place, weights)


def _with_works(now, works, tried):
    repairs = tuple(None if i == tried else a for i, a in enumerate(now.repairs))
    return replace(now, works=works, repairs=repairs)
