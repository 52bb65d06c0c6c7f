"""The calculations keep their laws, refuse what they cannot answer, and say their units."""

import inspect
import re

import numpy as np
import pytest
import uncertainties
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics import CALCULATIONS
from engine.physics.flue_gas import (
    co2_from_o2,
    co_air_free,
    co_to_co2_ratio,
    excess_air_ratio,
    fuel_line_gap,
    o2_from_co2,
    temperature_difference,
)
from engine.physics.fuels import AIR_OXYGEN, FUELS, Fuel, fuel_named
from engine.physics.gas_supply import clocked_input, input_share, pressure_sag, speed_ratio
from engine.physics.recirculation import recirculated_share_from_co2, recirculated_share_from_o2
from engine.units import QUANTITIES

FUEL_NAMES = st.sampled_from(sorted(FUELS))
FLUE_O2 = st.floats(min_value=0.0, max_value=0.15)
SHARES = st.floats(min_value=0.0, max_value=0.3)

SOUND_ARGUMENTS = {
    "co_air_free": {"co": 50e-6, "o2": 0.05},
    "co_to_co2_ratio": {"co": 50e-6, "co2": 0.09},
    "co2_from_o2": {"o2": 0.05, "fuel": "natural_gas"},
    "o2_from_co2": {"co2": 0.09, "fuel": "natural_gas"},
    "excess_air_ratio": {"o2": 0.05, "fuel": "natural_gas"},
    "fuel_line_gap": {"o2": 0.05, "co2": 0.09, "fuel": "natural_gas"},
    "recirculated_share_from_o2": {"intake_o2": 0.2, "flue_o2": 0.05, "fuel": "natural_gas"},
    "recirculated_share_from_co2": {"intake_co2": 0.01, "flue_co2": 0.09, "fuel": "natural_gas"},
    "pressure_sag": {"static": 1800.0, "running": 1500.0},
    "clocked_input": {"volume": 0.028, "duration": 36.0, "heating_value": 38e6},
    "input_share": {"volume": 0.028, "duration": 36.0, "heating_value": 38e6, "rated_input": 3e4},
    "speed_ratio": {"measured": 68.0, "asked": 70.0},
    "temperature_difference": {"hot": 330.0, "cold": 320.0},
}
NUMERIC = [
    (name, parameter)
    for name, calculation in CALCULATIONS.items()
    for parameter, quantity in calculation.inputs.items()
    if quantity != "fuel"
]


# --- the table that knowledge files name from


def test_every_calculation_has_sound_arguments_here():
    assert set(SOUND_ARGUMENTS) == set(CALCULATIONS)


@pytest.mark.parametrize("calculation", CALCULATIONS.values(), ids=lambda each: each.name)
def test_table_matches_the_function(calculation):
    parameters = inspect.signature(calculation.function).parameters
    needed = [name for name, each in parameters.items() if each.default is inspect.Parameter.empty]

    assert list(calculation.inputs) == needed
    assert set(calculation.inputs.values()) <= {*QUANTITIES, "fuel"}
    assert calculation.quantity in QUANTITIES


@pytest.mark.parametrize("calculation", CALCULATIONS.values(), ids=lambda each: each.name)
def test_every_parameter_says_its_unit(calculation):
    text = inspect.getdoc(calculation.function)
    parameters = re.search(r"Parameters\n-+\n(.*?)\n\nReturns\n-+\n", text, re.DOTALL)[1]
    described = dict(re.findall(r"^(\w+) : .*\n((?:    .*(?:\n|$))+)", parameters, re.MULTILINE))

    assert list(described) == list(inspect.signature(calculation.function).parameters)
    for name, description in described.items():
        assert re.search(r"\[[^\]]+\]", description), f"{name} has no [unit]"
    for section in ("Returns", "Raises", "Examples"):
        assert f"\n{section}\n---" in text


# --- refusals


@pytest.mark.parametrize(("name", "parameter"), NUMERIC)
@pytest.mark.parametrize("value", [float("nan"), float("inf"), -1e9, 1e12, "0.05", None, True])
def test_value_outside_the_range_is_refused(name, parameter, value):
    arguments = {**SOUND_ARGUMENTS[name], parameter: value}

    with pytest.raises(OutOfRange):
        CALCULATIONS[name].function(**arguments)


