"""Recirculated flue gas: the share, and what it hides about the valve."""

import numpy as np
import pytest
import uncertainties
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.flue_gas import co2_from_o2, excess_air_ratio
from engine.physics.fuels import AIR_OXYGEN, FUELS, fuel_named
from engine.physics.recirculation import (
    co2_once_mended,
    excess_air_ratio_once_mended,
    o2_once_mended,
    recirculated_share_from_co2,
    recirculated_share_from_o2,
    set_co2_once_mended,
    set_o2_once_mended,
)

FUEL_NAMES = st.sampled_from(sorted(FUELS))
SHARES = st.floats(min_value=0.0, max_value=0.3)
RATIOS = st.floats(min_value=1.0, max_value=2.0)
SETTINGS = st.floats(min_value=1.45, max_value=2.5)  # still with excess air at 30 % recirculation
KELVIN = st.floats(min_value=250.0, max_value=320.0)


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


# --- the share


@given(share=SHARES, ratio=RATIOS, fuel=FUEL_NAMES)
def test_recirculated_share_is_found_again(share, ratio, fuel):
    intake, flue = loop_readings(share, ratio, fuel)

    assert recirculated_share_from_o2(intake, flue, fuel) == pytest.approx(share, abs=1e-9)


@given(share=SHARES, ratio=RATIOS, fuel=FUEL_NAMES)
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


# --- what the valve is set to: it counts volume, and (1 - share) of it is fresh air


@given(share=SHARES, setting=SETTINGS, fuel=FUEL_NAMES)
def test_the_setting_is_found_behind_the_readings(share, setting, fuel):
    intake, flue = loop_readings(share, (1 - share) * setting, fuel)
    _, clean = loop_readings(0.0, setting, fuel)

    found = recirculated_share_from_o2(intake, flue, fuel)

    assert excess_air_ratio_once_mended(flue, found, fuel) == pytest.approx(setting, rel=1e-9)
    assert o2_once_mended(flue, found, fuel) == pytest.approx(clean, rel=0, abs=1e-9)
    assert set_o2_once_mended(flue, intake, flue, fuel) == pytest.approx(clean, rel=0, abs=1e-9)


@given(share=SHARES, setting=SETTINGS, fuel=FUEL_NAMES)
def test_oxygen_and_carbon_dioxide_agree_about_the_setting(share, setting, fuel):
    intake, flue = loop_readings(share, (1 - share) * setting, fuel)
    most = fuel_named(fuel).co2_max_dry
    intake_co2, flue_co2 = most * (1 - intake / AIR_OXYGEN), co2_from_o2(flue, fuel)

    clean = set_co2_once_mended(flue_co2, intake_co2, flue_co2, fuel, room_co2=0.0)

    assert clean == pytest.approx(co2_once_mended(flue_co2, share, fuel), rel=0, abs=1e-9)
    assert clean == pytest.approx(
        co2_from_o2(o2_once_mended(flue, share, fuel), fuel), rel=0, abs=1e-9
    )


@given(share=SHARES, target=st.floats(min_value=1.05, max_value=1.6), fuel=FUEL_NAMES)
def test_a_valve_leaned_to_its_target_ends_too_lean(share, target, fuel):
    """Whoever turns the valve until the flue reads the target draws target/(1 - share) in truth."""
    _, wanted = loop_readings(0.0, target, fuel)
    _, mended = loop_readings(0.0, target / (1 - share), fuel)
    intake, flue = loop_readings(share, 1.0 + 0.5 * (target - 1), fuel)  # read before turning

    shown = set_o2_once_mended(wanted, intake, flue, fuel)

    assert shown == pytest.approx(mended, rel=0, abs=1e-9)
    assert shown >= wanted - 1e-12


@given(share=SHARES, ratio=RATIOS, intake=KELVIN, fresh=KELVIN, fuel=FUEL_NAMES)
def test_warmth_of_the_mixture_goes_with_the_root_of_temperature(share, ratio, intake, fresh, fuel):
    _, flue = loop_readings(share, ratio, fuel)

    cold = excess_air_ratio_once_mended(flue, share, fuel, intake, fresh)

    assert cold == pytest.approx(ratio / (1 - share) * (intake / fresh) ** 0.5, rel=1e-9)


@pytest.mark.parametrize("fuel", sorted(FUELS))
def test_nothing_coming_back_leaves_the_readings(fuel):
    assert o2_once_mended(0.05, 0.0, fuel) == pytest.approx(0.05, abs=1e-15)
    assert co2_once_mended(0.09, 0.0, fuel) == pytest.approx(0.09, abs=1e-15)
    assert excess_air_ratio_once_mended(0.05, 0.0, fuel) == excess_air_ratio(0.05, fuel)


def test_arrays_of_readings_are_taken_together():
    shares = np.array([0.0, 0.05, 0.1])

    shown = o2_once_mended(0.05, shares, "natural_gas")

    assert shown.shape == (3,)
    assert np.all(np.diff(shown) > 0)


# --- refusals and errors of instruments


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: recirculated_share_from_o2(0.06, 0.19, "propane"), "readings swapped"),
        (lambda: recirculated_share_from_co2(0.1, 0.01, "propane"), "were the readings swapped"),
        (lambda: recirculated_share_from_o2(20.6, 0.05, "propane"), "was the analyser zeroed"),
        (lambda: o2_once_mended(0.04, 5.0, "natural_gas"), "was a percentage passed"),
        (
            lambda: excess_air_ratio_once_mended(0.04, 0.05, "natural_gas", 10.0),
            "was a reading in °C or °F passed",
        ),
        (
            lambda: o2_once_mended(0.0, 0.0, "propane", 270.0, 300.0),
            "short of air, it makes carbon",
        ),
        (lambda: set_o2_once_mended(0.05, 0.2, 0.05, "gas"), "is not known"),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()


@pytest.mark.parametrize(
    ("function", "readings"),
    [
        (recirculated_share_from_o2, (0.209, 0.05)),
        (recirculated_share_from_co2, (0.0, 0.09)),
        (o2_once_mended, (0.0, 0.0)),
        (excess_air_ratio_once_mended, (0.0, 0.0)),
        (set_o2_once_mended, (0.05, 0.209, 0.05)),
    ],
)
def test_instrument_error_carries_through_at_the_edge_of_a_range(function, readings):
    """A numerical derivative at a reading of exactly 0 steps outside by a hair and is let."""
    uncertain = [uncertainties.ufloat(value, 1e-3) for value in readings]

    result = uncertainties.wrap(function)(*uncertain, "propane")

    assert result.nominal_value == function(*readings, "propane")
    assert result.std_dev > 0
