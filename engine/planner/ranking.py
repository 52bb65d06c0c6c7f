"""The planner's answer about a visit, in the names of the knowledge."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from engine.planner import rollout
from engine.planner.rollout import CHECK, PROOF, REFER, REPAIR, Priced, Step
from engine.planner.situation import Situation


@dataclass(frozen=True)
class Option:
    """A step and what it is expected to lead to.

    `kind` is "check", "action", "proof" or "refer"; `name` the id of the check or action; `cause`
    what an action is meant to mend; `minutes` this step with its access; `expected_minutes` from
    here to a proven repair or referral.
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


def rank(now: Situation) -> Ranking:
    """All steps worth taking now with their expected minutes, best first."""
    return Ranking(tuple(_named(now, priced) for priced in rollout.rank(now.problem, now.at)))


def price(now: Situation, kind: str, name: str) -> Option | None:
    """One step, priced as finely as the best ones; None where the planner does not know it."""
    problem = now.problem
    names: Mapping[str, tuple[str, ...]] = {
        "check": problem.checks.names,
        "action": problem.repairs.names,
    }
    if name not in names.get(kind, ()):
        return None
    step = Step(CHECK if kind == "check" else REPAIR, names[kind].index(name))
    return _named(now, rollout.price(problem, now.at, [step], rollout.GRAINS[-1], None)[0])


def _named(now: Situation, priced: Priced) -> Option:
    step, problem = priced.step, now.problem
    if step.kind == CHECK:
        return Option("check", problem.checks.names[step.index], priced.expected, priced.minutes)
    if step.kind == REPAIR:
        name = problem.repairs.names[step.index]
        return Option(
            "action", name, priced.expected, priced.minutes, _meant(now, step.index, name)
        )
    kind = {PROOF: "proof", REFER: "refer"}[step.kind]
    return Option(kind, kind, priced.expected, priced.minutes)


def _meant(now: Situation, index: int, name: str) -> str | None:
    """The likeliest cause that a repair mends, among those for which it is justified."""
    problem = now.problem
    chance = (now.at.weights[0] @ problem.members) * problem.repairs.works[index]
    may = np.array([cause in now.justified_for[name] for cause in problem.causes], dtype=bool)
    if not (may & (chance > 0)).any():
        return None
    return problem.causes[int(np.where(may, chance, -1.0).argmax())]
