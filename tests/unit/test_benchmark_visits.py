"""The benchmark of simulated visits: same boilers for all, same rules as in the engine, bounds."""

from dataclasses import replace
from functools import cache, partial

import numpy as np
import pytest

from engine.belief.observers import PROOF_PASSES
from engine.planner import policies as single
from engine.planner.rollout import first_of_base
from engine.planner.tree import told
from tests.benchmarks import policies
from tests.benchmarks.bounds import all_knowing, clairvoyant
from tests.benchmarks.lockstep import (
    CHECK,
    PROOF,
    REFER,
    REFERRED,
    REPAIR,
    RIGHT,
    Steps,
    Way,
    answers,
    follow,
)
from tests.benchmarks.visits import BOUNDS, Part, gathered, hold, run
from tests.benchmarks.worlds import Worlds, disturbed, setting

COMPLAINT = "condensate_backs_up"
KINDS = {"check": CHECK, "repair": REPAIR, "proof": PROOF, "refer": REFER}


@cache
def boilers(visits=40):
    of = setting(COMPLAINT)
    return of, Worlds.drawn(of, 3, range(visits))


@cache
def places():
    """Places of all kinds, more than any visit would lead through."""
    of, dice = setting(COMPLAINT), np.random.default_rng(1)
    rows = 200
    at = of.at[[0] * rows]
    sharpness = dice.choice([0.0, 0.5, 3.0], rows)[:, None]
    weights = at.weights * np.exp(sharpness * dice.standard_normal(at.weights.shape))
    weights[:, 0] = np.where(dice.random(rows) < 0.3, 0.1, 0.0)
    likely = dice.choice([0.0, 0.2, 0.5], at.made.shape[0])[:, None]
    return of.problem, replace(
        at,
        weights=weights / weights.sum(axis=1, keepdims=True),
        opened=dice.random(at.opened.shape) < likely,
        made=(dice.random(at.made.shape) < likely) | (dice.random(rows) < 0.1)[:, None],
        tried=(dice.random(at.tried.shape) < likely) | (dice.random(rows) < 0.1)[:, None],
        justified=at.justified | (dice.random(at.justified.shape) < likely),
        pending=dice.random(rows) < 0.1,
    )


def scripted(*steps):
    """A way that takes these steps whatever it hears, and refers then; it keeps what it knows."""
    turn = iter(steps)

    def rule(problem, at):
        kind, index = next(turn, (REFER, 0))
        return Steps(np.full(len(at), kind), np.full(len(at), index))

    return Way(rule)


def of_base(problem, at):
    return first_of_base(problem, at) or single.Step(single.REFER)


@pytest.mark.parametrize(
    ("together", "alone"),
    [
        (policies.base, of_base),
        (policies.paper_chart, single.paper_chart),
        *(
            (
                partial(policies.information_gain, sure=sure),
                partial(single.information_gain, sure=sure),
            )
            for sure in (0.5, 0.8, 0.999)
        ),
    ],
)
def test_rules_for_many_places_are_those_for_one(together, alone):
    problem, at = places()
    steps = together(problem, at)
    for row, (kind, index) in enumerate(zip(steps.kind, steps.index, strict=True)):
        step = alone(problem, at[[row]])
        assert kind == KINDS[step.kind], row
        assert kind in (PROOF, REFER) or index == step.index, row
    assert len(set(steps.kind.tolist())) > 2


def test_a_printed_chart_keeps_the_order_that_tells_most_per_minute_at_the_beginning():
    of, _ = boilers()
    rule = policies.ordered_chart()
    bits, minutes = told(of.problem, of.at)
    order = np.argsort(-bits[0] / minutes[0], kind="stable")
    at, asked = of.at, []
    for _ in range(6):
        steps = rule(of.problem, at)
        assert steps.kind.tolist() == [CHECK]
        asked.append(int(steps.index[0]))
        made = at.made.copy()
        made[0, asked[-1]] = True
        at = replace(at, made=made, weights=at.weights[:, ::-1])  # whatever is believed meanwhile
    assert asked == order[:6].tolist()


