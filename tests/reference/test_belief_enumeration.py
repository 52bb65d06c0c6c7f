"""The belief against counting every one of the 2^n sets, by code that shares nothing with it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.belief import evidence
from engine.belief.evidence import left_out, total_evidence
from engine.belief.posterior import Space
from tests.reference.small_networks import (
    as_network,
    chiefs_of,
    drawn,
    every_set,
    joint_of,
    marginals_of,
    outcomes_of,
    prior_of,
)

CASES = [  # (seed, causes, checks, complaints)
    *((seed, 5, 4, 1) for seed in range(20)),
    *((seed, 7, 5, 2) for seed in range(20, 40)),
    *((seed, 8, 4, 3) for seed in range(40, 50)),
    *((seed, 10, 6, 2) for seed in range(50, 55)),
    (55, 12, 6, 1),
    (56, 12, 5, 2),
]


def believed(plain, largest):
    """The engine's belief after all findings of a plain network."""
    space = Space(as_network(plain), largest)
    belief = space.belief()
    for check, weights in plain.findings.items():
        belief = belief.observe(space.table(check) @ np.array(weights))
    return belief


def left_out_of(plain, belief):
    findings = {check: np.array(weights) for check, weights in plain.findings.items()}
    return left_out(belief.space.network, findings, belief.evidence)


@pytest.mark.parametrize("largest", [1, 2, 3])
@pytest.mark.parametrize("case", CASES, ids=str)
def test_cut_off_at_the_same_size_the_belief_is_the_count(case, largest):
    plain = drawn(*case)
    belief = believed(plain, largest)
    counted = {chosen: joint_of(plain, chosen) for chosen in every_set(plain.count, largest)}
    total = sum(counted.values())
    assert belief.evidence == pytest.approx(total, rel=1e-9)
    assert belief.marginals() == pytest.approx(marginals_of(counted, plain.count), abs=1e-9)
    for weight, row in zip(belief.weights, belief.space.sets, strict=True):
        chosen = tuple(int(i) for i in row if i < plain.count)
        assert weight == pytest.approx(counted[tuple(sorted(chosen))] / total, abs=1e-9)


@pytest.mark.parametrize("case", CASES, ids=str)
def test_what_is_left_out_is_exactly_the_mass_of_the_larger_sets(case):
    plain = drawn(*case)
    counted = {chosen: joint_of(plain, chosen) for chosen in every_set(plain.count, plain.count)}
    total = sum(counted.values())
    for largest in (1, 2, 3):
        belief = believed(plain, largest)
        larger = sum(w for chosen, w in counted.items() if len(chosen) > largest)
        assert left_out_of(plain, belief) == pytest.approx(larger / total, abs=1e-9)


@pytest.mark.parametrize("case", CASES, ids=str)
def test_no_probability_is_off_by_more_than_what_is_left_out(case):
    plain = drawn(*case)
    counted = {chosen: joint_of(plain, chosen) for chosen in every_set(plain.count, plain.count)}
    total = sum(counted.values())
    belief = believed(plain, 2)
    remainder = left_out_of(plain, belief)
    off = np.abs(belief.marginals() - np.array(marginals_of(counted, plain.count)))
    assert off.max() <= remainder + 1e-9
    # The distance between the cut-off and the whole posterior is that mass, not merely below it.
    listed = {tuple(int(i) for i in row if i < plain.count): w
              for row, w in zip(belief.space.sets, belief.weights, strict=True)}  # fmt: skip
    distance = sum(abs(w / total - listed.get(chosen, 0.0)) for chosen, w in counted.items()) / 2
    assert distance == pytest.approx(remainder, abs=1e-9)


@pytest.mark.parametrize("seed", range(10))
def test_nothing_is_left_out_when_every_set_is_listed(seed):
    plain = drawn(seed, 6, 4, 2)
    belief = believed(plain, 6)
    assert left_out_of(plain, belief) == pytest.approx(0.0, abs=1e-9)
    prior = sum(prior_of(plain, chosen) for chosen in every_set(6, 6))
    assert belief.space.prior().sum() == pytest.approx(prior, rel=1e-9)


