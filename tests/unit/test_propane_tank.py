"""Laws of the propane tank: pressure, wetted wall, vapour it can feed."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.propane_tank import (
    GROSS_HEAT,
    heat_of_evaporation,
    still_air_capacity,
    tank_gauge_pressure,
    vapour_capacity,
    vapour_pressure,
    wetted_area,
)

TEMPERATURES = st.floats(223.15, 333.15)
DIAMETERS = st.floats(0.3, 3)
SLENDERNESS = st.floats(1, 6)
LIQUID = st.floats(0, 1)
RULE_LIQUID = st.floats(0.1, 0.8)
RULE_AIR = st.floats(244.262, 266.483)


@given(temperature=st.floats(223.15, 332))
def test_warmer_propane_stands_higher_and_boils_easier(temperature):
    assert vapour_pressure(temperature + 1) > vapour_pressure(temperature)
    assert heat_of_evaporation(temperature + 1) < heat_of_evaporation(temperature)


@given(temperature=TEMPERATURES, ambient=st.floats(50_000, 110_000))
def test_gauge_and_absolute_differ_by_the_air(temperature, ambient):
    gauge = tank_gauge_pressure(temperature, ambient)

    assert gauge + ambient == pytest.approx(vapour_pressure(temperature), rel=1e-12)


def test_tank_shows_more_on_its_gauge_at_altitude():
    assert tank_gauge_pressure(244.26, 80_000.0) > tank_gauge_pressure(244.26)


@given(diameter=DIAMETERS, slenderness=SLENDERNESS)
def test_wetted_wall_grows_from_nothing_over_half_to_all(diameter, slenderness):
    length = diameter * slenderness
    wall = math.pi * diameter * length

    assert wetted_area(diameter, length, 0.0) == pytest.approx(0, abs=1e-8 * wall)
    assert wetted_area(diameter, length, 0.5) == pytest.approx(wall / 2, rel=1e-9)
    assert wetted_area(diameter, length, 1.0) == pytest.approx(wall, rel=1e-8)


@given(diameter=DIAMETERS, slenderness=SLENDERNESS, liquid=st.floats(1e-3, 1 - 1e-3))
def test_wetted_and_dry_wall_make_the_whole(diameter, slenderness, liquid):
    length = diameter * slenderness
    wetted = wetted_area(diameter, length, liquid)
    dry = wetted_area(diameter, length, 1 - liquid)

    assert wetted + dry == pytest.approx(math.pi * diameter * length, rel=1e-9)


@given(diameter=DIAMETERS, liquid=LIQUID)
def test_sphere_wets_by_its_cap(diameter, liquid):
    """Depth h of a cap with volume share f solves f = 3x² - 2x³, x = h/D; area is pi·D·h."""
    depth = wetted_area(diameter, diameter, liquid) / (math.pi * diameter) / diameter

    assert 3 * depth**2 - 2 * depth**3 == pytest.approx(liquid, abs=1e-9)


@given(
    diameter=DIAMETERS, slenderness=SLENDERNESS, liquid=st.floats(0.1, 0.59),
    air=st.floats(245, 265),
)  # fmt: skip
def test_fuller_and_warmer_tank_feeds_more(diameter, slenderness, liquid, air):
    length = diameter * slenderness
    now = vapour_capacity(diameter, length, liquid, air)

    assert vapour_capacity(diameter, length, liquid + 0.01, air) > now
    assert vapour_capacity(diameter, length, liquid, air + 1) > now


@given(diameter=DIAMETERS, slenderness=SLENDERNESS, liquid=RULE_LIQUID)
def test_rule_leaves_nothing_in_air_as_cold_as_it_lets_the_liquid_get(
    diameter, slenderness, liquid
):
    assert vapour_capacity(diameter, diameter * slenderness, liquid, 439.67 / 1.8) == 0


@given(
    diameter=DIAMETERS, slenderness=SLENDERNESS, liquid=LIQUID, air=st.floats(250, 330),
    chill=st.floats(1, 25), transfer=st.floats(1, 50),
)  # fmt: skip
def test_heat_through_the_wall_is_the_heat_the_vapour_took(
    diameter, slenderness, liquid, air, chill, transfer
):
    length = diameter * slenderness
    power = still_air_capacity(diameter, length, liquid, air, air - chill, transfer)
    boiled = power / GROSS_HEAT  # kg/s

    assert boiled * heat_of_evaporation(air - chill) == pytest.approx(
        transfer * wetted_area(diameter, length, liquid) * chill, rel=1e-9, abs=1e-9
    )


@given(diameter=DIAMETERS, slenderness=SLENDERNESS, liquid=RULE_LIQUID, air=RULE_AIR)
def test_still_air_feeds_less_than_the_rule(diameter, slenderness, liquid, air):
    tank = (diameter, diameter * slenderness, liquid, air)

    assert still_air_capacity(*tank) <= 0.45 * vapour_capacity(*tank)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: vapour_pressure(-20.0), "was a reading in °C or °F"),
        (lambda: tank_gauge_pressure(263.15, 0.0), "or reduced to sea level"),
        (lambda: wetted_area(38.0, 2.997, 0.3), "was it in inches or mm"),
        (lambda: wetted_area(2.997, 0.965, 0.3), "were the two swapped"),
        (lambda: wetted_area(0.965, 2.997, 30.0), "a gauge reading in per cent"),
        (lambda: vapour_capacity(2.997, 0.965, 0.3, 255.0), "were the two swapped"),
        (lambda: vapour_capacity(0.965, 2.997, 0.05, 255.0), "the rule begins at 10 %"),
        (lambda: vapour_capacity(0.965, 2.997, 0.3, 238.0), "the rule leaves nothing"),
        (lambda: vapour_capacity(0.965, 2.997, 0.3, 283.15), "give 266.48 K"),
        (lambda: still_air_capacity(0.965, 2.997, 0.3, 250.0, 260.0), "were the two swapped"),
        (lambda: still_air_capacity(0.965, 2.997, 0.3, 260.0, 250.0, 100.0), "Btu/"),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()
