"""Readings and reports: what an instrument's accuracy and an observer's slips do to a finding."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.belief import network as networks
from engine.belief import readings
from engine.belief.observers import RELIABILITY
from engine.belief.posterior import Space
from engine.errors import OutOfRange
from engine.knowledge import schema
from engine.knowledge.facts import band_edges
from engine.knowledge.instruments import Stated, deviation
from engine.knowledge.reading import Figure, Reading, ReadingField
from engine.physics import CALCULATIONS, Calculation
from engine.visit.findings import Finding
from engine.visit.thinking import outcome_weights
from tests.published import Published, rows
from tests.small_knowledge import BASE, check, instrument, knowledge_of, outcome

NORMAL = "M. Abramowitz, I. Stegun, Handbook of Mathematical Functions (1964), table 26.1, P(x)"


def gauge(limits=("2 uA", "5 uA"), at_least="0.2 uA", of_reading=None):
    """A knowledge with one check, read in microampere: low, middle, high."""
    first, second = limits
    return knowledge_of(
        instruments={"ammeter": instrument("current", at_least, of_reading)},
        checks={
            "gauge": check(
                {"high": outcome(), "middle": outcome("hardly"), "low": outcome("hardly")},
                reading=Reading(
                    fields={"current": _field("current", "uA", "ammeter")},
                    figure=[Figure(field="current")],
                    bands=[
                        {"outcome": "low", "below": first},
                        {"outcome": "middle", "from": first, "below": second},
                        {"outcome": "high", "from": second},
                    ],
                    band_source=["paper"],
                ),
            )
        },
    )


def _field(quantity, unit, instrument):
    return ReadingField(
        name="a value", quantity=quantity, unit=unit, instrument=instrument,
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
    assert said.weights[("high", "middle", "low").index(said.outcome)] == max(said.weights)


def test_an_all_but_exact_reading_is_in_one_band():
    known = gauge(at_least="0.0001 uA")
    for value, expected in [(1.999e-6, "low"), (2.001e-6, "middle"), (5.001e-6, "high")]:
        said = readings.band(known, {}, "gauge", {"gauge": {"current": value}})
        assert (said.outcome, max(said.weights)) == (expected, pytest.approx(1.0))


@pytest.mark.parametrize(("value", "expected"), [(2e-6, "middle"), (5e-6, "high")])
def test_the_limit_itself_belongs_to_the_upper_band(value, expected):
    """Half of the curve lies on either side; a band is from its limit (included) up."""
    said = readings.band(gauge(), {}, "gauge", {"gauge": {"current": value}})
    assert max(said.weights) == pytest.approx(0.5)
    assert said.outcome == expected


def test_a_reading_of_nothing_with_a_share_alone_is_exact_and_the_edge_belongs_to_the_upper():
    known = gauge(limits=("0 uA", "5 uA"), at_least=None, of_reading="1 %")
    said = readings.band(known, {}, "gauge", {"gauge": {"current": 0.0}})
    assert said.weights == (0.0, 1.0, 0.0)


# --- instruments -------------------------------------------------------------------------------


def test_the_larger_of_the_two_accuracies_counts():
    known = gauge(at_least="0.2 uA", of_reading="2 %")
    assert deviation(known, {}, "ammeter", 5e-6) == pytest.approx(0.1e-6)  # 2 % are 0.1 uA
    assert deviation(known, {}, "ammeter", 40e-6) == pytest.approx(0.4e-6)  # 2 % are 0.8 uA
    assert deviation(known, {}, "ammeter", -40e-6) == pytest.approx(0.4e-6)


def test_a_share_of_a_temperature_is_a_share_of_its_degrees():
    """IEC 60584-1, class 1: 1.5 K or 0.4 % of the degrees Celsius; 0.4 % of 1000 °C are 4 K."""
    known = knowledge_of(instruments={"probe": instrument("temperature", "1.5 K", "0.4 %")})
    assert deviation(known, {}, "probe", 273.15 + 60) == pytest.approx(0.75)
    assert deviation(known, {}, "probe", 273.15 + 1000) == pytest.approx(2.0)


def test_a_stated_accuracy_takes_the_place_of_the_typical_one_whole():
    known = gauge(at_least="0.2 uA", of_reading="2 %")
    for own, expected in (
        (Stated(of_reading="10 %"), 2e-6),
        (Stated(at_least="0.4 uA"), 0.2e-6),
        (Stated(at_least="0.01 uA"), 0.005e-6),  # better than its class
    ):
        assert deviation(known, {"ammeter": own}, "ammeter", 40e-6) == pytest.approx(expected)
    assert deviation(known, {"another": own}, "ammeter", 40e-6) == pytest.approx(0.4e-6)


def test_a_coarser_instrument_widens_the_verdict_step_by_step():
    """5.1 uA against a limit of 5 uA: from sure to half and half, by the normal integral."""
    highs = []
    for accuracy in (0.02, 0.2, 2.0, 20.0):
        stated = {"ammeter": Stated(at_least=f"{accuracy} uA")}
        said = readings.band(gauge(), {}, "gauge", {"gauge": {"current": 5.1e-6}}, stated)
        expected = 0.5 * (1 + math.erf(0.1 / (accuracy / 2) / math.sqrt(2)))
        assert said.weights[0] == pytest.approx(expected, abs=1e-9)
        highs.append(said.weights[0])
    assert highs == sorted(highs, reverse=True)
    assert highs[-1] == pytest.approx(0.5, abs=0.01)


@given(value=st.floats(3e-6, 7e-6), fine=st.floats(0.01, 1), times=st.floats(1.01, 50))
def test_no_coarser_instrument_makes_a_likely_band_likelier(value, fine, times):
    """Between two far limits: the band that holds the reading loses, whatever the reading."""

    def sure(accuracy):
        stated = {"ammeter": Stated(at_least=f"{accuracy!r} uA")}
        known = gauge(limits=("1 uA", "5 uA"))
        return max(readings.band(known, {}, "gauge", {"gauge": {"current": value}}, stated).weights)

    assert sure(fine * times) <= sure(fine) + 1e-9


def test_a_figure_names_the_instruments_behind_it(knowledge):
    given_values = {"co_high_fire": {"co": 100e-6, "o2": 0.05}}
    figure = readings.band(knowledge, {}, "co_high_fire", given_values).figure
    assert figure.instruments == ("co_cell", "o2_cell")
    alone = readings.band(knowledge, {}, "room_co", {"room_co": {"co": 4e-6}}).figure
    assert alone.instruments == ("co_meter_room",)


def test_a_stated_accuracy_is_carried_through_a_calculation(knowledge):
    """Air-free CO is CO times a factor: 40 % of the reading are 20 % for one deviation."""
    given_values = {"co_high_fire": {"co": 100e-6, "o2": 0.05}}
    stated = {"co_cell": Stated(of_reading="40 %"), "o2_cell": Stated(at_least="0.0001 %")}
    figure = readings.band(knowledge, {}, "co_high_fire", given_values, stated).figure
    assert figure.deviation == pytest.approx(0.2 * figure.value, rel=1e-3)


def test_one_reading_given_twice_is_one_error():
    """The same value on both sides of a difference leaves no doubt."""

    def apart(one, other):
        return one - other

    inputs = {"one": "dry_fraction", "other": "dry_fraction"}
    calculations = {"apart": Calculation("apart", apart, inputs, "dry_fraction")}
    figure = _worked_out(
        "apart", {"one": 0.1}, {"one": 0.01}, {}, calculations,
        inputs={"one": "this.one", "other": "this.one"},
    )  # fmt: skip
    assert (figure.value, figure.deviation) == (0.0, pytest.approx(0.0, abs=1e-9))


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


# What a figure is off by with the best instruments: CO2max of natural gases is 11.8 % ± 0.3 points
# (two deviations, the rule of SUPPLY_SPREAD), less as CO2 is thinned and O2 comes near that of air.
OF_ITSELF = {
    "co2_from_o2": lambda co2: 0.0015 / 0.118 * co2,
    "o2_from_co2": lambda o2: 0.0015 / 0.118 * (0.209 - o2),
}


def test_only_what_the_supply_or_the_weather_moves_is_off_by_itself():
    """The barometer moves 3 % to either side: the same share of a gas volume, as two deviations."""
    by_weather = dict.fromkeys(
        ("clocked_input_on_site", "input_share_on_site"), lambda x: 0.015 * x
    )
    for name, calculation in CALCULATIONS.items():
        expected = {**OF_ITSELF, **by_weather}.get(name, lambda value: 0.0)
        assert calculation.own_deviation(0.08) == pytest.approx(expected(0.08)), name


@pytest.mark.parametrize("case", MEASURED, ids=lambda case: case[0])
def test_uncertainty_through_a_calculation_is_that_of_200_000_draws(case):
    """First order against a Monte Carlo run; 2 % is left for the curvature and for the draws."""
    name, values, spreads, rest = case
    figure = _worked_out(name, values, spreads, rest)
    dice = np.random.default_rng(20_240)
    drawn = {field: dice.normal(value, spreads[field], 200_000) for field, value in values.items()}
    results = CALCULATIONS[name].function(**drawn, **rest)
    own = OF_ITSELF.get(name, lambda value: 0.0)(figure.value)
    assert figure.deviation == pytest.approx(math.hypot(np.std(results), own), rel=0.02)
    assert figure.value == pytest.approx(np.mean(results), abs=0.05 * np.std(results))


FUEL = schema.Fact(
    name="Fuel", part="boiler", ask="Which gas?", assumed="natural_gas",
    choices={"natural_gas": "Natural gas", "propane": "Propane"}, source=["paper"],
)  # fmt: skip


def _worked_out(name, values, spreads, rest, calculations=CALCULATIONS, inputs=None):
    calculation = calculations[name]
    zero = "0 ppm" if calculation.quantity == "dry_fraction" else "0"
    fields = {field: _field(calculation.inputs[field], "ppm", field) for field in values}
    known = knowledge_of(
        calculations,
        facts={"fuel": FUEL},
        instruments={
            field: instrument(calculation.inputs[field], f"{2e6 * spreads[field]!r} ppm")
            for field in values
        },
        checks={
            "analyser": check(
                {"well": outcome(), "ill": outcome("hardly")},
                reading=Reading(
                    fields=fields,
                    figure=[
                        Figure(
                            calculation=name,
                            inputs=inputs
                            or {**{f: f"this.{f}" for f in fields},
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
    """No oxygen left: CO2 falls by CO2max / 20.9 % for each share of O2, on a straight line.

    The spread of supplies is the whole 0.15 points there, as CO2max is to 11.8 %.
    """
    figure = _worked_out("co2_from_o2", {"o2": 0.0}, {"o2": 0.001}, {"fuel": "natural_gas"})
    function = CALCULATIONS["co2_from_o2"].function
    step = function(o2=0.0, fuel="natural_gas") - function(o2=0.001, fuel="natural_gas")
    supplies = 0.0015 / 0.118 * function(o2=0.0, fuel="natural_gas")
    assert figure.deviation == pytest.approx(math.hypot(step, supplies), rel=1e-5)


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


# --- what is assumed, and how far it may be off ------------------------------------------------


def assumed(origin, fact=None):
    """A check on one doubled value, from wherever that comes; well from 1 K up."""

    def doubled(x):
        return 2 * x

    quantity = "temperature_difference"
    calculation = Calculation("doubled", doubled, {"x": quantity}, quantity)
    return knowledge_of(
        {"doubled": calculation},
        facts={"slack": fact} if fact else {},
        instruments={"probe": instrument(quantity, "0.2 K")},
        checks={
            "rise": check(
                {"well": outcome(), "ill": outcome("hardly")},
                reading=Reading(
                    fields={"seen": _field(quantity, "K", "probe").model_copy(
                        update={"optional": True})},
                    figure=[Figure(calculation="doubled", inputs={"x": origin})],
                    bands=[{"outcome": "ill", "below": "1 K"}, {"outcome": "well", "from": "1 K"}],
                    band_source=["paper"],
                ),
            )
        },
    )  # fmt: skip


@pytest.mark.parametrize(
    ("origin", "values", "value", "deviation"),
    # Twice the value, and twice half of what it may be off by.
    [
        ("this.seen or 3 K ± 1 K", {}, 6, 1.0),
        ("this.seen or 3 K ± 1 K", {"seen": 4.0}, 8, 0.2),
        ("this.seen or 3 K", {}, 6, 0.0),
        ("3 K ± 1 K", {}, 6, 1.0),
        ("3 K", {"seen": 4.0}, 6, 0.0),
    ],
)
def test_the_spread_of_what_is_assumed_goes_when_it_is_measured(origin, values, value, deviation):
    figure = readings.band(assumed(origin), {}, "rise", {"rise": values}).figure

    assert (figure.value, figure.deviation) == (value, pytest.approx(deviation))
    assert figure.instruments == (("probe",) if values and "this" in origin else ())


def test_a_spread_in_degrees_carries_no_zero_point():
    """± 10 K of 15 °C are 10 K, not 283: half of it is one deviation."""
    known = knowledge_of(
        {"same": Calculation("same", lambda x: x, {"x": "temperature"}, "temperature")},
        checks={"warm": check(
            {"well": outcome(), "ill": outcome("hardly")},
            reading=Reading(
                figure=[Figure(calculation="same", inputs={"x": "15 °C ± 10 K"})],
                bands=[{"outcome": "ill", "below": "0 °C"}, {"outcome": "well", "from": "0 °C"}],
                band_source=["paper"],
            ),
        )},
    )  # fmt: skip
    figure = readings.band(known, {}, "warm", {}).figure
    assert (figure.value, figure.deviation) == (pytest.approx(288.15), pytest.approx(5.0))


@pytest.mark.parametrize(("facts", "deviation"), [({}, 0.6), ({"slack": 6.0}, 0.0)])
def test_a_typical_figure_is_off_by_its_share_and_one_entered_is_not(facts, deviation):
    """10 % of 6 K are 0.6 K, half of it one deviation, doubled by the calculation."""
    fact = schema.Fact(
        name="Slack", part="limits", ask="How much?", quantity="temperature_difference", unit="K",
        typical={"value": "6 K"}, spread="10 %", source=["paper"],
    )  # fmt: skip
    known = assumed("fact.slack", fact)
    figure = readings.band(known, facts, "rise", {}).figure
    assert (figure.value, figure.deviation) == (12.0, pytest.approx(deviation))


def test_what_is_not_known_of_a_clocked_input_widens_it(knowledge):
    """Gas of 15 °C ± 10 K, 20 ± 10 mbar, 150 ± 300 m and a heating value ± 5 %.

    By hand, as one deviation: 5/288 = 1.7 %, 5/1033 = 0.5 %, 150/8430 = 1.8 % (a scale height at
    15 °C), 2.5 %; the weather 1.5 %, the meter 0.75 %, the stopwatch 0.3/90 = 0.3 %.
    """
    clocked = {"volume": 0.1, "duration": 90.0}
    measured = {"gas_temperature": 288.15, "meter_pressure": 2000.0}
    facts = {"rated_input": 40e3}
    known = {**facts, "altitude": 150.0, "heating_value": 38.2e6}

    def share(facts, values):
        figure = readings.band(knowledge, facts, "gas_input_clocked", {"gas_input_clocked": values})
        return figure.figure.deviation / figure.figure.value

    unknown = math.hypot(0.0174, 0.0048, 0.0178, 0.025, 0.015, 0.0075, 0.0033)
    assert share(facts, clocked) == pytest.approx(unknown, rel=0.02)
    # Contact thermometer ± 2 K and manometer ± 0.2 mbar hardly count.
    left = math.hypot(0.0035, 0.0001, 0.015, 0.0075, 0.0033)
    assert share(known, clocked | measured) == pytest.approx(left, rel=0.02)


# --- the boiler's own limits -------------------------------------------------------------------


def edges(knowledge, name, **facts):
    entry = knowledge.checks[name]
    figure = entry.reading.figure[0]
    field = entry.reading.fields.get(figure.field)
    quantity = field.quantity if field else knowledge.calculations[figure.calculation].quantity
    return [edge for edge, _ in band_edges(knowledge, facts, entry, quantity)]


@pytest.mark.parametrize(
    ("check", "facts", "expected"),
    # Our own: CO 100 ppm, flame 0.3 and 5 µA; O2 1 % is CO2 11.2 %. Facts as facts.yaml has them.
    [
        ("co_high_fire", {}, [100e-6, 400e-6]),
        ("co_high_fire", {"co_limit": 80e-6}, [80e-6, 80e-6]),
        ("flame_current", {}, [0.3e-6, 2e-6, 5e-6]),
        ("flame_current", {"flame_current_min": 6e-6}, [0.3e-6, 6e-6, 6e-6]),
        ("flame_current", {"flame_current_min": 0.2e-6}, [0.2e-6, 0.2e-6, 5e-6]),
        ("mixture_high_fire", {"co2_high_max": 0.115}, [0.085, 0.115, 0.115]),
    ],
)  # fmt: skip
def test_the_boilers_own_limit_beats_ours_on_either_side(knowledge, check, facts, expected):
    assert edges(knowledge, check, **facts) == pytest.approx(expected)


def test_two_own_limits_in_the_wrong_order_are_refused(knowledge):
    least, most = (knowledge.facts[f"co2_high_{end}"].name for end in ("min", "max"))
    with pytest.raises(OutOfRange) as caught:
        edges(knowledge, "mixture_high_fire", co2_high_min=0.095, co2_high_max=0.085)
    assert str(caught.value) == f"'{least}' lies above '{most}'; enter both, the lower one first"


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
    space = Space(networks.build(knowledge_of(), ["no_heat"], (), {}, [("listen", "hum")]))
    before = space.belief().marginals()[1]
    after = {
        who: space.belief().observe(space.table("listen") @ seen(who)).marginals()[1]
        for who in ("caller", "technician")
    }
    assert before < after["caller"] < after["technician"]
