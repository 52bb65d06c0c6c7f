"""What complaints, circumstances, findings, readings and repairs do to the belief, on paper."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine import explain
from engine.belief import network as networks
from engine.belief import readings
from engine.belief.network import COMPLAINT_LEAK, UNLISTED, UNLISTED_SHARE, UNLISTED_STRAYS
from engine.belief.posterior import Belief, Space
from engine.belief.readings import deviation
from engine.errors import OutOfRange
from engine.knowledge import schema
from engine.physics import CALCULATIONS, Calculation
from engine.visit.state import Finding
from engine.visit.thinking import RELIABILITY, outcome_weights
from tests.published import Published, rows
from tests.small_knowledge import BASE, check, knowledge_of, outcome

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


def two_causes(weights):
    """A belief over nothing, {a}, {b}, {u}, {a, b}, ...: three causes, the last unlisted."""
    net = networks.Network(
        causes=("a", "b", UNLISTED),
        chief=np.array([[0.5, 0.5, 0.0]]),
        share=np.ones(1),
        standing=np.array([0.1, 0.1, 0.0]),
        promoted={},
        complaint=np.ones((1, 3)),
        background={},
        effects={},
    )
    return Belief(Space(net, 2), np.array(weights, dtype=float), 1.0)


def test_a_repair_moves_weight_to_the_sets_without_the_cause():
    belief = two_causes([0, 0.6, 0.3, 0, 0.1, 0, 0]).mend({"a": 0.8})
    assert belief.weights == pytest.approx([0.48, 0.12, 0.38, 0, 0.02, 0, 0], abs=1e-12)
    assert belief.sound() == pytest.approx(0.48)


def test_a_repair_of_two_causes_works_on_each_by_itself():
    belief = two_causes([0, 0, 0, 0, 1, 0, 0]).mend({"a": 0.8, "b": 0.5})
    assert belief.weights == pytest.approx([0.4, 0.1, 0.4, 0, 0.1, 0, 0], abs=1e-12)


def test_what_is_not_in_the_network_is_not_mended():
    belief = two_causes([0, 0.6, 0.3, 0, 0.1, 0, 0])
    assert belief.mend({"elsewhere": 0.9}).weights == pytest.approx(belief.weights)


WEIGHTS = st.lists(st.floats(0.001, 1), min_size=7, max_size=7).map(lambda w: np.array(w) / sum(w))
CHANCES = st.floats(0, 1)


@given(weights=WEIGHTS, a=CHANCES, b=CHANCES)
def test_repairs_keep_the_whole_and_touch_only_their_cause(weights, a, b):
    before = two_causes(weights)
    after = before.mend({"a": a})
    assert after.weights.sum() == pytest.approx(1.0)
    assert after.marginals()[0] == pytest.approx((1 - a) * before.marginals()[0])
    assert after.marginals()[1:] == pytest.approx(before.marginals()[1:])
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


# --- readings ----------------------------------------------------------------------------------

NORMAL = "M. Abramowitz, I. Stegun, Handbook of Mathematical Functions (1964), table 26.1, P(x)"


def gauge(limits=("2 uA", "5 uA"), at_least="0.2 uA", of_reading=None):
    """A knowledge with one check, read in microampere: low, middle, high."""
    first, second = limits
    return knowledge_of(
        checks={
            "gauge": check(
                {"high": outcome(), "middle": outcome("hardly"), "low": outcome("hardly")},
                reading=schema.Reading(
                    fields={"current": _field("current", "uA", at_least, of_reading)},
                    figure=[schema.Figure(field="current")],
                    bands=[
                        {"outcome": "low", "below": first},
                        {"outcome": "middle", "from": first, "below": second},
                        {"outcome": "high", "from": second},
                    ],
                    band_source=["paper"],
                ),
            )
        }
    )


def _field(quantity, unit, at_least=None, of_reading=None):
    return schema.ReadingField(
        name="a value", quantity=quantity, unit=unit,
        accuracy={"at_least": at_least, "of_reading": of_reading},
        plausible=(f"0 {unit}", f"1000 {unit}"), source=["paper"],
    )  # fmt: skip


@rows(
    Published({"sigmas": 0.0}, 0.5, 1e-12, NORMAL),
    Published({"sigmas": 0.5}, 0.6914624613, 1e-9, NORMAL),
    Published({"sigmas": 1.0}, 0.8413447461, 1e-9, NORMAL),
    Published({"sigmas": 1.5}, 0.9331927987, 1e-9, NORMAL),
    Published({"sigmas": 2.0}, 0.9772498681, 1e-9, NORMAL),
    Published({"sigmas": 3.0}, 0.9986501020, 1e-9, NORMAL),
)
def test_a_reading_near_a_band_edge_says_both(row):
    """The instrument's 0.2 uA are two deviations, so one is 0.1 uA; 5 uA are 30 away."""
    value = 2e-6 + row.given["sigmas"] * 0.1e-6
    said = readings.band(gauge(), {}, "gauge", {"gauge": {"current": value}})
    assert said.weights[:2] == pytest.approx([0, row.expected], abs=row.within)
    assert said.weights[2] == pytest.approx(1 - row.expected, abs=row.within)


