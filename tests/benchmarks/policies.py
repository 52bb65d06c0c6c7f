"""Ways to choose the next step, for many places at once.

The rules are those of `engine.planner.policies`. The quick ones are written for all places
together and see the whole problem. The others are asked place by place, each with the problem
narrowed to what the belief there still holds, as the shipped planner narrows it.
"""

from contextlib import contextmanager
from dataclasses import replace
from functools import lru_cache, partial

import numpy as np

from engine.belief.network import UNLISTED
from engine.planner import policies
from engine.planner.problem import Problem
from engine.planner.situation import KEPT, MOST_SETS
from engine.planner.stand import Stand
from engine.planner.tree import LEAST_BITS, LEAST_MINUTES, choose, told
from tests.benchmarks.lockstep import CHECK, PROOF, REFER, REPAIR, Rule, Steps, Way, keys

THRESHOLDS = (0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.999)
"""Of information gain; from the last one on, a cause is identified."""

LOOKED_AT = 10, 6
"""Checks that `two_step` looks at, now and after an answer; in the engine 24 and 12, for which
there is no time here."""

BLOCK = 500
"""Places worked on at once, to bound memory."""

_KINDS = {"check": CHECK, "repair": REPAIR, "proof": PROOF, "refer": REFER}


@lru_cache(maxsize=1)  # so that what was decided for a place is known in the next visits too
def ways() -> dict[str, Way]:
    """All policies by name, in the order in which tables show them."""
    gains = {gain(sure): Way(partial(information_gain, sure=sure)) for sure in THRESHOLDS}
    return {
        "paper chart as listed": Way(paper_chart, chart=True),
        "paper chart": Way(ordered_chart(), chart=True),
        "probability over cost": Way(each(policies.probability_over_cost, narrow=False)),
        **gains,
        "myopic": Way(each(policies.myopic)),
        "two steps": Way(each(_two_step)),
        "base": Way(base),
        "ours": Way(each(policies.ours)),
    }


def gain(sure: float) -> str:
    """Name of information gain with a threshold."""
    return f"information gain to {sure:g}"


def base(problem: Problem, at: Stand) -> Steps:
    """The policy that ours prices everything with (`engine.planner.tree.choose`)."""
    blocks = [_base(problem, at[i : i + BLOCK]) for i in range(0, len(at), BLOCK)]
    return Steps(*(np.concatenate(part) for part in zip(*blocks, strict=True)))


def _base(problem, at):
    chosen = choose(problem, at)
    batch, asks = chosen.plan.batch, chosen.check >= 0
    repairs = np.where(batch > 0, REPAIR, np.where(batch == 0, PROOF, REFER))
    index = chosen.plan.order[:, 0] if chosen.plan.order.shape[1] else np.zeros_like(batch)
    return np.where(asks, CHECK, repairs), np.where(asks, chosen.check, index)


def paper_chart(problem: Problem, at: Stand) -> Steps:
    """Checks in the order listed until one cause is clearly first, then the likeliest repair."""
    suspected, chance, _ = _mending(problem, at)
    none = _most(chance)[1] <= policies.LEAST_CHANCE
    asks = ~at.made.all(axis=1) & (none | (suspected.max(axis=1) < policies.CLEAR))
    return _steps(at, asks, (~at.made).argmax(axis=1), ~none, _most(chance)[0])


def ordered_chart() -> Rule:
    """As `paper_chart`, with the checks that tell most per minute of a complaint first.

    The order is that of the place where all visits begin, and stays as it is: a chart is printed.
    """
    places: dict[Problem, np.ndarray] = {}

    def rule(problem: Problem, at: Stand) -> Steps:
        if problem not in places:  # asked for the first time: the one place of the beginning
            bits, minutes = told(problem, at[:1])
            places[problem] = np.argsort(-bits[0] / minutes[0], kind="stable")
        order = places[problem]
        made = at.made[:, order]
        steps = paper_chart(problem, at)
        return Steps(
            steps.kind, np.where(steps.kind == CHECK, order[made.argmin(axis=1)], steps.index)
        )

    return rule


def information_gain(problem: Problem, at: Stand, sure: float) -> Steps:
    """The check with most bits per minute until the first suspect is sure, then its repair."""
    bits, minutes = told(problem, at)
    tells = bits > LEAST_BITS
    suspected, chance, price = _mending(problem, at)
    first, top = _most(suspected)
    waits = (problem.repairs.works.T[first] > 0) & ~at.tried & ~at.justified
    asks = tells.any(axis=1) & ((top < sure) | waits.any(axis=1))
    rate = np.where(tells, bits / np.maximum(minutes, LEAST_MINUTES), 0.0)
    likeliest, most = _most(chance)
    saves = most * problem.refer_minutes > price[np.arange(len(at)), likeliest]
    return _steps(at, asks, rate.argmax(axis=1), (most > policies.LEAST_CHANCE) & saves, likeliest)