@pytest.mark.parametrize(("name", "parameter"), NUMERIC)
def test_one_bad_value_among_many_is_refused(name, parameter):
    good = SOUND_ARGUMENTS[name][parameter]

    with pytest.raises(OutOfRange, match="got nan"):
        CALCULATIONS[name].function(
            **{**SOUND_ARGUMENTS[name], parameter: np.array([good, np.nan, good])}
        )


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: co2_from_o2(5.0, "natural_gas"), r"must be 0 \(0 %\) to 0.2 \(20 %\), got 5 "),
        (lambda: co2_from_o2(0.209, "natural_gas"), "is the probe in the flue"),
        (lambda: o2_from_co2(0.135, "natural_gas"), "cannot show more than 11.8 %: is the fuel"),
        (lambda: co_air_free(120, 0.05), "was a reading in ppm passed without converting"),
        (lambda: temperature_difference(60.0, 50.0), "was a reading in °C or °F passed"),
        (lambda: pressure_sag(1e6, 1500.0), "inches of water passed without converting"),
        (lambda: clocked_input(0.03, 36.0, 38.0), "was it in MJ/m³"),
        (lambda: speed_ratio(4200, 70), "was a speed in rpm"),
        (lambda: speed_ratio(0.0, 0.0), "is the fan not asked to run"),
        (lambda: recirculated_share_from_o2(0.06, 0.19, "propane"), "readings swapped"),
        (lambda: recirculated_share_from_co2(0.1, 0.01, "propane"), "were the readings swapped"),
        (lambda: co2_from_o2(0.05, "naturalgas"), "write 'natural_gas'"),
        (lambda: co2_from_o2(0.05, None), "write 'natural_gas' or 'propane'"),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()


@pytest.mark.parametrize(
    ("composition", "says"),
    [
        ({"CH5": 1.0}, "component 'CH5' is not known; write 'CH4'"),
        ({"CH4": 95.0, "N2": 5.0}, "was a percentage passed"),
        ({"CH4": float("nan")}, "must be 0 to 1"),
        ({"CH4": 0.95}, "add up to 0.95, not 1"),
        ({"N2": 1.0}, "nothing in it burns"),
        ({"H2": 1.0}, "holds no carbon"),
    ],
)
def test_impossible_fuel_is_refused(composition, says):
    with pytest.raises(OutOfRange, match=says):
        Fuel("trial", composition)


def test_fuel_cannot_change_and_is_taken_as_it_is():
    methane = Fuel("methane", {"CH4": 1.0})

    with pytest.raises(AttributeError):
        methane.name = "other"
    assert methane == Fuel("methane", (("CH4", 1.0),))
    assert hash(methane) == hash(Fuel("methane", {"CH4": 1.0}))
    assert fuel_named(methane) is methane


# --- laws


@given(o2=st.floats(min_value=0.0, max_value=0.19), fuel=FUEL_NAMES)
def test_o2_to_co2_and_back(o2, fuel):
    assert o2_from_co2(co2_from_o2(o2, fuel), fuel) == pytest.approx(o2, rel=0, abs=1e-12)


@given(o2=st.floats(min_value=0.0, max_value=0.19), fuel=FUEL_NAMES)
def test_a_reading_on_the_line_has_no_gap(o2, fuel):
    assert fuel_line_gap(o2, co2_from_o2(o2, fuel), fuel) == pytest.approx(0.0, abs=1e-12)


@given(o2=FLUE_O2, more=st.floats(min_value=1e-4, max_value=0.04), fuel=FUEL_NAMES)
def test_more_oxygen_means_more_air_and_less_co2(o2, more, fuel):
    assert excess_air_ratio(o2 + more, fuel) > excess_air_ratio(o2, fuel) >= 1
    assert co2_from_o2(o2 + more, fuel) < co2_from_o2(o2, fuel) <= fuel_named(fuel).co2_max_dry


@given(co=st.floats(min_value=0.0, max_value=0.05), o2=FLUE_O2, air=st.floats(0.0, 0.3))
def test_air_let_into_the_sample_changes_neither_co_measure(co, o2, air):
    """Dilution by dry air: air-free CO stays, and so does CO over CO2."""
    co2 = co2_from_o2(o2, "natural_gas")
    diluted = {"co": co * (1 - air), "o2": o2 * (1 - air) + AIR_OXYGEN * air}

    assert co_air_free(**diluted) == pytest.approx(co_air_free(co, o2), rel=1e-9, abs=1e-15)
    assert co_to_co2_ratio(co * (1 - air), co2 * (1 - air)) == pytest.approx(
        co_to_co2_ratio(co, co2), rel=1e-9, abs=1e-15
    )


def test_without_oxygen_co_is_air_free_already():
    assert co_air_free(1e-4, 0.0) == 1e-4


