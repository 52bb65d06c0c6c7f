"""A neutral problem solved: the first step, and what each way to choose the steps comes to.

`first` is the planner's advice, `expected_minutes` what following it to the end comes to. It is
exact where all places that following it can reach are few enough; then `standard_error`, `visits`
and `seed` are null. Otherwise it is the mean of that many simulated visits, and the other policies
are simulated in the same visits, so that their differences are surer than each figure. Whatever
could not be reckoned is null, and `notes` says why.

Unless a number of visits is asked for, the time is bounded: on a slower computer a large problem
is simulated with fewer visits. The advice itself never depends on time.
"""

from pathlib import Path
from time import monotonic

import numpy as np

from engine.planner import form
from engine.planner.evaluation import Followed, Simulated
from engine.planner.exact import all_knowing, optimum
from engine.planner.neutral import Form, compiled
from engine.planner.policies import POLICIES
from engine.planner.rollout import rank
from engine.planner.stand import start
from engine.planner.steps import CHECK, REPAIR

VISITS, SEED, MOST_PLACES = 2_000, 1, 20_000

OURS_SECONDS, OTHER_SECONDS = (20.0, 50.0), (5.0, 15.0)
"""How long one policy may be followed exactly, and how long it may be simulated."""

ALL_SECONDS = 100.0
"""How long all that may take together."""

FEW_VISITS = 10
"""A mean of fewer visits says nothing."""

SOLVER_WORK = 3e7
"""Places that the exact solver may price times steps times sets of causes: some 15 seconds."""

LEAST_STATES = 6_000
"""Where the exact solver might not even price so many places, it is not tried."""


def solve(
    path: Path, visits: int | None = None, seed: int = SEED, most_places: int = MOST_PLACES
) -> dict:
    """A problem from a file, answered as JSON; see the module.

    Parameters
    ----------
    visits : int, optional
        How many visits to simulate where that is needed, however long it takes; two at least.
    seed : int
        Of the simulated visits.
    most_places : int
        How many places may be looked at for an exact figure; 0 simulates always.

    Raises
    ------
    Unusable
        With every problem of the file.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> with TemporaryDirectory() as folder:
    ...     path = Path(folder, "one.json")
    ...     _ = path.write_text('{"causes": [{"id": "a", "prior": 0.5}], "refer": {"minutes": 60}}')
    ...     solve(path)["notes"]
    ['the priors sum to 0.5 and were scaled to 1']
    """
    return solved(form.read(path), visits, seed, most_places)


def solved(
    asked: Form, visits: int | None = None, seed: int = SEED, most_places: int = MOST_PLACES
) -> dict:
    """A problem answered as JSON; parameters as for `solve`.

    Examples
    --------
    >>> answer = solved(Form.model_validate({
    ...     "causes": [{"id": "a", "prior": 0.5, "repair": {"minutes": 10}},
    ...                {"id": "b", "prior": 0.5, "repair": {"minutes": 20}}],
    ...     "checks": [{"id": "t", "minutes": 3, "outcomes": ["a", "b"], "otherwise": [1, 0],
    ...                 "given": {"b": [0, 1]}}],
    ...     "refer": {"minutes": 300}}))
    >>> answer["first"], answer["expected_minutes"], answer["optimum"]
    ({'kind': 'check', 'id': 't'}, 18.0, 18.0)
    """
    began = monotonic()
    problem, weights = compiled(asked)
    at = start(problem, weights)
    first = rank(problem, at)[0]
    figures, notes = _figures(problem, at, visits, seed, most_places)
    if figures["ours"] is None:
        notes.append(f"ours: expected by the planner's own estimate, {first.expected:.1f} minutes")
    best, known = _bounds(problem, at)
    if best is None:
        notes.append("optimum: the problem is too large for the exact solver")
    policies = {name: figure and figure.minutes for name, figure in figures.items()}
    ours = figures["ours"]
    drawn = ours if ours and ours.visits else None
    return {
        "first": _named(problem, first.step),
        "expected_minutes": policies["ours"],
        "standard_error": drawn and drawn.standard_error,
        "visits": drawn and drawn.visits,
        "seed": drawn and seed,
        "optimum": best,
        "policies": {**policies, "all_knowing": known},
        "notes": _scaled(asked) + notes,
        "seconds": round(monotonic() - began, 3),
    }


def _named(problem, step) -> dict:
    names = {CHECK: problem.checks.names, REPAIR: problem.repairs.names}.get(step.kind)
    return {"kind": step.kind, "id": names[step.index] if names else None}


def _scaled(asked) -> list[str]:
    total = sum(cause.prior for cause in asked.causes)
    if asked.faults != "one" or abs(total - 1) < 1e-6:
        return []
    return [f"the priors sum to {total:g} and were scaled to 1"]


def _bounds(problem, at) -> tuple[float | None, float | None]:
    """(the optimum, the all-knowing repairer); None where the problem is too large."""
    steps = len(problem.checks.names) + len(problem.repairs.names)
    most_states = int(min(400_000, SOLVER_WORK / max(steps * len(problem.sets), 1)))
    if most_states < LEAST_STATES:
        return None, None
    best = optimum(problem, at, most_states)
    return best and best.minutes, all_knowing(problem, at, most_states)


def _figures(problem, at, visits, seed, most_places):
    """({policy: Simulated, with no visits where exact, or None}, notes)."""
    notes = []
    until = monotonic() + ALL_SECONDS

    def within(seconds):
        return np.inf if visits else min(seconds, until - monotonic())

    def reckoned(name, seconds):
        followed = Followed(problem, at, POLICIES[name])
        exact = followed.expected(places, within(seconds[0])) if places else None
        if exact is not None:
            return Simulated(exact, 0.0, 0)
        found = followed.simulated(count, seed, within(seconds[1]))
        if found is None or found.visits < (count if paired else min(count, FEW_VISITS)):
            notes.append(f"{name}: {found.visits if found else 0} of {count} visits in the time")
            return None
        notes.append(
            f"{name}: mean of {found.visits} simulated visits, "
            f"standard error {found.standard_error:.2g}"
        )
        return found

    places, count, paired = most_places, visits or VISITS, False
    ours = reckoned("ours", OURS_SECONDS)
    if ours and ours.visits:
        places, count, paired = 0, ours.visits, True
    others = {name: reckoned(name, OTHER_SECONDS) for name in POLICIES if name != "ours"}
    return {name: others.get(name, ours) for name in POLICIES}, notes
