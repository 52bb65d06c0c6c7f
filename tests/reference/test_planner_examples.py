"""The planner against worked examples of the literature, and against trying every order."""

from itertools import permutations

import numpy as np
import pytest

from engine.belief.sets import fault_sets
from engine.planner import rank
from engine.planner.repair import best_orders, cost_of_order, expected_cost_of_repair
from tests.published import Published, rows
from tests.situations import (
    NEVER,
    Toy,
    independent_faults,
    least_possible,
    one_fault,
    price_of_advice,
)

KADANE = (
    "rule of J. Kadane, H. Simon, Annals of Statistics 5 (1977) 237-255; figure computed by hand "
    "from the numbers shown: ECR = sum of c_i (1 - sum of earlier p_j)"
)
VOMLELOVA = (
    "rule of S. Srinivas, UAI 11 (1995), as stated by M. Vomlelova, Int. J. Intell. Syst. 18 "
    "(2003) 267-277, section 1.3; figure computed by hand"
)
HBR = (
    "rule of D. Heckerman, J. Breese, K. Rommelse, CACM 38(3) (1995) 49-57, equations 1 and 2; "
    "figure computed by hand"
)
LIN = "V. Lin, Int. J. Approx. Reasoning 55 (2014) 977-988, figure 2"
USED_CAR = "S. Russell, P. Norvig, Artificial Intelligence, exercise 'used car' (ch. 16, ex. 22)"
CLUSTERS = (
    "problem of H. Langseth, F. Jensen, SCAI (2001); numbers made up, optimum by trying all orders"
)


def arrays(weights, n):
    """A belief as the repair functions take it: one row, and the sets."""
    width = max(map(len, weights))
    sets = fault_sets(n, width)
    row = [weights.get(frozenset(int(i) for i in s if i < n), 0.0) for s in sets]
    return np.array([row]), sets


# --- one fault, orders (theory 1.2) ------------------------------------------------------------

P = np.array([0.10, 0.30, 0.20, 0.25, 0.15])
C = np.array([1.0, 6.0, 2.0, 10.0, 5.0])


@rows(
    Published({"order": "acbed", "why": "p/c"}, 11.5, 1e-6, KADANE),
    Published({"order": "bdcea", "why": "p alone"}, 15.25, 1e-6, KADANE),
    Published({"order": "acebd", "why": "c alone"}, 12.1, 1e-6, KADANE),
)
def test_price_of_an_order(row):
    belief, sets = arrays(one_fault(P), 5)
    order = np.array([["abcde".index(letter) for letter in row.given["order"]]])
    price = cost_of_order(belief, sets, order, C, np.ones(5), NEVER)
    assert price[0] == pytest.approx(row.expected, abs=row.within)


def test_the_planner_finds_the_order_by_p_over_c():
    belief, sets = arrays(one_fault(P), 5)
    order, _ = best_orders(belief, sets, C, np.ones(5))
    assert "".join("abcde"[i] for i in order[0]) == "acbed"
    assert expected_cost_of_repair(belief, sets, C, np.ones(5), NEVER)[0] == pytest.approx(11.5)
    toy = Toy(one_fault(P), tuple(C))
    best = rank(toy.situation(), toy.causes, foresight=False).best
    assert (best.kind, best.cause) == ("action", "c0")
    assert best.expected_minutes == pytest.approx(11.5, abs=1e-6)
    assert price_of_advice(toy) == pytest.approx(11.5, abs=1e-6)


def tried_in_order(weights, order, minutes, works, refer):
    """Expected minutes of trying some repairs in an order and referring the rest, set by set."""
    total = 0.0
    for s, weight in weights.items():
        going_on, faulty = 1.0, set(s)  # P(not mended so far); works of the members seen so far
        for i in order:
            total += weight * going_on * minutes[i]
            if i in faulty:
                faulty.discard(i)
                if not faulty:
                    going_on -= float(np.prod([works[j] for j in s]))
        total += weight * going_on * refer
    return total


def every_plan(n):
    """All orders of all selections of the repairs."""
    return [order for size in range(n + 1) for order in permutations(range(n), size)]


PLANS = {n: every_plan(n) for n in range(1, 6)}


