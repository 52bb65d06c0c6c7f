"""Flue-gas calculations keep their laws and refuse what they cannot answer."""

import re

import numpy as np
import pytest
import uncertainties
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.carbon_monoxide import co_air_free, co_to_co2_ratio
from engine.physics.flue_gas import (
    co2_from_o2,
    dry_flue_gas,
    excess_air_ratio,
    fuel_line_gap,
    o2_from_co2,
    temperature_difference,
    water_share,
    wet_flue_gas,
)
from engine.physics.fuels import AIR_OXYGEN, FUELS, fuel_named

FUEL_NAMES = st.sampled_from(sorted(FUELS))
FLUE_O2 = st.floats(min_value=0.0, max_value=0.15)
HUMIDITY = st.floats(min_value=0.0, max_value=0.05)


# --- refusals


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: co2_from_o2(5.0, "natural_gas"), r"must be 0 \(0 %\) to 0.2 \(20 %\), got 5 "),
        (lambda: co2_from_o2(0.209, "natural_gas"), "is the probe in the flue"),
        (lambda: o2_from_co2(0.135, "natural_gas"), "cannot show more than 11.8 %: is the fuel"),
        (lambda: co_air_free(120, 0.05), "was a reading in ppm passed without converting"),
        (lambda: temperature_difference(60.0, 50.0), "was a reading in °C or °F passed"),
        (lambda: water_share(0.05, "propane", 0.6), "was a relative humidity in per cent"),
        (lambda: co2_from_o2(0.05, "naturalgas"), "write 'natural_gas'"),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()


# --- laws


@given(o2=st.floats(min_value=0.0, max_value=0.19), fuel=FUEL_NAMES)
def test_o2_to_co2_and_back(o2, fuel):
    assert o2_from_co2(co2_from_o2(o2, fuel), fuel) == pytest.approx(o2, rel=0, abs=1e-12)


@given(o2=st.floats(min_value=0.0, max_value=0.19), fuel=FUEL_NAMES)
def test_a_reading_on_the_line_has_no_gap(o2, fuel):
    assert fuel_line_gap(o2, co2_from_o2(o2, fuel), fuel) == pytest.approx(0.0, abs=1e-12)


@given(
    o2=FLUE_O2,
    more=st.floats(min_value=1e-4, max_value=0.04),
    fuel=FUEL_NAMES,
    humidity=st.floats(0.0, 0.02),
)
def test_more_oxygen_means_more_air_less_co2_and_a_smaller_share_of_water(o2, more, fuel, humidity):
    assert excess_air_ratio(o2 + more, fuel) > excess_air_ratio(o2, fuel) >= 1
    assert co2_from_o2(o2 + more, fuel) < co2_from_o2(o2, fuel) <= fuel_named(fuel).co2_max_dry
    assert dry_flue_gas(o2 + more, fuel) > dry_flue_gas(o2, fuel)
    assert water_share(o2 + more, fuel, humidity) < water_share(o2, fuel, humidity)


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


def atoms(fuel, element):
    """Atoms of one element in a mole of the fuel, read off the formulas of its components."""
    found = 0.0
    for formula, share in fuel_named(fuel).composition:
        for symbol, count in re.findall(r"([A-Z])(\d*)", formula):
            found += share * int(count or 1) if symbol == element else 0
    return found


@given(o2=FLUE_O2, fuel=FUEL_NAMES, humidity=HUMIDITY)
def test_no_atom_is_lost_between_intake_and_flue(o2, fuel, humidity):
    air = excess_air_ratio(o2, fuel) * fuel_named(fuel).stoichiometric_air
    dry = dry_flue_gas(o2, fuel)
    water = wet_flue_gas(o2, fuel, humidity) - dry
    co2 = co2_from_o2(o2, fuel) * dry
    oxygen = o2 * dry
    nitrogen = dry - co2 - oxygen

    assert co2 == pytest.approx(atoms(fuel, "C"), rel=1e-9)
    assert 2 * water == pytest.approx(atoms(fuel, "H") + 2 * humidity * air, rel=1e-9)
    assert 2 * co2 + 2 * oxygen + water == pytest.approx(
        atoms(fuel, "O") + air * (2 * AIR_OXYGEN + humidity), rel=1e-9
    )
    assert 2 * nitrogen == pytest.approx(atoms(fuel, "N") + 2 * air * (1 - AIR_OXYGEN), rel=1e-9)


@given(o2=FLUE_O2, fuel=FUEL_NAMES, humidity=HUMIDITY)
def test_water_share_is_what_wet_flue_gas_has_more_than_dry(o2, fuel, humidity):
    wet = wet_flue_gas(o2, fuel, humidity)

    assert water_share(o2, fuel, humidity) == pytest.approx(
        1 - dry_flue_gas(o2, fuel) / wet, rel=1e-9
    )


def test_methane_burned_exactly_leaves_a_fifth_of_water():
    """2 mol of water in 1 + 2 + 2·79.1/20.9 mol of wet flue gas."""
    assert water_share(0.0, "methane") == pytest.approx(2 / (3 + 2 * 79.1 / 20.9), rel=1e-12)


# --- instruments


@pytest.mark.parametrize(
    ("function", "healthy"),
    [
        (co_air_free, {"co": 0.0, "o2": 0.05}),
        (co_to_co2_ratio, {"co": 0.0, "co2": 0.09}),
        (excess_air_ratio, {"o2": 0.0, "fuel": "natural_gas"}),
        (water_share, {"o2": 0.0, "fuel": "natural_gas", "air_humidity": 0.0}),
    ],
)
def test_instrument_error_carries_through_at_the_edge_of_a_range(function, healthy):
    """A numerical derivative at a reading of exactly 0 steps outside by a hair and is let."""
    uncertain = {
        parameter: value if isinstance(value, str) else uncertainties.ufloat(value, 1e-3)
        for parameter, value in healthy.items()
    }

    result = uncertainties.wrap(function)(**uncertain)

    assert result.nominal_value == function(**healthy)
    assert result.std_dev > 0


def test_one_reading_against_several_of_another_kind():
    humidities = np.array([0.0, 0.01, 0.02])

    assert water_share(0.05, "propane", humidities) == pytest.approx(
        [water_share(0.05, "propane", each) for each in humidities], rel=1e-12
    )