def loop_readings(share, fresh_air_ratio, fuel):
    """Dry O2 at intake and flue for a wet share, by counting moles around the closed loop."""
    gas = fuel_named(fuel)
    air = fresh_air_ratio * gas.stoichiometric_air
    oxygen = gas.stoichiometric_oxygen * (fresh_air_ratio - 1)
    dry = gas.stoichiometric_dry_flue_gas + air - gas.stoichiometric_air
    wet = dry + gas.water_per_mole
    back = share * air / (1 - share)  # wet moles coming back
    back_dry, back_oxygen = back * dry / wet, back * oxygen / wet
    return (AIR_OXYGEN * air + back_oxygen) / (air + back_dry), oxygen / dry


@given(share=SHARES, ratio=st.floats(min_value=1.0, max_value=2.0), fuel=FUEL_NAMES)
def test_recirculated_share_is_found_again(share, ratio, fuel):
    intake, flue = loop_readings(share, ratio, fuel)

    assert recirculated_share_from_o2(intake, flue, fuel) == pytest.approx(share, abs=1e-9)


@given(share=SHARES, ratio=st.floats(min_value=1.0, max_value=2.0), fuel=FUEL_NAMES)
def test_oxygen_and_carbon_dioxide_agree_about_recirculation(share, ratio, fuel):
    """With CO2-free air an analyser computes CO2 from the line, and both routes are the same."""
    intake, flue = loop_readings(share, ratio, fuel)
    most = fuel_named(fuel).co2_max_dry

    from_co2 = recirculated_share_from_co2(
        most * (1 - intake / AIR_OXYGEN), co2_from_o2(flue, fuel), fuel, room_co2=0.0
    )

    assert from_co2 == pytest.approx(recirculated_share_from_o2(intake, flue, fuel), abs=1e-9)


@pytest.mark.parametrize("fuel", sorted(FUELS))
def test_clean_intake_is_no_recirculation(fuel):
    assert recirculated_share_from_o2(AIR_OXYGEN, 0.05, fuel) == 0
    assert recirculated_share_from_co2(0.0004, 0.08, fuel) == 0


def test_intake_reading_above_fresh_air_is_not_clamped():
    assert -0.02 < recirculated_share_from_o2(0.211, 0.05, "natural_gas") < 0
    assert -0.01 < recirculated_share_from_co2(0.0, 0.09, "natural_gas") < 0


def test_more_is_recirculated_by_wet_volume_than_dry_readings_suggest():
    dry_share = (AIR_OXYGEN - 0.2) / (AIR_OXYGEN - 0.05)

    assert recirculated_share_from_o2(0.2, 0.05, "natural_gas") > dry_share


@given(
    volume=st.floats(0.001, 10), duration=st.floats(2, 3600), heat=st.floats(1e7, 1e8),
    rated=st.floats(1e4, 1e6),
)  # fmt: skip
def test_input_share_times_rating_is_the_clocked_input(volume, duration, heat, rated):
    share = input_share(volume, duration, heat, rated)

    assert share * rated == pytest.approx(clocked_input(volume, duration, heat), rel=1e-12)


@given(one=st.floats(-1000, 50_000), other=st.floats(-1000, 50_000))
def test_sag_changes_sign_with_the_order(one, other):
    assert pressure_sag(one, other) == -pressure_sag(other, one)


@pytest.mark.parametrize("name", sorted(CALCULATIONS))
def test_arrays_give_what_single_values_give(name):
    calculation = CALCULATIONS[name]
    single = calculation.function(**SOUND_ARGUMENTS[name])
    several = calculation.function(
        **{
            parameter: value if parameter == "fuel" else np.array([value, value])
            for parameter, value in SOUND_ARGUMENTS[name].items()
        }
    )

    assert type(single) is float
    assert several.shape == (2,)
    assert np.all(several == single)


@pytest.mark.parametrize(
    ("name", "healthy"),
    [
        ("co_air_free", {"co": 0.0, "o2": 0.05}),
        ("co_to_co2_ratio", {"co": 0.0, "co2": 0.09}),
        ("excess_air_ratio", {"o2": 0.0, "fuel": "natural_gas"}),
        ("recirculated_share_from_o2", {"intake_o2": 0.209, "flue_o2": 0.05, "fuel": "propane"}),
        ("recirculated_share_from_co2", {"intake_co2": 0.0, "flue_co2": 0.09, "fuel": "propane"}),
        ("speed_ratio", {"measured": 0.0, "asked": 70.0}),
    ],
)
def test_instrument_error_carries_through_at_the_edge_of_a_range(name, healthy):
    """A numerical derivative at a reading of exactly 0 steps outside by a hair and is let."""
    uncertain = {
        parameter: value if isinstance(value, str) else uncertainties.ufloat(value, 1e-3)
        for parameter, value in healthy.items()
    }

    result = uncertainties.wrap(CALCULATIONS[name].function)(**uncertain)

    assert result.nominal_value == CALCULATIONS[name].function(**healthy)
    assert result.std_dev > 0
