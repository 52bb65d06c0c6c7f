"""Looking ahead in small problems: prices of plans that exist, never below the least possible."""

from dataclasses import replace

import numpy as np
import pytest

from engine.planner import lookahead
from engine.planner.exact import optimum
from engine.planner.neutral import read
from engine.planner.rollout import rank
from engine.planner.stand import joined, start
from engine.planner.steps import CHECK, REFER, Step, moves_of, take, worthwhile
from engine.planner.tree import follow
from tests.benchmarks.planner import BLOCKS, drawn

PROBLEMS = [(block, seed) for block in BLOCKS for seed in (501, 502)]


def problem_and_place(block, seed):
    problem, weights = read(drawn("trade", block, seed))
    return problem, start(problem, weights)


def least(problem, taken):
    """The least possible minutes of each move, by the exact solver."""
    worth = [optimum(problem, taken.after[[i]]).minutes for i in range(len(taken.chance))]
    onward = np.bincount(taken.move, taken.chance * worth, minlength=len(taken.minutes))
    return taken.minutes + onward


@pytest.mark.parametrize(("block", "seed"), PROBLEMS)
def test_a_step_is_priced_between_the_least_possible_and_the_base_policy(block, seed):
    problem, at = problem_and_place(block, seed)
    moves = worthwhile(problem, at)
    taken = take(problem, at, moves)
    assert lookahead.small(problem, at)
    priced = lookahead.priced(problem, taken)
    followed = follow(problem, taken.after, 1e-9)
    onward = np.bincount(taken.move, taken.chance * followed, minlength=len(taken.minutes))
    # Rare branches are estimated, which may be off to either side by a little.
    assert (priced >= 0.999 * least(problem, taken)).all()
    assert (priced <= 1.001 * (taken.minutes + onward)).all()


@pytest.mark.parametrize(("block", "seed"), PROBLEMS)
def test_the_first_step_costs_next_to_nothing_more_than_the_best(block, seed):
    problem, at = problem_and_place(block, seed)
    best = rank(problem, at)[0].step
    loss = least(problem, take(problem, at, moves_of([best])))[0] - optimum(problem, at).minutes
    assert loss <= 0.02 * optimum(problem, at).minutes


def test_two_checks_lead_to_one_place_in_either_order():
    problem, at = problem_and_place("open, one fault", 504)
    one, other = [step for step in worthwhile(problem, at).steps() if step.kind == CHECK][:2]
    places = joined([_both(problem, at, one, other), _both(problem, at, other, one)])
    first, same, chance = lookahead._merged(places, np.ones(len(places)))
    assert len(places) == 2 * len(first)
    assert (np.bincount(same) == 2).all()
    assert chance.tolist() == [1.0] * len(first)


def _both(problem, at, one, other):
    """The places that two checks lead to, one after the other."""
    at = take(problem, at, moves_of([one])).after
    step = moves_of([other] * len(at))
    return take(problem, at, replace(step, place=np.arange(len(at)))).after


def test_a_problem_of_real_size_is_not_looked_ahead_in():
    names = [f"c{i}" for i in range(60)]
    dice = np.random.default_rng(3)
    problem, weights = read(
        {
            "causes": [
                {"id": name, "prior": float(p), "repair": {"minutes": 30}}
                for name, p in zip(names, dice.dirichlet(np.ones(60)), strict=True)
            ],
            "checks": [
                {
                    "id": f"t{j}", "minutes": 5, "outcomes": ["no", "yes"], "otherwise": [0.9, 0.1],
                    "given": {name: [0.2, 0.8] for name in names if dice.integers(2)},
                }
                for j in range(40)
            ],
            "refer": {"minutes": 600},
        }
    )  # fmt: skip
    at = start(problem, weights)
    moves = worthwhile(problem, at)
    assert len(moves) > 90
    assert not lookahead.small(problem, at)
    ranked = rank(problem, at)
    assert {found.step for found in ranked} == {*moves.steps(), Step(REFER)}
    assert ranked[0].expected <= ranked[-1].expected
