"""The planner's answer about a visit, in the names of the knowledge."""

from dataclasses import dataclass

import numpy as np

from engine.planner import outlook, rollout
from engine.planner.rollout import Priced
from engine.planner.situation import Situation
from engine.planner.steps import CHECK, KINDS, PROOF, REFER, REPAIR


@dataclass(frozen=True)
class Option:
    """A step and what it is expected to lead to.

    `kind` is "check", "action", "proof" or "refer"; `name` the id of the check or action; `cause`
    what an action is meant to mend; `minutes` this step with its access; `expected_minutes` from
    here to a proven repair or referral, None for a step that the planner does not know.
    """

    kind: str
    name: str
    expected_minutes: float | None
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
        """Minutes between the best step and the runner-up; 0 where that is priced a little lower.

        From where on they mean something `engine.planner.outlook.compared` tells.
        """
        if len(self.options) < 2:
            return 0.0
        return max(self.options[1].expected_minutes - self.options[0].expected_minutes, 0.0)


def rank(now: Situation) -> Ranking:
    """All steps worth taking now with their expected minutes, best first.

    Of repairs that cost the same, because one proof follows all of them, the likeliest to help
    comes first: where it does help, the others are not needed.
    """
    helps = outlook.helps(now)
    priced = sorted(
        rollout.rank(now.problem, now.at),
        key=lambda p: (
            not p.held,
            round(p.expected, 6),
            KINDS.index(p.step.kind),
            -helps[p.step.index] if p.step.kind == REPAIR else 0.0,
        ),
    )
    return Ranking(tuple(_named(now, each) for each in priced))


def price(now: Situation, kind: str, name: str) -> Option | None:
    """One check or action, whatever the ranking thinks of it, as finely as the best two.

    None where the planner does not know the step.
    """
    step, seen = outlook.step_of(now, kind, name), outlook.foresee(now, kind, name)
    if step is None or seen is None:
        return None
    return _named(now, Priced(step, seen.minutes, seen.expected))


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
    chance = (now.at.weights[0] @ problem.to_mend) * problem.repairs.works[index]
    may = np.array([cause in now.justified_for[name] for cause in problem.causes], dtype=bool)
    if not (may & (chance > 0)).any():
        return None
    return problem.causes[int(np.where(may, chance, -1.0).argmax())]