@pytest.mark.parametrize("seed", range(150))
def test_one_fault_no_order_and_no_cut_is_cheaper(seed):
    """Imperfect repairs, a share that nobody can mend, and a referral worth taking now and then."""
    dice = np.random.default_rng(seed)
    n = int(dice.integers(2, 6))
    chances = dice.dirichlet(np.ones(n + 1))
    minutes = dice.uniform(1, 30, n)
    works = dice.uniform(0.3, 1, n)
    refer = dice.uniform(10, 150)
    weights = one_fault(chances)  # the last cause is the one that nobody mends
    best = min(tried_in_order(weights, order, minutes, [*works, 0.0], refer) for order in PLANS[n])
    belief, sets = arrays(weights, n + 1)
    found = expected_cost_of_repair(
        belief, sets, np.append(minutes, 1e9), np.append(works, 0.0), refer
    )
    assert found[0] == pytest.approx(best, rel=1e-9)


# --- several independent faults (theory 1.6) ---------------------------------------------------


@rows(
    Published({"order": (0, 1)}, 10.3273, 5e-5, VOMLELOVA),
    Published({"order": (1, 0)}, 10.8909, 5e-5, VOMLELOVA),
)
def test_price_of_an_order_for_independent_faults(row):
    belief, sets = arrays(independent_faults([0.5, 0.1]), 2)
    order, minutes = np.array([row.given["order"]]), np.array([10, 1.8])
    price = cost_of_order(belief, sets, order, minutes, np.ones(2), NEVER)
    assert price[0] == pytest.approx(row.expected, abs=row.within)


def test_the_planner_takes_the_better_order_of_independent_faults():
    toy = Toy(independent_faults([0.5, 0.1]), (10, 1.8))
    best = rank(toy.situation(), toy.causes, foresight=False).best
    assert best.cause == "c0"
    assert best.expected_minutes == pytest.approx(10.3273, abs=5e-5)


@pytest.mark.parametrize("referral", [False, True])
@pytest.mark.parametrize("seed", range(150))
def test_independent_faults_no_order_and_no_cut_is_cheaper(seed, referral):
    dice = np.random.default_rng(seed)
    n = int(dice.integers(2, 6))
    weights = independent_faults(dice.uniform(0.01, 0.6, n))
    minutes = dice.uniform(1, 30, n)
    refer = dice.uniform(10, 100) if referral else NEVER
    best = min(tried_in_order(weights, order, minutes, np.ones(n), refer) for order in PLANS[n])
    belief, sets = arrays(weights, n)
    found = expected_cost_of_repair(belief, sets, minutes, np.ones(n), refer)
    assert found[0] == pytest.approx(best, rel=1e-9)


# --- giving up (theory 1.7) --------------------------------------------------------------------

SERVICE_P, SERVICE_C, SERVICE = (0.30, 0.25, 0.05, 0.10), (10.0, 15.0, 20.0, 30.0), 60.0


@rows(
    Published({"tried": 0}, 60.0, 1e-9, HBR),
    Published({"tried": 1}, 52.0, 1e-9, HBR),
    Published({"tried": 2}, 47.5, 1e-9, HBR),
    Published({"tried": 3}, 55.0, 1e-9, HBR),
    Published({"tried": 4}, 59.0, 1e-9, HBR),
)
def test_price_of_giving_up_after_some_repairs(row):
    """The independent count meets the figures; it is what the planner is held against."""
    order = (0, 1, 3, 2)[: row.given["tried"]]  # by p/c
    weights = one_fault([*SERVICE_P, 0.30])
    price = tried_in_order(weights, order, SERVICE_C, [1, 1, 1, 1, 0], SERVICE)
    assert price == pytest.approx(row.expected, abs=row.within)


def test_the_planner_gives_up_where_it_is_cheapest():
    belief, sets = arrays(one_fault([*SERVICE_P, 0.30]), 5)
    minutes, works = np.array([*SERVICE_C, 1e9]), np.array([1, 1, 1, 1, 0.0])
    price = expected_cost_of_repair(belief, sets, minutes, works, SERVICE)
    assert price[0] == pytest.approx(47.5, abs=1e-6)
    toy = Toy(one_fault([*SERVICE_P, 0.30]), (*SERVICE_C, None), refer=SERVICE)
    steps = []
    while True:
        best = rank(toy.situation(), toy.causes, foresight=False).best
        steps.append(best.cause or best.kind)
        if best.kind == "refer":
            break
        _, _, toy = toy.tried(toy.causes.index(best.cause))
    assert steps == ["c0", "c1", "refer"]


# --- worthless questions (theory 1.4) ----------------------------------------------------------