@pytest.mark.parametrize("case", CASES, ids=str)
def test_a_repair_ends_the_complaint_as_often_as_it_mends_the_chief_cause(case):
    plain = drawn(*case[:3], 1)
    belief = believed(plain, 2)
    counted = {chosen: joint_of(plain, chosen) for chosen in every_set(plain.count, 2)}
    total = sum(counted.values())
    for cause, name in enumerate(belief.space.network.causes):
        ended = 0.0
        for chosen, weight in counted.items():
            if cause in chosen and weight:
                chiefs = chiefs_of(plain, chosen)
                ended += 0.7 * weight * chiefs[cause] / sum(chiefs.values())
        assert belief.mend({name: 0.7}).sound() == pytest.approx(ended / total, abs=1e-9)


@pytest.mark.parametrize("case", CASES, ids=str)
def test_the_prediction_of_a_check_is_the_count(case):
    plain = drawn(*case)
    belief = believed(plain, 2)
    counted = {chosen: joint_of(plain, chosen) for chosen in every_set(plain.count, 2)}
    total = sum(counted.values())
    expected = np.zeros(len(plain.sound["check0"]))
    for chosen, weight in counted.items():
        expected += weight / total * np.array(outcomes_of(plain, "check0", chosen))
    assert belief.predict("check0") == pytest.approx(expected, abs=1e-9)


def _doubted_healthy(plain):
    """Every finding healthy, and doubted as a technician's look is."""
    for check, weights in plain.findings.items():
        size = len(weights)
        plain.findings[check] = [0.98 * (k == 0) + 0.02 / size for k in range(size)]


@pytest.mark.parametrize("seed", range(100, 120))
def test_shortened_findings_keep_what_is_left_out_to_a_percent(seed, monkeypatch):
    """Past `MAX_TERMS` healthy findings are shortened; one in a hundred is what that may cost.

    The bound is ours: here every finding is shortened, in the field only the surplus ones are.
    """
    plain = drawn(seed, 8, 7, 1, soft=False)
    _doubted_healthy(plain)
    belief = believed(plain, 2)
    exact = left_out_of(plain, belief)
    monkeypatch.setattr(evidence, "MAX_TERMS", 1)
    assert left_out_of(plain, belief) == pytest.approx(exact, abs=0.01)


@pytest.mark.parametrize("seed", range(100, 110))
def test_shortening_costs_nothing_where_one_cause_bears_on_each_check(seed, monkeypatch):
    plain = drawn(seed, 6, 7, 1, soft=False)
    _doubted_healthy(plain)
    for place, rows in enumerate(plain.shown.values()):
        for cause, row in enumerate(rows):
            if cause != place % 6:
                row[:] = [1.0, *[0.0] * (len(row) - 1)]
    network = as_network(plain)
    findings = {check: np.array(weights) for check, weights in plain.findings.items()}
    exact = total_evidence(network, findings)
    monkeypatch.setattr(evidence, "MAX_TERMS", 1)
    assert total_evidence(network, findings) == pytest.approx(exact, rel=1e-12)


def test_too_many_terms_to_count_are_owned_up_to(monkeypatch):
    plain = drawn(7, 6, 5, 2)
    belief = believed(plain, 2)
    monkeypatch.setattr(evidence, "MAX_TERMS", 1)
    findings = {check: np.array(weights) for check, weights in plain.findings.items()}
    assert total_evidence(belief.space.network, findings) is None
    assert left_out_of(plain, belief) == 1.0


@given(seed=st.integers(0, 10_000), order=st.randoms(use_true_random=False))
def test_the_order_of_findings_does_not_matter(seed, order):
    plain = drawn(seed, 6, 5, 1)
    first = believed(plain, 2)
    names = list(plain.findings)
    order.shuffle(names)
    plain.findings = {name: plain.findings[name] for name in names}
    second = believed(plain, 2)
    assert second.weights == pytest.approx(first.weights, abs=1e-12)
    assert second.evidence == pytest.approx(first.evidence, rel=1e-9)


@given(seed=st.integers(0, 10_000), level=st.floats(0.01, 1))
def test_a_finding_that_says_nothing_changes_nothing(seed, level):
    plain = drawn(seed, 6, 4, 1)
    before = believed(plain, 2)
    size = len(plain.sound["check0"])
    after = before.observe(before.space.table("check0") @ np.full(size, level))
    assert after.weights == pytest.approx(before.weights, abs=1e-12)