@given(value=st.floats(0, 10e-6), of_reading=st.floats(0.1, 20))
def test_the_bands_share_the_whole_normal_curve(value, of_reading):
    known = gauge(of_reading=f"{of_reading!r} %")
    said = readings.band(known, {}, "gauge", {"gauge": {"current": value}})
    sigma = max(value * of_reading / 100, 0.2e-6) / 2
    below = [0.5 * (1 + math.erf((edge - value) / sigma / math.sqrt(2))) for edge in (2e-6, 5e-6)]
    expected = [1 - below[1], below[1] - below[0], below[0]]
    assert said.weights == pytest.approx(expected, abs=1e-9)
    assert sum(said.weights) == pytest.approx(1.0)
    assert said.outcome == ("high", "middle", "low")[int(np.argmax(said.weights))]


def test_an_exact_reading_is_in_one_band_and_the_edge_belongs_to_the_upper():
    known = gauge(at_least=None)
    for value, expected in [(1.99e-6, "low"), (2e-6, "middle"), (5e-6, "high")]:
        said = readings.band(known, {}, "gauge", {"gauge": {"current": value}})
        assert (said.outcome, max(said.weights)) == (expected, 1.0)


def test_the_larger_of_the_two_accuracies_counts():
    field = _field("current", "uA", "0.2 uA", "2 %")
    assert deviation(field, 5e-6) == pytest.approx(0.1e-6)  # 2 % is 0.1 uA, below 0.2 uA
    assert deviation(field, 40e-6) == pytest.approx(0.4e-6)  # 2 % is 0.8 uA


MEASURED = [  # calculation, readings, deviation of each (an ordinary analyser), other arguments
    ("co_air_free", {"co": 80e-6, "o2": 0.045}, {"co": 2e-6, "o2": 0.001}, {}),
    ("co_to_co2_ratio", {"co": 80e-6, "co2": 0.09}, {"co": 2e-6, "co2": 0.0015}, {}),
    ("co2_from_o2", {"o2": 0.05}, {"o2": 0.001}, {"fuel": "natural_gas"}),
    ("o2_from_co2", {"co2": 0.09}, {"co2": 0.0015}, {"fuel": "propane"}),
    ("excess_air_ratio", {"o2": 0.05}, {"o2": 0.001}, {"fuel": "natural_gas"}),
    ("fuel_line_gap", {"o2": 0.05, "co2": 0.088}, {"o2": 0.001, "co2": 0.0015},
     {"fuel": "natural_gas"}),
    ("recirculated_share_from_o2", {"intake_o2": 0.2, "flue_o2": 0.05},
     {"intake_o2": 0.001, "flue_o2": 0.001}, {"fuel": "natural_gas"}),
    ("recirculated_share_from_co2", {"intake_co2": 0.006, "flue_co2": 0.09},
     {"intake_co2": 0.0005, "flue_co2": 0.0015}, {"fuel": "natural_gas"}),
]  # fmt: skip


@pytest.mark.parametrize("case", MEASURED, ids=lambda case: case[0])
def test_uncertainty_through_a_calculation_is_that_of_200_000_draws(case):
    """First order against a Monte Carlo run; 2 % is left for the curvature and for the draws."""
    name, values, spreads, rest = case
    figure = _worked_out(name, values, spreads, rest)
    dice = np.random.default_rng(20_240)
    drawn = {field: dice.normal(value, spreads[field], 200_000) for field, value in values.items()}
    results = CALCULATIONS[name].function(**drawn, **rest)
    assert figure.deviation == pytest.approx(np.std(results), rel=0.02)
    assert figure.value == pytest.approx(np.mean(results), abs=0.05 * np.std(results))