def test_the_same_question_is_answered_alike_whatever_was_asked_before():
    of, worlds = boilers()
    first, second = 4, 9  # any two
    heard = {}
    for order in ((first, second), (second, first)):
        seen = []

        def rule(problem, at, order=order, seen=seen):
            seen.append(at)
            step = len(seen) - 1
            kind, index = (CHECK, order[step]) if step < 2 else (REFER, 0)
            return Steps(np.full(len(at), kind), np.full(len(at), index))

        result = follow(of, worlds, Way(rule))
        # The beliefs that both answers lead to do not depend on the order of the questions.
        heard[order] = sorted(np.round(seen[-1].weights, 9).tolist())
        assert (result["checks"] == 2).all()
        assert (result["end"] == REFERRED).all()
    (one, other) = heard.values()
    assert len(one) > 1
    np.testing.assert_allclose(one, other)


def test_more_boilers_begin_with_the_same_ones():
    of, worlds = boilers()
    later = Worlds.drawn(of, 3, range(10, 20))
    for field in ("chief", "faults", "answers", "mended", "proofs"):
        np.testing.assert_array_equal(getattr(worlds, field)[10:20], getattr(later, field))


def test_repair_and_proof_end_as_drawn_and_cost_what_they_take():
    of, worlds = boilers(600)
    name = int((of.works @ of.network.chief[0]).argmax())
    result = follow(of, worlds, scripted((REPAIR, name), (PROOF, 0)))
    rows = np.arange(len(worlds.chief))
    gone = worlds.mended[rows, name, worlds.chief]
    passed = worlds.proofs[:, 1] < np.where(gone, PROOF_PASSES["sound"], PROOF_PASSES["faulty"])
    assert gone.any()
    assert (gone & ~passed).any()  # a false alarm
    assert (~gone & passed).any()  # a fault left in
    np.testing.assert_array_equal(result["end"] == RIGHT, gone & passed)
    np.testing.assert_array_equal(result["end"] == REFERRED, ~passed)
    problem = of.problem
    opening = problem.repairs.wanted[name] @ problem.layers.minutes
    minutes = problem.repairs.minutes[name] + opening + problem.proof_minutes
    minutes = minutes + passed * problem.closing_minutes
    np.testing.assert_allclose(result["minutes"], minutes)
    missed = np.where(gone & passed, 0.0, problem.refer_minutes)
    np.testing.assert_allclose(result["price"], minutes + missed)


def test_answers_are_as_likely_as_the_planner_takes_them_to_be():
    """Over boilers with at most two causes, check by check and outcome by outcome."""
    of, worlds = boilers(2000)
    problem, checks = of.problem, of.problem.checks
    place = {row.tobytes(): i for i, row in enumerate(problem.members)}
    known = [place.get(row.tobytes()) for row in worlds.faults]
    rows = np.array([i for i, found in enumerate(known) if found is not None])
    foreseen = checks.shows[[known[i] for i in rows]]
    assert len(rows) > 1000
    epoch = np.zeros_like(rows)
    for check in range(len(checks.names)):
        heard = answers(of, worlds, worlds.faults, rows, np.full(len(rows), check), epoch)
        for column in range(*checks.first[check : check + 2]):
            chance = foreseen[:, column]
            error = np.sqrt((chance * (1 - chance)).sum())
            assert abs((heard == column).sum() - chance.sum()) < 4.5 * error, checks.names[check]


@pytest.mark.parametrize("complaint", [COMPLAINT, "locks_out_no_flame"])
def test_no_policy_is_cheaper_than_the_bounds(complaint):
    of = setting(complaint)
    worlds = Worlds.drawn(of, 5, range(30))
    least, mean = clairvoyant(of, worlds), all_knowing(of)[worlds.chief]
    for name in (
        "paper chart",
        "paper chart as listed",
        "probability over cost",
        policies.gain(0.6),
        "base",
    ):
        price = follow(of, worlds, policies.ways()[name])["price"]
        assert (least <= price + 1e-9).all(), name
        assert mean.mean() < price.mean(), name


