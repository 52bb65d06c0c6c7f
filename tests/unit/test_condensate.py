"""Condensate balances with the water formed, and is refused where none is expected."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.condensate import caught_share, condensate_rate, greatest_condensate_rate
from engine.physics.flue_gas import dry_flue_gas, wet_flue_gas
from engine.physics.fuels import FUELS, fuel_named
from engine.physics.moisture import flue_dew_point, saturation_pressure

FUEL_NAMES = st.sampled_from(sorted(FUELS))
FLUE_O2 = st.floats(min_value=0.0, max_value=0.12)
FLUE = st.floats(min_value=275.0, max_value=400.0)
INPUTS = st.floats(min_value=5e3, max_value=1e6)
HUMIDITY = st.floats(min_value=0.0, max_value=0.03)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: condensate_rate(30.0, 313.15, 0.05, "propane"), "was it in kW or Btu/h"),
        (lambda: condensate_rate(3e4, 40.0, 0.05, "propane"), "was a reading in °C or °F"),
        (lambda: caught_share(2.0, 3e4, 313.15, 0.05, "propane"), "was a rate in L/h passed"),
        (
            lambda: caught_share(5e-7, 3e4, 343.15, 0.05, "propane"),
            "no condensate is expected.*is the return colder than the dew point",
        ),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()


@given(INPUTS, FLUE, FLUE_O2, FUEL_NAMES, HUMIDITY)
def test_water_formed_and_brought_is_vapour_or_condensate(heat, flue, o2, fuel, humidity):
    gas = fuel_named(fuel)
    burnt = heat / gas.gross_heat  # mol/s
    wet, dry = wet_flue_gas(o2, gas, humidity), dry_flue_gas(o2, gas)
    rate = condensate_rate(heat, flue, o2, gas, 101_325.0, humidity)
    condensed = rate * 998.2 / 0.018_015_28  # mol/s

    left = burnt * (wet - dry) - condensed
    if rate:
        share = saturation_pressure(flue) / 101_325.0
        assert left == pytest.approx(burnt * dry * share / (1 - share), rel=1e-9)
    else:
        assert flue >= flue_dew_point(o2, gas, 101_325.0, humidity)


@given(INPUTS, FLUE, FLUE_O2, FUEL_NAMES)
def test_dry_air_never_gives_more_than_the_greatest_rate(heat, flue, o2, fuel):
    assert 0 <= condensate_rate(heat, flue, o2, fuel) < greatest_condensate_rate(heat, fuel)


@given(INPUTS, st.floats(280.0, 308.0), FLUE_O2, FUEL_NAMES)
def test_colder_flue_and_larger_input_drop_more(heat, flue, o2, fuel):
    here = condensate_rate(heat, flue, o2, fuel)

    assert condensate_rate(heat, flue - 2.0, o2, fuel) > here
    assert condensate_rate(2 * heat, flue, o2, fuel) == pytest.approx(2 * here, rel=1e-9)


@given(INPUTS, st.floats(280.0, 308.0), FLUE_O2, FUEL_NAMES, st.floats(0.1, 1.5))
def test_share_caught_is_found_again(heat, flue, o2, fuel, share):
    caught = share * condensate_rate(heat, flue, o2, fuel)

    assert caught_share(caught, heat, flue, o2, fuel) == pytest.approx(share, rel=1e-9)


def test_methane_forms_two_moles_of_water():
    """36.03 g per 890.58 kJ, gross: 40.5 g/MJ."""
    kilograms_per_joule = greatest_condensate_rate(1e6, "methane") * 998.2 / 1e6

    assert kilograms_per_joule == pytest.approx(2 * 18.015e-3 / 890.58e3, rel=1e-4)


@pytest.mark.parametrize(("kelvin", "part"), [(313.15, 0.05), (325.15, 0.47)])
def test_one_kelvin_matters_most_near_the_dew_point(kelvin, part):
    here, warmer = (
        condensate_rate(3e4, flue, 0.05, "natural_gas") for flue in (kelvin, kelvin + 1)
    )

    assert 1 - warmer / here == pytest.approx(part, rel=0, abs=0.01)
