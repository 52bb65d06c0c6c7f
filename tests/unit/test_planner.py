"""Laws of the planner: what must hold whatever the numbers are."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine import planner
from engine.knowledge.before import FIVE_STARTS
from engine.planner.access import layers_of, needed
from engine.planner.evaluation import expected, simulated
from engine.planner.exact import optimum
from engine.planner.neutral import read
from engine.planner.policies import ours
from engine.planner.repairing import NEVER, costs, plan
from engine.planner.rollout import rank
from engine.planner.stand import prove, repair, start
from engine.visit import events as happened
from engine.visit import thinking
from engine.visit.state import fold
from tests.situations import Toy, advice, least_possible, one_fault, price_of_advice


def toy(seed, faults=1):
    """A small problem: up to four causes, a check or two, a panel, a referral within reach."""
    dice = np.random.default_rng(seed)
    n = int(dice.integers(2, 5))
    sets = [frozenset({i}) for i in range(n)]
    if faults == 2:
        sets += [frozenset({i, j}) for i in range(n) for j in range(i)]
    chances = dice.dirichlet(np.ones(len(sets))) * 0.9 + 0.1 / len(sets)
    checks = {}
    for name in ["look", "listen"][: int(dice.integers(1, 3))]:
        table = {s: tuple(map(float, dice.dirichlet([0.4, 0.4]))) for s in sets}
        checks[name] = (float(dice.uniform(1, 8)), table)
    return Toy(
        dict(zip(sets, map(float, chances), strict=True)),
        tuple(float(m) for m in dice.uniform(2, 30, n)),
        works=tuple(float(w) for w in dice.uniform(0.5, 1, n)),
        checks=checks,
        refer=float(dice.uniform(15, 90)),
        proof=float(dice.uniform(0, 10)),
        layers=(("panel", float(dice.uniform(1, 15)), bool(dice.integers(2))),),
        behind=tuple(("panel",) if dice.integers(2) else () for _ in range(n)),
    )


SEEDS = st.integers(0, 10**6)
FAULTS = st.sampled_from([1, 2])
CLOSE = 1e-6


def values(ranking):
    return {(o.kind, o.name, o.cause): o.expected_minutes for o in ranking.options}


def best(problem):
    """The advised step and its expected minutes."""
    return next(iter(advice(problem).items()))


@settings(max_examples=30, deadline=None)
@given(seed=SEEDS, faults=FAULTS)
def test_no_advice_is_priced_above_referring_at_once(seed, faults):
    problem = toy(seed, faults)
    assert best(problem)[1] <= problem.refer + 1e-9
    assert price_of_advice(problem) <= problem.refer * (1 + CLOSE)


@settings(max_examples=30, deadline=None)
@given(seed=SEEDS, faults=FAULTS)
def test_no_plan_is_cheaper_than_the_least_possible(seed, faults):
    """Counted step by step outside the planner, by another piece of code."""
    problem = toy(seed, faults)
    assert price_of_advice(problem) >= least_possible(problem) - CLOSE


def test_following_the_advice_comes_close_to_the_least_possible():
    """Over 60 small problems; the published best for its kind was 1.8 % on average."""
    gaps = []
    for seed in range(60):
        problem = toy(seed, 1 + seed % 2)
        gaps.append(price_of_advice(problem) / least_possible(problem) - 1)
    assert min(gaps) >= -CLOSE
    assert np.mean(gaps) <= 0.018


@settings(max_examples=30, deadline=None)
@given(seed=SEEDS, faults=FAULTS)
def test_following_the_advice_costs_no_more_than_it_says(seed, faults):
    """Where the whole tree of answers is followed, the price is that of a plan which exists, and
    choosing again at every step can only do better. Small problems have branches less likely than
    the finest grain; 2 % is left for them."""
    problem = toy(seed, faults)
    assert price_of_advice(problem) <= best(problem)[1] * 1.02


@settings(max_examples=30, deadline=None)
@given(seed=SEEDS, faults=FAULTS)
def test_refusing_a_step_never_improves_the_least_possible(seed, faults):
    """Of the optimum it holds exactly; the advice is held to it by its distance to the optimum."""
    problem = toy(seed, faults)
    before = least_possible(problem)
    for name in problem.checks:
        rest = {n: entry for n, entry in problem.checks.items() if n != name}
        assert price_of_advice(replace(problem, checks=rest)) >= before - CLOSE
    for i in range(len(problem.minutes)):
        minutes = tuple(None if j == i else m for j, m in enumerate(problem.minutes))
        assert price_of_advice(replace(problem, minutes=minutes)) >= before - CLOSE


@settings(max_examples=30, deadline=None)
@given(seed=SEEDS, faults=FAULTS, order=st.randoms())
def test_names_and_order_of_causes_and_checks_change_nothing(seed, faults, order):
    problem = toy(seed, faults)
    n = len(problem.minutes)
    place = list(range(n))
    order.shuffle(place)  # cause i becomes cause place[i]
    back = [place.index(i) for i in range(n)]

    def moved(s):
        return frozenset(place[i] for i in s)

    names = list(problem.checks)
    order.shuffle(names)
    other = replace(
        problem,
        weights={moved(s): w for s, w in problem.weights.items()},
        minutes=tuple(problem.minutes[back[i]] for i in range(n)),
        works=tuple(problem.works[back[i]] for i in range(n)),
        behind=tuple(problem.behind[back[i]] for i in range(n)),
        checks={
            f"other_{name}": (
                problem.checks[name][0],
                {moved(s): row for s, row in problem.checks[name][1].items()},
            )
            for name in names
        },
    )
    renamed = {}
    for (kind, name), price in advice(problem).items():
        if kind == "repair":
            name = f"mend_c{place[int(name.removeprefix('mend_c'))]}"
        renamed[kind, f"other_{name}" if kind == "check" else name] = price
    found = advice(other)
    assert found.keys() == renamed.keys()
    for key, price in found.items():
        assert price == pytest.approx(renamed[key], abs=1e-6)


@settings(max_examples=30, deadline=None)
@given(seed=SEEDS, faults=FAULTS, scale=st.sampled_from([0.25, 4.0, 16.0]))
def test_minutes_in_another_unit_change_no_advice(seed, faults, scale):
    problem = toy(seed, faults)
    scaled = replace(
        problem,
        minutes=tuple(m * scale for m in problem.minutes),
        checks={name: (m * scale, table) for name, (m, table) in problem.checks.items()},
        refer=problem.refer * scale,
        proof=problem.proof * scale,
        layers=tuple((name, m * scale, shut) for name, m, shut in problem.layers),
    )
    before, after = advice(problem), advice(scaled)
    assert after.keys() == before.keys()
    for key, price in after.items():
        assert price == pytest.approx(scale * before[key], rel=1e-6)


@settings(max_examples=30, deadline=None)
@given(seed=SEEDS, faults=FAULTS)
def test_an_answer_for_nothing_never_hurts(seed, faults):
    """A check that takes no time, and names the set that is present."""
    problem = toy(seed, faults)
    sets = list(problem.weights)
    names = {s: tuple(float(s == t) for t in sets) for s in sets}
    told = replace(problem, checks=problem.checks | {"told": (0.0, names)})
    assert price_of_advice(told) <= price_of_advice(problem) * (1 + CLOSE)


def test_a_certain_cause_is_mended_without_another_check():
    table = {frozenset({0}): (0.6, 0.4), frozenset({1}): (0.4, 0.6)}
    problem = Toy(one_fault([1.0, 0.0]), (20, 20), checks={"look": (1, table)}, proof=10)
    assert best(problem) == (("repair", "mend_c0"), pytest.approx(30))


def test_what_nobody_can_mend_is_referred():
    problem = Toy(one_fault([0.4, 0.6]), (None, None), refer=60.0)
    assert best(problem) == (("refer", "refer"), 60.0)


def test_an_open_panel_makes_what_lies_behind_it_cheaper():
    problem = Toy(
        one_fault([0.5, 0.5]), (10, 10), layers=(("panel", 15, False),), behind=((), ("panel",))
    )
    assert best(problem) == (("repair", "mend_c0"), pytest.approx(10 + 0.5 * 25))
    opened = advice(replace(problem, opened=frozenset({"panel"})))
    assert opened["repair", "mend_c0"] == opened["repair", "mend_c1"] == pytest.approx(15)


def test_a_repair_that_no_finding_justifies_yet_is_not_offered():
    problem, at = Toy(one_fault([0.9, 0.1]), (10, 10)).problem()
    at = replace(at, justified=np.array([[False, True]]))
    assert [p.step.index for p in rank(problem, at) if p.step.kind == "repair"] == [1]


def _visit(knowledge, symptom, found):
    told = [
        happened.Opened(who="technician"),
        happened.SymptomReported(symptom=symptom),
        *(happened.Found(check=check, outcome=outcome) for check, outcome in found),
    ]
    state = fold(knowledge, list(enumerate(told, 1)))
    return state, thinking.think(knowledge, state)


def test_the_same_state_gets_the_same_advice(knowledge):
    """Twice over, and with the findings entered the other way round.

    Checks that open nothing, because what stays open depends on which came last.
    """
    symptom = next(name for name, s in knowledge.symptoms.items() if not s.danger)
    state, thought = _visit(knowledge, symptom, [])
    checks = [
        option.name
        for option in planner.rank(thinking.situation(knowledge, state, thought)).options
        if option.kind == "check" and not knowledge.checks[option.name].access
    ]
    found = [(name, knowledge.checks[name].healthy) for name in checks[:4]]
    assert len(found) == 4
    rankings = []
    for order in (found, found, found[::-1]):
        state, thought = _visit(knowledge, symptom, order)
        rankings.append(values(planner.rank(thinking.situation(knowledge, state, thought))))
    assert list(rankings[0]) == list(rankings[1]) == list(rankings[2])
    assert rankings[0] == rankings[1]
    assert list(rankings[2].values()) == pytest.approx(list(rankings[0].values()), abs=1e-6)


def test_the_planner_sees_open_what_the_visit_leaves_open(knowledge):
    """Two steps one after the other, once by the planner's arrays and once by the visit's fold."""
    layers = layers_of(knowledge)
    steps = {
        (step.access, step.shut): happened.Found(check=name, outcome=next(iter(step.outcomes)))
        for name, step in knowledge.checks.items()
        if not step.derived
    }
    shut_again = 0
    for first in steps:
        for second in steps:
            left = fold(knowledge, enumerate((steps[first], steps[second]), start=1)).opened
            state = layers.mask(())
            for access, shut in (first, second):
                before = state
                step = SimpleNamespace(access=access, shut=shut)
                _, state = layers.move(state, *needed(knowledge, layers, step))
                shut_again += (before & ~state).any()
            seen = {n for n, on in zip(layers.names, state, strict=True) if on}
            assert seen & set(knowledge.access) == set(left)
    assert shut_again


def test_the_planner_expects_of_a_repair_what_the_visit_then_believes(knowledge):
    """The same repair, once by the planner's arrays and once by the visit's belief."""
    for symptom, found in (
        ("weak_flame_signal", ("flame_rod_seen", "coated")),
        ("condensate_backs_up", ("flame_rod_seen", "clean")),
    ):
        state, thought = _visit(knowledge, symptom, [found])
        now = thinking.situation(knowledge, state, thought)
        option = next(o for o in planner.rank(now).options if o.kind == "action")
        index = now.problem.repairs.names.index(option.name)
        _, after = repair(now.problem, now.at, np.array([index]))
        done = happened.ActionDone(action=option.name, cause=option.cause)
        told = [happened.Opened(who="technician"), happened.SymptomReported(symptom=symptom)]
        told += [happened.Found(check=found[0], outcome=found[1]), done]
        thought = thinking.think(knowledge, fold(knowledge, list(enumerate(told, 1))))
        names = thought.belief.space.network.causes
        believed = dict(zip(names, thought.belief.marginals(), strict=True))
        expected = dict(
            zip(now.problem.causes, after.weights[0] @ now.problem.members, strict=True)
        )
        assert after.weights[0, 0] > 0.02
        # The planner leaves out the rarest sets.
        assert after.weights[0, 0] == pytest.approx(thought.belief.sound(), abs=0.03)
        for cause, chance in expected.items():
            assert chance == pytest.approx(believed[cause], abs=0.03), cause


def test_a_check_comes_back_after_a_repair_that_may_have_changed_what_it_shows(knowledge):
    found = [("flame_rod_seen", "coated"), ("room_air_survey", "clean")]
    state, thought = _visit(knowledge, "weak_flame_signal", found)
    now = thinking.situation(knowledge, state, thought)
    index = now.problem.checks.names.index("flame_rod_seen")
    assert not {name for name, _ in found} & {o.name for o in planner.rank(now).options}
    cleaning = now.problem.repairs.names.index("clean_flame_rod")
    _, after = repair(now.problem, now.at, np.array([cleaning]))
    assert now.at.made[0, index]
    assert not after.made[0, index]

    # In the visit alike; the air near the boiler is what it was.
    told = [
        happened.Opened(who="technician"),
        happened.SymptomReported(symptom="weak_flame_signal"),
        *(happened.Found(check=check, outcome=outcome) for check, outcome in found),
        happened.ActionDone(action="clean_flame_rod", cause="flame_rod_coated"),
        happened.Proved(closing=FIVE_STARTS, words="the third died", failed=True),
    ]
    state = fold(knowledge, list(enumerate(told, 1)))
    now = thinking.situation(knowledge, state, thinking.think(knowledge, state))
    offered = {o.name for o in planner.rank(now).options}
    assert "flame_rod_seen" in offered
    assert "room_air_survey" not in offered


def pair(chief=(0.5, 0.5)):
    """Two causes, both there, of which either may have brought the complaint."""
    form = {
        "causes": [
            {"id": "a", "prior": 1, "repair": {"minutes": 10}},
            {"id": "b", "prior": 1, "repair": {"minutes": 20}},
        ],
        "proof": {"minutes": 5},
        "refer": {"minutes": 1000},
        "faults": "up_to_two",
    }
    problem, _ = read(form)
    both = problem.members.all(axis=1)
    brought = np.where(both[:, None], chief, problem.alone)
    return replace(problem, chief=brought), start(problem, both / both.sum())


def test_what_brought_the_complaint_is_enough_to_mend():
    """By hand: a and its proof 15; where b has brought it, b and its proof 25 more: 27.5."""
    problem, at = pair()
    assert plan(problem, at).minutes == pytest.approx([27.5])
    assert optimum(problem, at).minutes == pytest.approx(27.5)
    assert expected(problem, at, ours) == pytest.approx(27.5)
    found = simulated(problem, at, ours, visits=400, seed=1)
    assert found.minutes == pytest.approx(27.5, abs=4 * found.standard_error)
    problem, at = pair(chief=(0.1, 0.9))
    assert plan(problem, at).minutes == pytest.approx([25 + 0.1 * 15])


def test_only_a_check_that_is_left_counts_as_the_way_to_justify_a_repair():
    """10 minutes of repair; the justifying checks take 2 and 60."""
    checks = [
        {"id": name, "minutes": minutes, "outcomes": ["no", "yes"], "otherwise": [1, 0],
         "given": {"a": [0.5, 0.5]}}
        for name, minutes in (("t1", 2), ("t2", 60))
    ]  # fmt: skip
    causes = [{"id": "a", "prior": 1, "repair": {"minutes": 10}}]
    problem, weights = read({"causes": causes, "checks": checks, "refer": {"minutes": 1000}})
    yes = np.array([False, True, False, True])[:, None]
    repairs = replace(problem.repairs, justified=np.array([False]), justifies=yes)
    problem = replace(problem, repairs=repairs)
    at = start(problem, weights)
    for made, minutes in ((0, 12), (1, 70), (2, NEVER)):
        at.made[0] = [made > 0, made > 1]
        cost, can = costs(problem, at)
        assert cost[0, 0] == minutes
        assert can[0, 0] == (made < 2)


def test_a_repair_waits_only_for_what_was_done_and_is_not_proven():
    """b mends all that a does: after b, a is no use, and nothing waits; after a, b waits for it."""
    problem, at = pair()
    over = np.zeros((2, 2), dtype=bool)
    over[1, 0] = True
    problem = replace(problem, repairs=replace(problem.repairs, supersedes=over))
    _, after = repair(problem, at, np.array([1]))
    assert after.tried.all()
    assert not problem.repairs.waits(after).any()
    _, after = repair(problem, at, np.array([0]))
    assert problem.repairs.waits(after).tolist() == [[False, True]]
    assert not problem.repairs.waits(prove(problem, after)[2]).any()
    with pytest.raises(ValueError, match="not solved exactly"):
        optimum(problem, at)


def test_nothing_is_cleaned_after_its_replacement_nor_replaced_before_the_cleaning_is_proven(
    knowledge,
):
    coated = happened.Found(check="flame_rod_seen", outcome="coated")
    told = [
        happened.Opened(who="technician"),
        happened.SymptomReported(symptom="weak_flame_signal"),
        coated,
    ]

    def offered(*more):
        state = fold(knowledge, list(enumerate([*told, *more], 1)))
        now = thinking.situation(knowledge, state, thinking.think(knowledge, state))
        return {o.name for o in planner.rank(now).options if o.kind == "action"}

    def done(action):
        return happened.ActionDone(action=action, cause="flame_rod_coated")

    failed = happened.Proved(closing=FIVE_STARTS, words="the third died", failed=True)
    assert {"clean_flame_rod", "replace_flame_rod"} <= offered()
    assert "replace_flame_rod" not in offered(done("clean_flame_rod"))
    assert "replace_flame_rod" in offered(done("clean_flame_rod"), failed)
    assert "clean_flame_rod" not in offered(done("replace_flame_rod"), failed)