def test_the_all_knowing_price_is_that_of_the_clairvoyant_with_the_draws_left_open():
    """Mean over many draws of what the clairvoyant pays is below, for every chief cause."""
    of, worlds = boilers(2000)
    least, mean = clairvoyant(of, worlds), all_knowing(of)
    for chief, visits in zip(*np.unique(worlds.chief, return_counts=True), strict=True):
        mine = least[worlds.chief == chief]
        if visits >= 30:
            assert mine.mean() <= mean[chief] + 4 * mine.std() / np.sqrt(visits)


def test_narrowed_to_everything_prices_a_plan_the_same():
    problem, at = places()
    for row in range(0, 40, 4):
        here = at[[row]]
        # Checks made are dropped, which makes a repair dearer that only they could justify.
        here = replace(here, made=np.zeros_like(here.made))
        small, there = policies.narrowed(problem, here, kept=1.0, most=10**6)
        assert single.plan(small, there).minutes == pytest.approx(
            single.plan(problem, here).minutes, rel=1e-9
        )


def test_narrowed_holds_most_of_the_belief_and_all_that_mending_leads_to():
    problem, at = places()
    for row in range(0, 40, 4):
        small, there = policies.narrowed(problem, at[[row]], most=50)
        assert len(small.sets) <= 50 * 3 + 1
        assert small.repairs.works.shape == (len(small.repairs.names), len(small.causes))
        assert there.weights.sum() == pytest.approx(1)
        assert len(small.moves) == len(small.repairs.names)  # every set it leads to is there


@pytest.mark.parametrize(
    "changed",
    [
        lambda of: replace(of, problem=replace(of.problem, closing_minutes=1.0)),
        lambda of: replace(of, problem=replace(of.problem, chief=of.problem.chief / 2)),
        lambda of: replace(of, network=replace(of.network, standing=of.network.standing / 2)),
        lambda of: replace(of, sure=of.sure / 2),
    ],
)
def test_visits_are_not_gone_on_with_after_a_figure_has_changed(changed):
    of = setting(COMPLAINT)
    assert replace(of).digest == of.digest
    assert changed(of).digest != of.digest


def test_disturbed_figures_differ_and_name_the_same_steps():
    of = setting(COMPLAINT)
    problem, at = disturbed(of, 1)
    assert problem.checks.names == of.problem.checks.names
    ratio = np.log(problem.checks.minutes / of.problem.checks.minutes)
    assert 0.4 < ratio.std() < 1.0
    assert at.weights.sum() == pytest.approx(1)
    np.testing.assert_allclose(
        np.add.reduceat(problem.checks.shows, problem.checks.first[:-1], axis=1), 1
    )


def test_what_is_prevented_is_not_asked_before_it_fires():
    of = setting("locks_out_no_flame")
    assert of.blocked_checks.any()
    worlds = Worlds.drawn(of, 1, range(5))
    shown = []

    def rule(problem, at):
        shown.append(at.made)
        return Steps(np.full(len(at), REFER), np.zeros(len(at), dtype=int))

    follow(of, worlds, Way(rule))
    assert shown[0][:, of.blocked_checks].all()


def test_saved_parts_are_put_together_again():
    whole = [run(Part(COMPLAINT, "base", 2, 0, 12))]
    halves = [run(Part(COMPLAINT, "base", 2, first, 6)) for first in (6, 0)]
    bounds = [run(Part(COMPLAINT, name, 2, 0, 12)) for name in BOUNDS]

    def together(parts):
        return gathered({(p["complaint"], p["policy"], p["seed"], p["first"]): p for p in parts})

    one, two = together(whole + bounds), together(halves + bounds)
    np.testing.assert_array_equal(one[COMPLAINT]["base"]["price"], two[COMPLAINT]["base"]["price"])
    hold(one[COMPLAINT])
    one[COMPLAINT]["base"]["price"] = one[COMPLAINT]["clairvoyant"]["price"] - 1
    with pytest.raises(AssertionError, match="clairvoyant"):
        hold(one[COMPLAINT])
