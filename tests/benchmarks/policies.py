"""Ways to choose the next step, to be compared on the same boilers."""

from collections.abc import Callable

import numpy as np

from engine import explain, planner
from engine.belief.posterior import Belief
from engine.planner import Option, Situation, rollout, tree

Policy = Callable[[Situation, Belief], Option]

SURE = 0.8
LEAST_GAIN = 0.005  # bits; a check that tells less than this is not worth its name


def shipped(now: Situation, belief: Belief) -> Option:
    """The planner as shipped."""
    return planner.rank(now).best


def base(now: Situation, belief: Belief) -> Option:
    """The base policy that the planner prices everything with."""
    step = rollout.first_of_base(now.problem, now.at)
    if step is None:
        return _refer(now)
    kind = "action" if step.kind == rollout.REPAIR else "check"
    names = now.problem.repairs.names if kind == "action" else now.problem.checks.names
    return planner.price(now, kind, names[step.index])


def most_told_per_minute(now: Situation, belief: Belief) -> Option:
    """Information gain per minute until the first suspect passes `SURE`, then its repair."""
    suspects = explain.suspects(belief)
    repairs = [option for name, _ in suspects if (option := _repair_of(now, name)) is not None]
    if suspects[0][1] >= SURE and repairs and repairs[0].cause == suspects[0][0]:
        return repairs[0]
    bits, minutes = tree.told(now.problem, now.at)
    if bits.size and bits.max() >= LEAST_GAIN:
        best = int(np.argmax(bits[0] / np.maximum(minutes[0], 0.5)))
        return Option("check", now.problem.checks.names[best], 0.0, float(minutes[0, best]))
    return repairs[0] if repairs else _refer(now)


def _repair_of(now, cause) -> Option | None:
    """The repair with most chance per minute among those that the findings justify."""
    problem = now.problem
    if cause not in problem.causes:
        return None
    works = problem.repairs.works[:, problem.causes.index(cause)]
    may = np.array([cause in now.justified_for[a] for a in problem.repairs.names], dtype=bool)
    minutes = (
        problem.repairs.minutes + problem.layers.opening(now.at.opened, problem.repairs.wanted)[0]
    )
    rate = np.where(may, works / (minutes + problem.proof_minutes), 0.0)
    if not rate.any():
        return None
    best = int(rate.argmax())
    return Option("action", problem.repairs.names[best], 0.0, float(minutes[best]), cause)


def _refer(now) -> Option:
    return Option("refer", "refer", 0.0, now.problem.refer_minutes)