def test_the_question_that_must_not_be_asked():
    """Asking after the first repair costs 2 in all (published); never asking costs 1.75."""
    question = {frozenset({0}): (0.5, 0.5), frozenset({1}): (1.0, 0.0), frozenset({2}): (0.0, 1.0)}
    toy = Toy(one_fault([0.5, 0.25, 0.25]), (1, 1, 1), checks={"question": (1, question)})
    ranking = rank(toy.situation(), toy.causes, foresight=False)
    assert (ranking.best.kind, ranking.best.cause) == ("action", "c0")
    assert ranking.best.expected_minutes == pytest.approx(1.75, abs=1e-6)
    _, left, after = toy.tried(0)
    then = {o.name: o for o in rank(after.situation(), after.causes, foresight=False).options}
    assert 1 + left * then["question"].expected_minutes == pytest.approx(2.0, abs=1e-6), LIN
    assert min(then.values(), key=lambda o: o.expected_minutes).kind == "action"
    assert price_of_advice(toy) == pytest.approx(1.75, abs=1e-6)


def test_a_test_whose_result_changes_no_decision_is_worth_nothing():
    """Used car: worth 2000, costs 1500, repair 700, good with .7; test 50, P(pass) .8 and .35.

    Buying is the planner's first repair (it costs nothing beyond the price and shows whether the
    car is good), the repair its second; the gain is 500 less what they cost. Not buying would be a
    referral at 500; it is right after neither result, which is checked first, so it is left out.
    """
    good = 0.7
    passes = good * 0.8 + (1 - good) * 0.35
    for p in (good * 0.8 / passes, good * 0.2 / (1 - passes)):
        assert (1 - p) * 700 < 500
    table = {frozenset({0}): (0.8, 0.2), frozenset({1}): (0.35, 0.65)}
    toy = Toy(one_fault([good, 1 - good]), (1e-9, 700), checks={"test": (50, table)})
    options = rank(toy.situation(), toy.causes, foresight=False).options
    gain = {o.cause or o.name: 500 - o.expected_minutes for o in options}
    assert gain["c0"] == pytest.approx(290, abs=1e-6), USED_CAR
    assert gain["test"] == pytest.approx(240, abs=1e-6), USED_CAR
    assert options[0].cause == "c0"


# --- behind a panel (theory 1.8) ---------------------------------------------------------------

PANEL = Toy(
    one_fault([0.3, 0.1, 0.2, 0.2, 0.2]),
    (10, 5, 2, 2, 2),
    layers=(("panel", 10, False),),
    behind=((), (), *[("panel",)] * 3),
)
NESTED = Toy(
    one_fault([0.20, 0.25, 0.10, 0.35, 0.10]),
    (5, 3, 4, 5, 6),
    layers=(("panel", 4, False), ("door", 10, False)),
    behind=((), ("panel",), ("panel",), ("panel", "door"), ("panel", "door")),
)
SHUT = Toy(PANEL.weights, PANEL.minutes, layers=(("panel", 10, True),), behind=PANEL.behind)


@rows(
    Published({"toy": PANEL}, 19.3, 1e-6, f"one panel; {CLUSTERS}"),
    Published({"toy": NESTED}, 20.15, 1e-6, f"a door behind a panel; {CLUSTERS}"),
    Published({"toy": SHUT}, 27.9, 1e-6, f"shut for each test, one test a repair; {CLUSTERS}"),
)
def test_the_best_plan_behind_layers_is_that_of_every_plan(row):
    assert least_possible(row.given["toy"]) == pytest.approx(row.expected, abs=row.within)


@rows(
    Published({"toy": PANEL}, 19.3, 1e-6, f"one panel, the optimum; {CLUSTERS}"),
    Published({"toy": SHUT}, 27.9, 1e-6, f"shut for each test, one test a repair; {CLUSTERS}"),
)
def test_what_the_advice_reaches_behind_layers(row):
    """The next repair is priced with the panel open afterwards, so the panel pays for itself.

    Shut for every function test, 20.5 is possible by mending three causes and testing once. Steps
    that are tried together are not this planner's: it proves after every repair, and is then as
    good as can be. Batches belong to a later planner.
    """
    assert price_of_advice(row.given["toy"]) == pytest.approx(row.expected, abs=row.within)


def test_what_the_advice_reaches_behind_a_door_behind_a_panel():
    """At the leaves each repair is priced with its opening, as if it were the only one there.

    The optimum is 20.15; ignoring the openings altogether gives 21.65. The advice is held to 2 %
    above the optimum; a planner that knows clusters would meet it.
    """
    price = price_of_advice(NESTED)
    assert 20.15 - 1e-9 <= price <= 1.02 * 20.15
