"""What a step leads to, answer by answer, and what it costs against another one.

Steps that are compared are priced alike, as finely as the best two of the ranking or, where they
are many, more coarsely; `off` says from where on a difference means something.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from engine.planner import lookahead, rollout
from engine.planner.situation import Situation
from engine.planner.stand import referred, repair
from engine.planner.steps import (
    CHECK,
    REFER,
    REPAIR,
    Step,
    Taken,
    moves_of,
    take,
    worthwhile,
)
from engine.planner.tree import follow

CLOSELY, ROUGHLY = rollout.GRAINS[-1], 0.02
"""Branches less likely than this are estimated: where two steps are compared, and where many."""

CARRIED = {CLOSELY: rollout.CARRIED, ROUGHLY: 0.025}
"""Differences below this share of the expected minutes mean nothing."""


@dataclass(frozen=True)
class Onward:
    """One answer of a check: its place among the outcomes, its chance, and the expected minutes
    from there to a proven repair or a referral."""

    outcome: int
    chance: float
    minutes: float


@dataclass(frozen=True)
class Outlook:
    """What a step leads to.

    Attributes
    ----------
    minutes : float
        The step's own: hands, opening, closing and what that obliges, the price of parts.
    expected : float
        From here to the end: `minutes` and the mean of what follows.
    answers : tuple of Onward
        For a check every answer that can come; for a repair one, after it.
    """

    minutes: float
    expected: float
    answers: tuple[Onward, ...]


@dataclass(frozen=True)
class Difference:
    """Expected minutes of one step over those of another, and how far they may be off."""

    minutes: float
    off: float


def step_of(now: Situation, kind: str, name: str) -> Step | None:
    """A step as the planner knows it; None where it does not, or may not be taken yet."""
    if kind == REFER:
        return Step(REFER)
    names: Mapping[str, tuple[str, ...]] = {
        "check": now.problem.checks.names,
        "action": now.problem.repairs.names,
    }
    if name not in names.get(kind, ()):
        return None
    index = names[kind].index(name)
    if kind == CHECK and (now.at.pending[0] or now.at.made[0, index]):
        return None  # the proof of a repair comes first, and an answer that holds is not asked for
    may = now.at.justified[0] & ~now.at.tried[0] & ~now.problem.repairs.waits(now.at)[0]
    if kind == "action" and not may[index]:
        return None
    return Step(CHECK if kind == "check" else REPAIR, index)


@lru_cache(maxsize=64)
def foresee(now: Situation, kind: str, name: str) -> Outlook | None:
    """What a check or repair leads to, counted as finely as the best steps of the ranking.

    None where the planner does not know the step. The minutes after the answers, weighted by their
    chances, and the step's own are its expected minutes.
    """
    step = step_of(now, kind, name)
    if step is None or step.kind == REFER:
        return None
    return _outlook(now, step, CLOSELY)


def compared(
    now: Situation,
    steps: Sequence[tuple[str, str]],
    against: tuple[str, str],
    grain: float = CLOSELY,
) -> tuple[Difference | None, ...]:
    """Expected minutes of each step, (kind, name), over those of one; None where one is not known.

    `grain` is `CLOSELY`, or `ROUGHLY` where there are many steps.
    """
    known = [step_of(now, *named) for named in (*steps, against)]
    expected = _expected(now, tuple(dict.fromkeys(filter(None, known))), grain)
    *each, one = [expected.get(step) for step in known]
    if one is None:
        return (None,) * len(steps)
    off = max(CARRIED[grain] * one, rollout.LEAST_CARRIED)
    return tuple(None if minutes is None else Difference(minutes - one, off) for minutes in each)


@lru_cache(maxsize=64)
def _expected(now: Situation, steps: tuple[Step, ...], grain) -> Mapping[Step, float]:
    """Expected minutes of several steps."""
    result = {}
    if Step(REFER) in steps:
        result[Step(REFER)] = float(referred(now.problem, now.at)[0])
    seen = [step for step in steps if step not in result and _ahead(now, step)]
    result |= {step: _outlook(now, step, grain).expected for step in seen}
    moves = moves_of([step for step in steps if step not in result])
    taken = take(now.problem, now.at, moves)
    onward = follow(now.problem, taken.after, grain / taken.chance) if len(moves) else []
    onward = np.bincount(taken.move, taken.chance * onward, minlength=len(moves))
    return result | dict(zip(moves.steps(), map(float, taken.minutes + onward), strict=True))


def _outlook(now, step, grain) -> Outlook:
    problem, ahead = now.problem, _ahead(now, step)
    if ahead:
        steps, taken, onward = ahead
        move = steps.index(step)
        minutes, mine = taken.minutes[move], np.flatnonzero(taken.move == move)
        chance, onward = taken.chance[mine], onward[mine]
    else:
        taken = take(problem, now.at, moves_of([step]))
        minutes, chance = taken.minutes[0], taken.chance
        onward = follow(problem, taken.after, grain / chance)
    outcomes = _outcomes(now, step)
    each = zip(outcomes, chance, onward, strict=True)
    answers = tuple(Onward(int(k), float(p), float(m)) for k, p, m in each)
    return Outlook(float(minutes), float(minutes + chance @ onward), answers)


def _outcomes(now, step) -> np.ndarray:
    """Places of the answers that can come, in the order in which steps are taken."""
    if step.kind != CHECK:
        return np.zeros(1, dtype=np.intp)
    first, last = now.problem.checks.first[step.index : step.index + 2]
    return np.flatnonzero(now.at.weights[0] @ now.problem.checks.shows[:, first:last] > 1e-12)


def _ahead(now: Situation, step: Step):
    """In a small problem: steps worth taking and this one, where they lead, minutes from there.

    None where the problem is so large that one does not look ahead.
    """
    if not lookahead.small(now.problem, now.at):
        return None
    steps = worthwhile(now.problem, now.at).steps()
    return _all_ahead(now, None if step in steps else step)


@lru_cache(maxsize=8)
def _all_ahead(now, further):
    """Each place stands as a step of its own that takes no time, so that its worth comes out."""
    problem = now.problem
    moves = worthwhile(problem, now.at)
    if further:
        moves = moves_of([*moves.steps(), further])
    taken = take(problem, now.at, moves)
    places = np.arange(len(taken.chance))
    alone = Taken(np.zeros(len(places)), places, taken.chance, taken.after)
    return moves.steps(), taken, lookahead.priced(problem, alone) / taken.chance


@lru_cache(maxsize=16)
def before_proof(now: Situation, action: str) -> str | None:
    """The repair that the planner would do after an action, before one proof of both."""
    step = step_of(now, "action", action)
    if step is None:
        return None
    _, after = repair(now.problem, now.at, np.array([step.index]))
    following = rollout.rank(now.problem, after)[0].step
    return now.problem.repairs.names[following.index] if following.kind == REPAIR else None


def helps(now: Situation) -> np.ndarray:
    """Chance of each repair to mend what brought the complaint; shape (r,)."""
    return now.problem.repairs.works @ (now.at.weights[0] @ now.problem.to_mend)
