"""The standard atmosphere and the density of air."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.atmosphere import (
    DRY_AIR_GAS_CONSTANT,
    air_density,
    standard_density,
    standard_pressure,
    standard_temperature,
)

ALTITUDES = st.floats(min_value=-500.0, max_value=4999.0)


def test_sea_level_is_the_standard():
    assert standard_temperature(0.0) == 288.15
    assert standard_pressure(0.0) == 101_325.0


@given(altitude=ALTITUDES)
def test_all_three_fall_with_altitude(altitude):
    for quantity in (standard_temperature, standard_pressure, standard_density):
        assert quantity(altitude + 1.0) < quantity(altitude)


@given(altitude=ALTITUDES)
def test_standard_density_is_that_of_dry_air_there(altitude):
    there = air_density(standard_temperature(altitude), standard_pressure(altitude))

    assert standard_density(altitude) == pytest.approx(there, rel=1e-12)


@given(altitude=ALTITUDES)
def test_a_column_of_air_weighs_what_the_pressure_falls(altitude):
    """dp = -rho·g·dh, with gravity as it falls with height; a difference over 2 m."""
    step = 1.0
    middle = min(max(altitude, -499.0), 4999.0)
    fall = standard_pressure(middle - step) - standard_pressure(middle + step)
    gravity = 9.80665 * (6_356_766 / (6_356_766 + middle)) ** 2

    assert fall == pytest.approx(standard_density(middle) * gravity * 2 * step, rel=1e-6)


@given(kelvin=st.floats(220.0, 330.0), pressure=st.floats(5e4, 1.1e5), water=st.floats(0.001, 0.3))
def test_moist_air_is_lighter_and_between_air_and_steam(kelvin, pressure, water):
    dry = air_density(kelvin, pressure)
    steam = 0.621_980 * dry

    assert steam < air_density(kelvin, pressure, water) < dry


def test_density_of_dry_air_is_ideal():
    assert air_density(300.0, 90_000.0) == pytest.approx(
        90_000.0 / (DRY_AIR_GAS_CONSTANT * 300.0), rel=1e-12
    )


def test_first_thousand_feet_thin_the_air_as_the_notes_say():
    """2.9 % with the standard's temperature, 3.6 % at one temperature (pressure alone)."""
    assert 100 * (1 - standard_density(304.8) / standard_density(0)) == pytest.approx(2.9, abs=0.05)
    assert 100 * (1 - standard_pressure(304.8) / 101_325) == pytest.approx(3.6, abs=0.05)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: standard_pressure(6562), "was an altitude in feet passed"),
        (lambda: air_density(20.0), "was a reading in °C or °F passed"),
        (lambda: air_density(293.15, 1013.25), "or a reading in mbar passed"),
        (lambda: air_density(293.15, 101_325.0, 0.6), "was a relative humidity"),
        (lambda: standard_density(np.array([0.0, np.nan])), "got nan"),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()