def _steps(at, asks, check, mends, repair) -> Steps:
    kind = np.where(asks, CHECK, np.where(mends, REPAIR, REFER))
    return Steps(np.where(at.pending, PROOF, kind), np.where(asks, check, repair))


def _mending(problem, at):
    """(probability of each cause; chance that a repair mends something; its minutes, all in)."""
    repairs = problem.repairs
    suspected = at.weights @ problem.to_mend
    chance = np.where(~at.tried & at.justified, suspected @ repairs.works.T, 0.0)
    opening = problem.layers.opening(at.opened, repairs.wanted)
    return (
        suspected,
        chance,
        repairs.minutes + opening + problem.proof_minutes + problem.closing_minutes,
    )


def _most(values):
    best = values.argmax(axis=1)
    return best, values[np.arange(len(values)), best]


def each(policy: policies.Policy, narrow: bool = True) -> Rule:
    """A policy of one place asked for many; equal places are asked about once."""
    decided: dict[tuple[Problem, bytes], tuple[int, int]] = {}

    def rule(problem: Problem, at: Stand) -> Steps:
        for row, key in enumerate(found := [(problem, key) for key in keys(at)]):
            if key not in decided:
                decided[key] = _one(policy, problem, at[[row]], narrow)
        return Steps(*np.array([decided[key] for key in found]).T)

    return rule


def _one(policy, problem, at, narrow) -> tuple[int, int]:
    small, here = narrowed(problem, at) if narrow else (problem, at)
    step = policy(small, here)
    index = 0
    for kind, part in (("check", "checks"), ("repair", "repairs")):
        if step.kind == kind:
            index = getattr(problem, part).names.index(getattr(small, part).names[step.index])
    return _KINDS[step.kind], index


def _two_step(problem, at):
    with _fewer_checks():
        return policies.two_step(problem, at)


@contextmanager
def _fewer_checks():
    before = policies.FIRST_CHECKS, policies.SECOND_CHECKS
    policies.FIRST_CHECKS, policies.SECOND_CHECKS = LOOKED_AT
    try:
        yield
    finally:
        policies.FIRST_CHECKS, policies.SECOND_CHECKS = before


def narrowed(
    problem: Problem, at: Stand, kept: float = KEPT, most: int = MOST_SETS
) -> tuple[Problem, Stand]:
    """The same place in a problem of the heaviest sets, and all that mending them leads to.

    Causes of none of these sets are dropped; so are checks that tell nothing among them, or only by
    the unlisted cause, or are made for good, and repairs that mend none of them or are proven.
    """
    weights = at.weights[0]
    heaviest = np.argsort(-weights, kind="stable")
    count = int(np.searchsorted(np.cumsum(weights[heaviest]), kept * weights.sum())) + 1
    rows = np.append(heaviest[: min(count, most)], 0)
    for _ in range(problem.sets.shape[1]):
        rows = np.unique(np.append(rows, problem.without[rows]))
    causes = np.flatnonzero(problem.members[rows].any(axis=0))
    place = np.full(len(problem.causes) + 1, len(causes))
    place[causes] = np.arange(len(causes))

    checks, repairs, w = problem.checks, problem.repairs, weights[rows]
    shows = checks.shows[rows]
    unlisted = problem.members[rows][:, [name == UNLISTED for name in problem.causes]].any(axis=1)
    wide = (np.ptp(shows[w > 0], axis=0) > 1e-9) & (np.ptp(shows[~unlisted], axis=0) > 1e-9)
    mends = np.flatnonzero(repairs.works[:, causes].any(axis=1) & (~at.tried | at.unproven)[0])
    can = ~at.made[0] | repairs.refreshes[mends].any(axis=0)
    tells = np.flatnonzero(np.logical_or.reduceat(wide, checks.first[:-1]) & can)
    columns = np.flatnonzero(np.isin(checks.owner, tells))
    small = replace(
        problem,
        causes=tuple(problem.causes[i] for i in causes),
        sets=place[problem.sets[rows]],
        chief=problem.chief[np.ix_(rows, causes)],
        checks=replace(
            checks,
            names=tuple(checks.names[i] for i in tells),
            minutes=checks.minutes[tells],
            wanted=checks.wanted[tells],
            shut=checks.shut[tells],
            shows=shows[:, columns],
            first=np.cumsum([0, *np.diff(checks.first)[tells]]),
        ),
        repairs=replace(
            repairs,
            names=tuple(repairs.names[i] for i in mends),
            minutes=repairs.minutes[mends],
            works=repairs.works[np.ix_(mends, causes)],
            wanted=repairs.wanted[mends],
            shut=repairs.shut[mends],
            justified=repairs.justified[mends],
            justifies=repairs.justifies[np.ix_(columns, mends)],
            refreshes=repairs.refreshes[np.ix_(mends, tells)],
            supersedes=repairs.supersedes[np.ix_(mends, mends)],
        ),
    )
    return small, replace(
        at,
        weights=(w / w.sum())[None],
        made=at.made[:, tells],
        tried=at.tried[:, mends],
        justified=at.justified[:, mends],
        unproven=at.unproven[:, mends],
    )