def _worked_out(name, values, spreads, rest, calculations=CALCULATIONS):
    calculation = calculations[name]
    zero = "0 ppm" if calculation.quantity == "dry_fraction" else "0"
    fields = {
        field: _field(calculation.inputs[field], "ppm", f"{2e6 * spreads[field]!r} ppm")
        for field in values
    }
    known = knowledge_of(
        calculations,
        checks={
            "analyser": check(
                {"well": outcome(), "ill": outcome("hardly")},
                reading=schema.Reading(
                    fields=fields,
                    figure=[
                        schema.Figure(
                            calculation=name,
                            inputs={**{f: f"this.{f}" for f in fields},
                                    **{argument: f"fact.{argument}" for argument in rest}},
                        )
                    ],
                    bands=[{"outcome": "ill", "below": zero}, {"outcome": "well", "from": zero}],
                    band_source=["paper"],
                ),
            )
        },
    )  # fmt: skip
    return readings.band(known, rest, "analyser", {"analyser": values}).figure


def test_at_a_reading_of_nothing_the_slope_is_still_found():
    """No oxygen left: CO2 falls by CO2max / 20.9 % for each share of O2, on a straight line."""
    figure = _worked_out("co2_from_o2", {"o2": 0.0}, {"o2": 0.001}, {"fuel": "natural_gas"})
    function = CALCULATIONS["co2_from_o2"].function
    step = function(o2=0.0, fuel="natural_gas") - function(o2=0.001, fuel="natural_gas")
    assert figure.deviation == pytest.approx(step, rel=1e-5)


def _refusing(low, high, below):
    """A calculation refused between `low` and `high`, with slope `below` under it and 1 above."""

    def crooked(x):
        if low < x < high:
            raise OutOfRange("refused here")
        return x if x >= high else below * x

    made = Calculation("crooked", crooked, {"x": "dry_fraction"}, "dry_fraction")
    return {"crooked": made}


@pytest.mark.parametrize(("below", "expected"), [(2.0, 2e-3), (0.5, 1e-3)])
def test_where_the_slope_is_refused_the_wider_side_counts(below, expected):
    """At 0 the small step down is refused; a whole deviation down is 2 or 0.5 times that up."""
    calculations = _refusing(-5e-4, 0.0, below)
    figure = _worked_out("crooked", {"x": 0.0}, {"x": 1e-3}, {}, calculations)
    assert figure.deviation == pytest.approx(expected, rel=1e-9)


def test_where_only_one_side_can_be_told_it_counts():
    figure = _worked_out("crooked", {"x": 0.0}, {"x": 1e-3}, {}, _refusing(-1.0, 0.0, 2.0))
    assert figure.deviation == pytest.approx(1e-3, rel=1e-9)


def test_a_value_whose_accuracy_leaves_the_calculation_is_refused():
    def point(x):
        if x != 0:
            raise OutOfRange("only nothing can be told")
        return 0.0

    calculations = {"point": Calculation("point", point, {"x": "dry_fraction"}, "dry_fraction")}
    with pytest.raises(OutOfRange, match="measure again"):
        _worked_out("point", {"x": 0.0}, {"x": 1e-3}, {}, calculations)


# --- observers ---------------------------------------------------------------------------------


def seen(observer, known=None, **finding):
    known = known or knowledge_of()
    return outcome_weights(
        known, Finding(check="listen", outcome="hum", epoch=0, observer=observer, **finding)
    )


def test_an_observer_who_errs_reports_any_outcome():
    expected = {who: (1 - sure) / 3 for who, sure in RELIABILITY.items()}
    for who, flat in expected.items():
        assert seen(who) == pytest.approx([flat, RELIABILITY[who] + flat, flat], abs=1e-12)


def test_a_check_may_say_how_reliable_its_observer_is():
    listen = BASE["checks"]["listen"].model_copy(update={"reliability": {"caller": "half"}})
    known = knowledge_of(checks={**BASE["checks"], "listen": listen})
    assert seen("caller", known) == pytest.approx([0.5 / 3, 0.5 + 0.5 / 3, 0.5 / 3])
    assert seen("technician", known) == pytest.approx(seen("technician"))


def test_a_reading_is_doubted_like_any_other_report():
    banded = readings.Banded("hum", (0.0, 0.75, 0.25), figure=None, reports=())
    flat = (1 - RELIABILITY["technician"]) / 3
    expected = [RELIABILITY["technician"] * w + flat for w in (0.0, 0.75, 0.25)]
    assert seen("technician", banded=banded) == pytest.approx(expected, abs=1e-12)


def test_a_caller_moves_the_belief_less_than_a_technician():
    space = Space(network("no_heat", found=[("listen", "hum")]))
    before = space.belief().marginals()[1]
    after = {
        who: space.belief().observe(space.table("listen") @ seen(who)).marginals()[1]
        for who in ("caller", "technician")
    }
    assert before < after["caller"] < after["technician"]
