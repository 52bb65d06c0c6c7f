"""The atmosphere against printed tables and three independent libraries."""

import ambiance
import fluids
import numpy as np
import psychrolib
import pytest
from CoolProp.CoolProp import HAPropsSI, PropsSI

from engine.physics.atmosphere import (
    air_density,
    standard_density,
    standard_pressure,
    standard_temperature,
)
from engine.physics.moisture import air_humidity
from tests.published import Published, rows

ALTITUDES = [-500.0, 0.0, 304.8, 1000.0, 1609.344, 2000.0, 3048.0, 4000.0, 5000.0]

# The printed tables go by geopotential altitude H; a map shows h = r·H/(r - H).
MAP = {height: 6_356_766.0 * height / (6_356_766.0 - height) for height in (1000.0, 2000.0)}


def test_ambiance_agrees_at_every_altitude():
    """ICAO 1993 (Doc 7488/3), geometric altitude.

    3e-7: below sea level it counts from -5 km, with the six printed digits of pressure there.
    """
    theirs = ambiance.Atmosphere(ALTITUDES)

    assert standard_temperature(np.array(ALTITUDES)) == pytest.approx(theirs.temperature, rel=1e-7)
    assert standard_pressure(np.array(ALTITUDES)) == pytest.approx(theirs.pressure, rel=3e-7)
    assert standard_density(np.array(ALTITUDES)) == pytest.approx(theirs.density, rel=3e-7)


@pytest.mark.parametrize("altitude", ALTITUDES)
def test_us_standard_atmosphere_agrees(altitude):
    """fluids.ATMOSPHERE_1976; 1e-5: it takes R = 8314.32 J/(kmol·K) and M = 28.9644."""
    theirs = fluids.ATMOSPHERE_1976(altitude)

    assert standard_temperature(altitude) == pytest.approx(theirs.T, rel=1e-7)
    assert standard_pressure(altitude) == pytest.approx(theirs.P, rel=1e-5)
    assert standard_density(altitude) == pytest.approx(theirs.rho, rel=1e-5)


@pytest.mark.parametrize("altitude", ALTITUDES)
def test_ashrae_agrees(altitude):
    """psychrolib, ASHRAE Fundamentals 2017 chapter 1 equations 3 and 4.

    It takes the height on the map for the geopotential altitude: 4 m of 5000, 0.05 % of pressure.
    """
    psychrolib.SetUnitSystem(psychrolib.SI)

    assert standard_pressure(altitude) == pytest.approx(
        psychrolib.GetStandardAtmPressure(altitude), rel=6e-4
    )
    assert standard_temperature(altitude) - 273.15 == pytest.approx(
        psychrolib.GetStandardAtmTemperature(altitude), abs=0.03
    )


@rows(
    Published({"altitude": MAP[1000.0]}, 8.9875e4, 0.5, "mathworks.com atmosisa(1000), pressure"),
    Published({"altitude": 0.0}, 101_325, 0.5, "ISO 2533, as quoted by rubydoc.info, atmospheric"),
)  # fmt: skip
def test_standard_pressure_meets_printed_value(row):
    assert standard_pressure(**row.given) == pytest.approx(row.expected, rel=0, abs=row.within)


@rows(
    Published({"altitude": MAP[1000.0]}, 281.6500, 5e-5, "mathworks.com atmosisa(1000)"),
    Published({"altitude": MAP[2000.0]}, 275.15, 5e-3, "US Standard Atmosphere 1976, from memory"),
)  # fmt: skip
def test_standard_temperature_meets_printed_value(row):
    assert standard_temperature(**row.given) == pytest.approx(row.expected, rel=0, abs=row.within)


@rows(
    Published({"altitude": MAP[1000.0]}, 1.1116, 5e-5, "mathworks.com atmosisa(1000)"),
    Published({"altitude": 0.0}, 1.2250, 5e-5, "ISO 2533, sea level, from memory"),
)  # fmt: skip
def test_standard_density_meets_printed_value(row):
    assert standard_density(**row.given) == pytest.approx(row.expected, rel=0, abs=row.within)


# --- moist air

STATES = [(263.15, 0.8), (288.15, 0.5), (298.15, 0.6), (308.15, 0.9)]


@pytest.mark.parametrize("kelvin", [243.15, 273.15, 293.15, 353.15])
@pytest.mark.parametrize("pressure", [70_000.0, 101_325.0])
def test_dry_air_agrees_with_its_equation_of_state(kelvin, pressure):
    """CoolProp, Lemmon 2000; 0.2 %: what real air is denser than ideal at -30 °C."""
    assert air_density(kelvin, pressure) == pytest.approx(
        PropsSI("D", "T", kelvin, "P", pressure, "Air"), rel=2e-3
    )


@pytest.mark.parametrize(("kelvin", "humidity"), STATES)
@pytest.mark.parametrize("pressure", [80_000.0, 101_325.0])
def test_moist_air_agrees_with_both_libraries(kelvin, humidity, pressure):
    """CoolProp (ASHRAE RP-1485, real gas) within 0.15 %, psychrolib (ideal gas) within 0.02 %.

    The humidity is carried over as moles of water per mole of dry air.
    """
    psychrolib.SetUnitSystem(psychrolib.SI)
    water = air_humidity(kelvin, humidity, pressure)
    state = ("T", kelvin, "P", pressure, "psi_w", water / (1 + water))
    real = (1 + HAPropsSI("W", *state)) / HAPropsSI("Vda", *state)
    ideal = psychrolib.GetMoistAirDensity(kelvin - 273.15, 0.621_945 * water, pressure)

    ours = air_density(kelvin, pressure, water)

    assert ours == pytest.approx(real, rel=1.5e-3)
    assert ours == pytest.approx(ideal, rel=2e-4)
