"""Which step next: every step priced by what the base policy comes to after it [1]_.

The price is summed over the whole tree of answers, not sampled, so it has no noise. In small
problems it looks further steps ahead before (`engine.planner.lookahead`). In others all steps are
estimated, the best of them priced coarsely, and the best two finely. A step that was dropped on the
way keeps its coarse price, brought to the level of the finer ones by the mean difference of those
priced both ways.

The base policy's own step is priced finely too, and comes first where it is about as good as the
best: what lies nearer than prices carry is decided by what tells most for its minutes.

.. [1] D. Bertsekas, J. Tsitsiklis, C. Wu, "Rollout algorithms for combinatorial optimization",
   Journal of Heuristics 3 (1997) 245-262 (from memory).
"""

from dataclasses import dataclass, replace

import numpy as np

from engine.planner import lookahead
from engine.planner.problem import Problem
from engine.planner.stand import Stand, referred
from engine.planner.steps import (
    CHECK,
    KINDS,
    PROOF,
    REFER,
    REPAIR,
    Step,
    moves_of,
    take,
    worthwhile,
)
from engine.planner.tree import LEAST_MINUTES, choose, follow, told

GRAINS = (2.0, 0.2, 0.005)
"""Branches less likely than this are estimated, not followed; for each round. In the first, what
follows a step is estimated outright. Judgement."""

KEPT_STEPS = (12, 2)
"""How many steps go on to the next round, beside the base policy's own. Judgement."""

CARRIED, LEAST_CARRIED = 0.01, 1.0
"""Fine prices that lie nearer than this share of the expected minutes, or these minutes, are about
the same. Against branches followed to 0.0004, 19 of 20 differences were nearer than this share over
visits of the shipped knowledge; the minutes are judgement."""

MOST_STEPS = 100
"""Of so many checks, and so many repairs, the best per minute are priced at all. Judgement; the
shipped knowledge has fewer of either."""


@dataclass(frozen=True)
class Priced:
    """A step, its own minutes with opening, and what is expected from here to the end.

    `held` is true of the base policy's own step where it is about as good as the best.
    """

    step: Step
    minutes: float
    expected: float
    held: bool = False


def rank(problem: Problem, at: Stand) -> tuple[Priced, ...]:
    """The steps worth taking from one place, best first; referring is always among them."""
    refer = Priced(Step(REFER), problem.refer_minutes, float(referred(problem, at)[0]))
    moves = worthwhile(problem, at)
    if lookahead.small(problem, at):
        taken = take(problem, at, moves)
        found = _named(moves, taken, lookahead.priced(problem, taken))
    else:
        found = _narrowed(problem, at, moves.steps())
        own, least = first_of_base(problem, at), min(p.expected for p in [*found, refer])
        near = least + max(CARRIED * least, LEAST_CARRIED)
        found = [replace(p, held=p.step == own and p.expected <= near) for p in found]
    return tuple(sorted([*found, refer], key=_by_price))


def _named(moves, taken, expected) -> list[Priced]:
    each = zip(moves.steps(), taken.minutes, expected, strict=True)
    return [Priced(step, float(minutes), float(onward)) for step, minutes, onward in each]


def _narrowed(problem, at, steps) -> list[Priced]:
    """Steps priced finer and finer, fewer and fewer of them."""
    own, promising = first_of_base(problem, at), _promising(problem, at)
    steps = [step for step in steps if step in promising or step == own]
    dropped: list[Priced] = []
    coarse: dict[Step, float] = {}
    for stage, grain in enumerate(GRAINS):
        found = sorted(_rolled(problem, at, steps, grain), key=_by_price)
        if coarse and found:
            shift = float(np.mean([p.expected - coarse[p.step] for p in found]))
            worst = found[-1].expected
            dropped = [Priced(p.step, p.minutes, max(p.expected + shift, worst)) for p in dropped]
        if stage == len(KEPT_STEPS) or not found:
            break
        kept = [p for i, p in enumerate(found) if i < KEPT_STEPS[stage] or p.step == own]
        dropped += [p for p in found if p not in kept]
        coarse = {p.step: p.expected for p in kept}
        steps = [p.step for p in kept]
    return [*found, *dropped]


def _promising(problem, at) -> set[Step]:
    """The checks that tell most per minute, and the repairs that help most."""
    bits, minutes = told(problem, at)
    repairs = problem.repairs
    opening = problem.layers.opening(at.opened, repairs.wanted)
    helps = (at.weights @ problem.to_mend) @ repairs.works.T
    rates = {
        CHECK: bits[0] / np.maximum(minutes[0], LEAST_MINUTES),
        REPAIR: (helps / np.maximum(repairs.minutes + opening, LEAST_MINUTES))[0],
        PROOF: np.ones(1),
    }
    return {
        Step(kind, int(index))
        for kind, rate in rates.items()
        for index in np.argsort(-rate, kind="stable")[:MOST_STEPS]
    }


def _by_price(priced: Priced):
    return (
        not priced.held,
        round(priced.expected, 6),
        KINDS.index(priced.step.kind),
        priced.step.index,
    )


def first_of_base(problem: Problem, at: Stand) -> Step | None:
    """The base policy's own step from one place; None where it refers."""
    base = choose(problem, at)
    if base.check[0] >= 0:
        return Step(CHECK, int(base.check[0]))
    if base.plan.batch[0] > 0:
        return Step(REPAIR, int(base.plan.order[0, 0]))
    return Step(PROOF) if base.plan.batch[0] == 0 else None


def _rolled(problem, at, steps: list[Step], grain: float) -> list[Priced]:
    """Steps from one place, each with what following the base policy after it comes to."""
    moves = moves_of(steps)
    taken = take(problem, at, moves)
    onward = taken.chance * follow(problem, taken.after, grain / taken.chance)
    onward = np.bincount(taken.move, onward, minlength=len(moves))
    return _named(moves, taken, taken.minutes + onward)
