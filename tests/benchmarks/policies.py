"""Ways to choose the next step, to be compared on the same boilers."""

from collections.abc import Callable

import numpy as np

from engine import explain, planner
from engine.belief.posterior import Belief
from engine.planner import Option, Situation, myopic
from engine.planner.access import move

Policy = Callable[[Situation, Belief], Option]

SURE = 0.8
LEAST_GAIN = 0.005  # bits; a check that tells less than this is not worth its name


def shipped(pace: float | None = None) -> Policy:
    """The planner as shipped, or with another share of the best pace."""

    def choose(now: Situation, belief: Belief) -> Option:
        kept = myopic.PACE_OF_BEST
        myopic.PACE_OF_BEST = kept if pace is None else pace
        try:
            return planner.rank(now, belief.space.network.causes).best
        finally:
            myopic.PACE_OF_BEST = kept

    return choose


def without_foresight(now: Situation, belief: Belief) -> Option:
    """The myopic rule as published."""
    return planner.rank(now, belief.space.network.causes, foresight=False).best


def most_told_per_minute(now: Situation, belief: Belief) -> Option:
    """Information gain per minute until the first suspect passes `SURE`, then its repair."""
    causes = belief.space.network.causes
    suspects = explain.suspects(belief)
    repairs = [
        option for name, _ in suspects if (option := _repair_of(now, causes, name)) is not None
    ]
    first_is_sure = suspects[0][1] >= SURE
    if first_is_sure and repairs and repairs[0].cause == suspects[0][0]:
        return repairs[0]
    moved, _ = move(
        now.layers, np.broadcast_to(now.opened, now.check_wanted.shape), now.check_wanted,
        now.check_shut,
    )  # fmt: skip
    minutes = now.check_minutes + moved
    gains = np.array([_gain(now.weights, table) for table in now.tables])
    if len(gains) and gains.max() >= LEAST_GAIN:
        best = int(np.argmax(gains / np.maximum(minutes, 0.5)))
        return Option("check", now.checks[best], 0.0, float(minutes[best]))
    return repairs[0] if repairs else Option("refer", "refer", 0.0, now.refer_minutes)


def _gain(weights, table) -> float:
    joint = weights[:, None] * table
    chance = joint.sum(axis=0)
    return _bits(weights) + _bits(chance) - _bits(joint.ravel())


def _bits(p) -> float:
    p = p[p > 0]
    return float(-(p * np.log2(p)).sum())


def _repair_of(now, causes, name) -> Option | None:
    i = causes.index(name)
    if now.repairs[i] is None or not now.repair_now[i]:
        return None
    moved, _ = move(now.layers, now.opened, now.repair_wanted[i], now.repair_shut[i])
    return Option("action", now.repairs[i], 0.0, float(now.repair_minutes[i] + moved), name)
