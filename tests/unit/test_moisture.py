"""Moisture keeps its laws; values are held against tables under tests/reference/."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.flue_gas import water_share
from engine.physics.fuels import FUELS
from engine.physics.heat import evaporation_heat, gas_enthalpy
from engine.physics.moisture import (
    air_humidity,
    flue_dew_point,
    saturation_pressure,
    saturation_temperature,
)

FUEL_NAMES = st.sampled_from(sorted(FUELS))
FLUE_O2 = st.floats(min_value=0.0, max_value=0.15)
PRESSURES = st.floats(min_value=70e3, max_value=108e3)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: saturation_pressure(50.0), "was a reading in °C or °F passed"),
        (lambda: saturation_temperature(123.5), "Below 611 Pa there is only ice"),
        (lambda: air_humidity(293.15, 50.0, 101_325.0), "per cent passed without dividing by 100"),
        (lambda: air_humidity(293.15, 0.5, 1013.25), "or a reading in mbar passed"),
        (lambda: flue_dew_point(0.05, "natural_gas", 300.0), "was a gauge pressure"),
        (lambda: flue_dew_point(0.2, "propane", 50e3), "must be 611.213"),
        (lambda: gas_enthalpy("CO2", 60.0), "was a reading in °C or °F passed"),
        (lambda: gas_enthalpy("H20", 300.0), "species 'H20' is not known; write 'H2O'"),
        (lambda: gas_enthalpy(None, 300.0), "write 'CO2' or 'H2O' or 'N2' or 'O2'"),
        (lambda: evaporation_heat(25.0), "was a reading in °C or °F passed"),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()


@given(st.floats(min_value=273.15, max_value=647.0))
def test_saturation_there_and_back(kelvin):
    assert saturation_temperature(saturation_pressure(kelvin)) == pytest.approx(
        kelvin, rel=0, abs=1e-9
    )


@given(st.floats(min_value=223.15, max_value=646.0), st.floats(min_value=0.01, max_value=1.0))
def test_warmer_vapour_is_denser_across_freezing_too(kelvin, warmer):
    assert saturation_pressure(kelvin + warmer) > saturation_pressure(kelvin)


def test_ice_and_water_meet_at_freezing():
    just_frozen = saturation_pressure(273.15 - 1e-6)

    assert just_frozen == pytest.approx(saturation_pressure(273.15), rel=1.2e-4)


@given(st.floats(223.15, 323.15), st.floats(0.0, 1.0), PRESSURES)
def test_air_holds_the_vapour_that_its_humidity_says(kelvin, share, pressure):
    humidity = air_humidity(kelvin, share, pressure)
    partial = pressure * humidity / (1 + humidity)

    assert partial == pytest.approx(share * saturation_pressure(kelvin), rel=1e-9, abs=1e-12)


@given(FLUE_O2, FUEL_NAMES, PRESSURES, st.floats(0.0, 0.05))
def test_flue_gas_at_its_dew_point_is_saturated(o2, fuel, pressure, humidity):
    dew = flue_dew_point(o2, fuel, pressure, humidity)

    assert saturation_pressure(dew) == pytest.approx(
        pressure * water_share(o2, fuel, humidity), rel=1e-9
    )


@given(FLUE_O2, FUEL_NAMES, st.floats(0.0, 0.04))
def test_dew_point_falls_with_air_and_altitude_and_rises_with_humidity(o2, fuel, humidity):
    here = flue_dew_point(o2, fuel, 101_325.0, humidity)

    assert flue_dew_point(o2 + 0.01, fuel, 101_325.0, humidity) < here
    assert flue_dew_point(o2, fuel, 90e3, humidity) < here
    assert flue_dew_point(o2, fuel, 101_325.0, humidity + 0.005) > here


@given(st.floats(min_value=273.15, max_value=350.0))
def test_evaporation_takes_less_heat_when_warmer(kelvin):
    assert evaporation_heat(kelvin + 5.0) < evaporation_heat(kelvin)


@pytest.mark.parametrize("species", ["CO2", "H2O", "N2", "O2"])
def test_enthalpy_is_counted_from_25_celsius(species):
    assert gas_enthalpy(species, 298.15) == 0
    assert gas_enthalpy(species, 290.0) < 0 < gas_enthalpy(species, 310.0)
