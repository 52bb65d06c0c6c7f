"""Any troubleshooting problem in a neutral form, read into the planner's own.

DEVELOPERS.md describes the form. Beside what it needs, `repairs` may list repairs that mend more
than one cause, and a cause may have no repair at all. Rows and priors are taken as shares of their
sum; `engine.planner.form` refuses those whose sum is not 1.
"""

from collections.abc import Mapping
from typing import Annotated, Literal

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, StrictBool

from engine.belief.sets import fault_sets
from engine.planner.problem import Checks, Layers, Problem, Repairs

Share = Annotated[float, Field(strict=True, ge=0, le=1)]
Minutes = Annotated[float, Field(strict=True, ge=0, le=1e9, allow_inf_nan=False)]
Id = Annotated[str, Field(min_length=1)]


class _Form(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Repair(_Form):
    """What mends the cause it stands at."""

    minutes: Minutes
    works: Share = 1.0
    access: str | None = None


class Cause(_Form):
    id: Id
    prior: Share
    repair: Repair | None = None


class Check(_Form):
    """`given` holds P(outcome) where that cause alone is present, `otherwise` where none is."""

    id: Id
    minutes: Minutes
    outcomes: tuple[Id, ...] = Field(min_length=1)
    otherwise: tuple[Share, ...]
    given: Mapping[str, tuple[Share, ...]] = {}
    access: str | None = None


class WideRepair(_Form):
    """A repair that mends several causes, each with its probability."""

    id: Id
    minutes: Minutes
    mends: Mapping[str, Share]
    access: str | None = None


class Access(_Form):
    within: str | None = None
    open: Minutes = 0.0
    close: Minutes = 0.0
    shut_to_run: StrictBool = False


class Proof(_Form):
    minutes: Minutes = 0.0
    catches: Share = 1.0


class Refer(_Form):
    minutes: Minutes


class Form(_Form):
    """A whole problem."""

    causes: tuple[Cause, ...] = Field(min_length=1)
    checks: tuple[Check, ...] = ()
    repairs: tuple[WideRepair, ...] = ()
    access: Mapping[str, Access] = {}
    proof: Proof = Proof()
    refer: Refer
    faults: Literal["one", "up_to_two"] = "one"


def read(data: Mapping) -> tuple[Problem, np.ndarray]:
    """The planner's form of a problem, and the belief to begin with.

    Parameters
    ----------
    data : mapping
        As read from JSON.

    Raises
    ------
    pydantic.ValidationError
        Where it is not of the form.

    Examples
    --------
    >>> problem, weights = read({
    ...     "causes": [{"id": "a", "prior": 0.3, "repair": {"minutes": 5}},
    ...                {"id": "b", "prior": 0.7, "repair": {"minutes": 9}}],
    ...     "refer": {"minutes": 60}})
    >>> problem.repairs.names, [round(float(w), 3) for w in weights]
    (('a', 'b'), [0.0, 0.3, 0.7])
    """
    return compiled(Form.model_validate(data))


def compiled(form: Form) -> tuple[Problem, np.ndarray]:
    """The planner's form of a problem that has been read."""
    causes = tuple(cause.id for cause in form.causes)
    sets = fault_sets(len(causes), 1 if form.faults == "one" else 2)
    layers = _layers(form.access)
    checks = _checks(form, causes, sets, layers)
    problem = Problem(
        causes=causes,
        sets=sets,
        checks=checks,
        repairs=_repairs(form, causes, layers, len(checks.owner)),
        layers=layers,
        proof_minutes=form.proof.minutes,
        refer_minutes=form.refer.minutes,
        catches=form.proof.catches,
    )
    return problem, _belief(form, problem)


def _belief(form, problem) -> np.ndarray:
    prior = np.array([cause.prior for cause in form.causes])
    if form.faults == "one":
        weights = np.concatenate([[0.0], prior])
    else:
        # As shares of the odds, so that many causes near certainty do not come to nothing.
        certain = prior == 1
        odds = np.where(certain, 1.0, prior / np.where(certain, 1.0, 1 - prior))
        weights = np.where(problem.members, odds, 1.0).prod(axis=1)
        weights[(certain & ~problem.members).any(axis=1)] = 0.0
        weights[0] = 0.0
    return weights / weights.sum()


def _ancestors(access: Mapping[str, Access], name: str | None) -> list[str]:
    chain = []
    while name is not None and name not in chain:
        chain.append(name)
        name = access[name].within
    return chain


def _layers(access) -> Layers:
    return Layers(
        names=tuple(access),
        minutes=np.array([a.open + a.close for a in access.values()], dtype=float),
        shut_for_proof=np.array(
            [any(access[x].shut_to_run for x in _ancestors(access, n)) for n in access], dtype=bool
        ),
    )


def _wanted(form, layers, steps) -> np.ndarray:
    rows = [layers.mask(_ancestors(form.access, step.access)) for step in steps]
    return np.array(rows, dtype=bool).reshape(len(steps), len(layers.names))


def _checks(form, causes, sets, layers) -> Checks:
    wanted = _wanted(form, layers, form.checks)
    shows = [_shows(check, causes, sets) for check in form.checks]
    return Checks(
        names=tuple(check.id for check in form.checks),
        minutes=np.array([check.minutes for check in form.checks], dtype=float),
        wanted=wanted,
        shut=np.zeros_like(wanted),
        shows=np.concatenate(shows, axis=1) if shows else np.zeros((len(sets), 0)),
        first=np.cumsum([0, *(len(check.outcomes) for check in form.checks)]),
    )


def _shows(check: Check, causes, sets) -> np.ndarray:
    """P(outcome | set): one cause shows what is given; two combine as noisy-MAX."""
    background = _cumulative(check.otherwise)
    below = np.ones((len(causes) + 1, len(check.outcomes)))
    known = np.zeros(len(causes) + 1, dtype=bool)
    for i, name in enumerate(causes):
        if name in check.given:
            below[i], known[i] = _cumulative(check.given[name]), True
    combined = below[sets].prod(axis=1)
    plain = (known[sets].sum(axis=1) == 1) & ((sets < len(causes)).sum(axis=1) == 1)
    cumulative = np.where(plain[:, None], combined, background * combined)
    return np.clip(np.diff(cumulative, axis=1, prepend=0.0), 0.0, None)


def _cumulative(row) -> np.ndarray:
    return np.cumsum(row) / np.sum(row)


def _repairs(form, causes, layers, columns) -> Repairs:
    single = [(c.id, c.repair, {c.id: c.repair.works}) for c in form.causes if c.repair]
    wide = [(repair.id, repair, repair.mends) for repair in form.repairs]
    names, steps, mends = zip(*single, *wide, strict=True) if single or wide else ((), (), ())
    wanted = _wanted(form, layers, steps)
    return Repairs(
        names=tuple(names),
        minutes=np.array([step.minutes for step in steps], dtype=float),
        works=np.array([[m.get(c, 0.0) for c in causes] for m in mends]).reshape(-1, len(causes)),
        wanted=wanted,
        shut=np.zeros_like(wanted),
        justified=np.ones(len(names), dtype=bool),
        justifies=np.zeros((columns, len(names)), dtype=bool),
        refreshes=np.zeros((len(names), len(form.checks)), dtype=bool),
        supersedes=np.zeros((len(names), len(names)), dtype=bool),
    )
