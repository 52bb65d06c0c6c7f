"""Which step next: every step priced by what the base policy comes to after it [1]_.

The price is summed over the whole tree of answers, not sampled, so it has no noise. All steps are
priced coarsely, the best of them again and finer. A step that was dropped on the way keeps its
coarse price, brought to the level of the finer ones by the mean difference of those priced both
ways.
Where branches were estimated, prices are in doubt, and the cheapest of many doubtful prices is
likely to be too low. So every step but the base policy's own bears a share of its doubt: the advice
leaves the base policy only for what is better by more than that. Where the whole tree was followed
there is no doubt.

.. [1] D. Bertsekas, J. Tsitsiklis, C. Wu, "Rollout algorithms for combinatorial optimization",
   Journal of Heuristics 3 (1997) 245-262 (from memory).
"""

from dataclasses import dataclass

import numpy as np

from engine.planner.problem import Problem, Stand, check, joined, prove, referred, repair
from engine.planner.tree import LEAST_BITS, choose, follow, told

DOUBT = 0.1
"""Share of its doubt that a step bears. Judgement."""

GRAINS = (0.2, 0.05)
"""Branches less likely than this are estimated, not followed; for each round. Judgement."""

KEPT_STEPS = (6,)
"""How many steps go on to the next round. Judgement."""

LEAST_CHANCE = 1e-4
"""A repair less likely than this to help is not priced. Judgement."""

CHECK, REPAIR, PROOF, REFER = "check", "repair", "proof", "refer"


@dataclass(frozen=True)
class Step:
    """A step: `index` counts among the problem's checks or repairs."""

    kind: str
    index: int = 0


@dataclass(frozen=True)
class Priced:
    """A step, its own minutes with opening, and what is expected from here to the end."""

    step: Step
    minutes: float
    expected: float


def rank(problem: Problem, at: Stand) -> tuple[Priced, ...]:
    """All steps worth taking from one place, best first; referring is always among them."""
    steps = _possible(problem, at)
    first = first_of_base(problem, at)
    refer = Priced(Step(REFER), problem.refer_minutes, float(referred(problem, at)[0]))
    dropped: list[Priced] = []
    coarse: dict[Step, float] = {}
    for stage, grain in enumerate(GRAINS):
        priced = sorted(price(problem, at, steps, grain, first), key=_by_price)
        if coarse and priced:
            shift = float(np.mean([p.expected - coarse[p.step] for p in priced]))
            worst = priced[-1].expected
            dropped = [Priced(p.step, p.minutes, max(p.expected + shift, worst)) for p in dropped]
        if stage == len(KEPT_STEPS) or not priced:
            break
        kept = [p for i, p in enumerate(priced) if i < KEPT_STEPS[stage] or p.step == first]
        dropped += [p for p in priced if p not in kept]
        coarse = {p.step: p.expected for p in kept}
        steps = [p.step for p in kept]
    return tuple(sorted([*priced, *dropped, refer], key=_by_price))


def _by_price(priced: Priced):
    order = (CHECK, REPAIR, PROOF, REFER).index(priced.step.kind)
    return round(priced.expected, 6), order, priced.step.index


def _possible(problem, at) -> list[Step]:
    steps = []
    if at.pending[0]:
        steps.append(Step(PROOF))
    elif len(problem.checks.names):
        bits, _ = told(problem, at)
        steps += [Step(CHECK, int(i)) for i in np.flatnonzero(bits[0] > LEAST_BITS)]
    present = at.weights[0] @ problem.members
    helps = problem.repairs.works @ present > LEAST_CHANCE
    can = helps & ~at.tried[0] & at.justified[0]
    return steps + [Step(REPAIR, int(i)) for i in np.flatnonzero(can)]


def first_of_base(problem, at) -> Step | None:
    base = choose(problem, at)
    if base.check[0] >= 0:
        return Step(CHECK, int(base.check[0]))
    if base.plan.batch[0] > 0:
        return Step(REPAIR, int(base.plan.order[0, 0]))
    return Step(PROOF) if base.plan.batch[0] == 0 else None


def price(
    problem: Problem, at: Stand, steps: list[Step], grain: float, first: Step | None
) -> list[Priced]:
    """Steps from one place, each with what following the base policy after it comes to.

    `first` is the base policy's own step, which bears no doubt.
    """
    minutes, places, owner, chance = np.zeros(len(steps)), [], [], []
    for n, step in enumerate(steps):
        chosen = np.array([step.index])
        if step.kind == CHECK:
            spent, _, answers, after = check(problem, at, chosen)
        elif step.kind == REPAIR:
            spent, after = repair(problem, at, chosen)
            answers = np.ones(1)
        else:
            spent, answers, after = prove(problem, at)
        minutes[n] = spent[0]
        places.append(after)
        owner += [n] * len(after)
        chance += list(answers)
    if not places:
        return []
    chance, owner = np.array(chance), np.array(owner)
    onward, doubt = follow(problem, joined(places), grain / np.maximum(chance, 1e-12))
    borne = np.where([steps[n] == first for n in owner], 0.0, DOUBT) * doubt
    expected = minutes + np.bincount(owner, chance * (onward + borne), minlength=len(steps))
    return [
        Priced(step, float(m), float(e))
        for step, m, e in zip(steps, minutes, expected, strict=True)
    ]
