"""What complaints, circumstances, findings, readings and repairs do to the belief, on paper."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine import explain
from engine.belief import network as networks
from engine.belief.network import COMPLAINT_LEAK, UNLISTED, UNLISTED_SHARE, UNLISTED_STRAYS
from engine.belief.posterior import Belief, Space
from tests.small_knowledge import BASE, knowledge_of

NOTHING_ELSE = 1 - UNLISTED_SHARE


def network(*symptoms, contexts=(), facts=(), found=(), known=None):
    return networks.build(known or knowledge_of(), symptoms, contexts, dict(facts), found)


# --- from complaint and circumstances to the prior ---------------------------------------------


def test_a_complaint_weighs_its_causes_by_how_common_they_are():
    net = network("no_heat")
    assert net.causes == ("worn", "loose", UNLISTED)
    expected = [NOTHING_ELSE * 6 / 8, NOTHING_ELSE * 2 / 8, UNLISTED_SHARE]
    assert net.chief[0] == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize(
    ("contexts", "worn", "loose"),
    [
        (["frost"], 18, 2),
        (["new"], 3, 6),
        (["frost", "new"], 9, 6),
        (["frost", "frost"], 18, 2),  # said twice is said once
    ],
)
def test_circumstances_multiply_the_odds(contexts, worn, loose):
    net = network("no_heat", contexts=contexts, found=[("look", "dirty"), ("listen", "hum")])
    share = NOTHING_ELSE / (worn + loose)
    assert net.chief[0] == pytest.approx([worn * share, loose * share, UNLISTED_SHARE], abs=1e-12)
    # Beside another cause: odds 1/9 of "worn", 1/4 of "loose", times the same factors.
    odds = np.array([worn / 6 / 9, loose / 2 / 4])
    assert net.standing[:2] == pytest.approx(odds / (1 + odds), abs=1e-12)


def test_a_cause_that_promotes_another_multiplies_its_odds():
    net = network("no_heat", found=[("listen", "hum")])
    # 0.2 is odds of 1/4; three times that is 3/4, which is 3/7.
    assert net.promoted == {(0, 1): pytest.approx(3 / 7, abs=1e-12)}


def test_companions_that_bear_on_nothing_found_are_not_counted():
    assert network("no_heat").standing.tolist() == [0, 0, 0]
    assert network("no_heat", found=[("look", "clean")]).standing.tolist() == [0, 0, 0]
    assert network("no_heat", found=[("look", "dirty")]).standing == pytest.approx([0.1, 0, 0])


def test_a_finding_brings_in_causes_that_the_complaint_does_not():
    net = network("no_heat", found=[("listen", "bang")])
    assert net.causes == ("worn", "loose", "cracked", UNLISTED)
    assert net.chief[0][2] == 0
    assert net.standing[2] == pytest.approx(0.1)


def test_facts_rule_causes_out_and_silence_does_not():
    assert "loose" not in network("no_heat", facts={"fuel": "propane"}).causes
    assert "loose" in network("no_heat", facts={"fuel": "natural_gas"}).causes
    assert "loose" in network("no_heat").causes


def test_a_further_complaint_is_as_likely_as_its_share_among_what_the_cause_brings():
    net = network("no_heat", "noise")
    # Of what "worn" brings, no_heat is 6 (mix) * 6 and noise 2 (mix) * 2: 36 to 4.
    assert net.complaint[0] == pytest.approx([1 - 0.9, 1 - 1, 1 - 0, 1 - UNLISTED_STRAYS])
    assert net.complaint[1] == pytest.approx([1 - 0.1, 1 - 0, 1 - 1, 1 - UNLISTED_STRAYS])
    assert net.share == pytest.approx([6 / 8, 2 / 8])


def test_two_complaints_on_paper():
    """Single causes only; a second complaint then comes from the cause itself or from nowhere."""
    belief = Space(network("no_heat", "noise"), largest=1).belief()

    def made(p):
        return 1 - (1 - COMPLAINT_LEAK) * (1 - p)

    alone = {"worn": 0.8 * 0.9, "loose": 0.9 * 0.9, "cracked": 0.9 * 0.8, UNLISTED: 0.9 * 0.8 * 0.9}
    alone["worn"] = (1 - 3 / 7) * 0.9  # "loose" is promoted beside it
    joint = {
        # no_heat brought (6/8), noise as well; noise brought (2/8), no_heat as well
        "worn": 6 / 8 * 0.72 * made(0.1) + 2 / 8 * 0.24 * made(0.9),
        "loose": 6 / 8 * 0.24 * made(0.0),
        "cracked": 2 / 8 * 0.72 * made(0.0),
        UNLISTED: 6 / 8 * 0.04 * made(UNLISTED_STRAYS) + 2 / 8 * 0.04 * made(UNLISTED_STRAYS),
    }
    joint = {name: p * alone[name] for name, p in joint.items()}
    assert belief.evidence == pytest.approx(sum(joint.values()), rel=1e-12)
    expected = [p / sum(joint.values()) for p in joint.values()]
    assert belief.marginals() == pytest.approx(expected, abs=1e-12)


def test_companions_left_out_change_the_others_not_at_all():
    """Listing "loose" as a companion too, where "quiet" speaks against it.

    Beside any other chief cause it adds the factor 1 - .2 (1 - .5) = .9, whatever else is there;
    as the chief cause itself it does not stand beside, so only its own odds move, by 1/.9.
    """
    causes = {n: cause.model_copy(update={"promotes": {}}) for n, cause in BASE["causes"].items()}
    known = knowledge_of(causes=causes)
    found = [("look", "dirty"), ("listen", "quiet")]
    marginals, both = {}, {}
    for name, bearing in {"lean": found, "full": [*found, ("listen", "hum")]}.items():
        belief = Space(network("no_heat", found=bearing, known=known), 3).belief()
        for check_id, outcome_id in found:
            place = list(known.checks[check_id].outcomes).index(outcome_id)
            belief = belief.observe(belief.space.table(check_id)[:, place])
        assert belief.space.network.causes == ("worn", "loose", UNLISTED)
        marginals[name] = belief.marginals()
        both[name] = belief.weights @ belief.space.members[:, :2].all(axis=1)
    worn, loose, unlisted = marginals["lean"]
    total = 0.9 * (1 - loose) + loose
    assert marginals["full"][2] == pytest.approx(0.9 * unlisted / total, abs=1e-12)
    expected = (0.9 * (worn - both["lean"]) + both["lean"]) / total
    assert marginals["full"][0] == pytest.approx(expected, abs=1e-12)


# --- repairs -----------------------------------------------------------------------------------


def two_causes(weights, complaints=1):
    """A belief over nothing, {a}, {b}, {u}, {a, b}, {a, u}, {b, u}: the last cause is unlisted.

    a brings the complaint three times as often as b, and both stand beside another as often, so
    where both are present a has brought it in three of four boilers. u never brings it.
    """
    net = networks.Network(
        causes=("a", "b", UNLISTED),
        chief=np.array([[0.75, 0.25, 0.0]] * complaints),
        share=np.full(complaints, 1 / complaints),
        standing=np.array([0.1, 0.1, 0.0]),
        promoted={},
        complaint=np.ones((complaints, 3)),
        background={},
        effects={},
        strays={},
    )
    return Belief(Space(net, 2), np.array(weights, dtype=float), 1.0)


def test_a_repair_takes_the_complaint_away_where_its_cause_has_brought_it():
    """Of the 0.1 where a stands beside b, 0.08 is mended, 0.06 of it for good."""
    belief = two_causes([0, 0.6, 0.3, 0, 0.1, 0, 0]).mend({"a": 0.8})
    assert belief.weights == pytest.approx([0.54, 0.12, 0.32, 0, 0.02, 0, 0], abs=1e-12)
    assert belief.sound() == pytest.approx(0.54)


def test_a_repair_of_two_causes_works_on_each_by_itself():
    belief = two_causes([0, 0, 0, 0, 1, 0, 0]).mend({"a": 0.8, "b": 0.5})
    # Gone: mended a where a has brought it (0.75 * 0.8), mended b where b has (0.25 * 0.5). Left:
    # neither mended (0.2 * 0.5), else what has brought it.
    gone, both = 0.75 * 0.8 + 0.25 * 0.5, 0.2 * 0.5
    a, b = 0.75 * 0.2 * 0.5, 0.25 * 0.8 * 0.5
    assert belief.weights == pytest.approx([gone, a, b, 0, both, 0, 0], abs=1e-12)


def test_what_is_not_in_the_network_is_not_mended():
    belief = two_causes([0, 0.6, 0.3, 0, 0.1, 0, 0])
    assert belief.mend({"elsewhere": 0.9}).weights == pytest.approx(belief.weights)


def test_of_several_complaints_all_causes_have_to_go():
    """Each complaint may have its own cause, so mending one of two leaves the other wrong."""
    belief = two_causes([0, 0.6, 0.3, 0, 0.1, 0, 0], complaints=2).mend({"a": 0.8})
    assert belief.weights == pytest.approx([0.48, 0.12, 0.38, 0, 0.02, 0, 0], abs=1e-12)
    assert belief.to_mend() == pytest.approx(belief.marginals())


WEIGHTS = st.lists(st.floats(0.001, 1), min_size=7, max_size=7).map(lambda w: np.array(w) / sum(w))
CHANCES = st.floats(0, 1)


@given(weights=WEIGHTS, a=CHANCES, b=CHANCES)
def test_repairs_keep_the_whole_and_come_in_any_order(weights, a, b):
    before = two_causes(weights)
    after = before.mend({"a": a})
    assert after.weights.sum() == pytest.approx(1.0)
    assert after.marginals()[0] == pytest.approx((1 - a) * before.marginals()[0])
    assert (after.marginals()[1:] <= before.marginals()[1:] + 1e-12).all()
    one_way = before.mend({"a": a}).mend({"b": b}).weights
    other_way = before.mend({"b": b}).mend({"a": a}).weights
    assert one_way == pytest.approx(other_way)
    assert one_way == pytest.approx(before.mend({"a": a, "b": b}).weights)


# --- surprises ---------------------------------------------------------------------------------


def test_findings_that_contradict_each_other_are_both_named():
    """P(f1 | f2) = (.5*.9*.01 + .5*.01*.9) / (.5*.01 + .5*.9) = .009 / .455."""
    likelihoods = {"f1": ("x", np.array([0.9, 0.01])), "f2": ("y", np.array([0.01, 0.9]))}
    named = explain.surprises(np.array([0.5, 0.5]), likelihoods)
    assert {s.check for s in named} == {"f1", "f2"}
    for surprise in named:
        assert surprise.probability == pytest.approx(0.009 / 0.455, rel=1e-9)
        assert surprise.against == tuple({"f1", "f2"} - {surprise.check})


def test_findings_that_agree_surprise_nobody():
    likelihoods = {"f1": ("x", np.array([0.9, 0.01])), "f2": ("y", np.array([0.8, 0.02]))}
    assert explain.surprises(np.array([0.5, 0.5]), likelihoods) == ()


def test_a_finding_rare_under_everything_disagrees_with_none():
    likelihoods = {"f1": ("x", np.array([0.01, 0.01])), "f2": ("y", np.array([0.8, 0.02]))}
    (surprise,) = explain.surprises(np.array([0.5, 0.5]), likelihoods)
    assert (surprise.check, surprise.against) == ("f1", ())
    assert surprise.probability == pytest.approx(0.01, rel=1e-9)
