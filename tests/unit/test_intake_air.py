"""What a fixed setting shows with air of another temperature."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.flue_gas import co2_from_o2, excess_air_ratio, fuel_line_gap
from engine.physics.fuels import FUELS
from engine.physics.intake_air import (
    co2_with_air_changed,
    density_factor,
    o2_with_air_changed,
    shifted_co2,
    shifted_excess_air_ratio,
    shifted_o2,
)

FUEL_NAMES = st.sampled_from(sorted(FUELS))
FLUE_O2 = st.floats(min_value=0.04, max_value=0.12)
KELVIN = st.floats(min_value=250.0, max_value=310.0)


@given(o2=FLUE_O2, one=KELVIN, other=KELVIN, fuel=FUEL_NAMES)
def test_there_and_back(o2, one, other, fuel):
    there = shifted_o2(o2, fuel, one, other)

    assert shifted_o2(there, fuel, other, one) == pytest.approx(o2, rel=0, abs=1e-12)


@given(o2=FLUE_O2, one=KELVIN, other=KELVIN, fuel=FUEL_NAMES)
def test_the_air_ratio_moves_with_the_root_of_temperature(o2, one, other, fuel):
    before = excess_air_ratio(o2, fuel)
    after = excess_air_ratio(shifted_o2(o2, fuel, one, other), fuel)

    assert after == pytest.approx(before * (one / other) ** 0.5, rel=1e-12)
    assert after == pytest.approx(shifted_excess_air_ratio(before, one, other), rel=1e-12)


@given(o2=FLUE_O2, one=KELVIN, other=KELVIN, fuel=FUEL_NAMES)
def test_both_readings_stay_on_the_fuel_line(o2, one, other, fuel):
    o2_after = shifted_o2(o2, fuel, one, other)
    co2_after = shifted_co2(co2_from_o2(o2, fuel), fuel, one, other)

    assert fuel_line_gap(o2_after, co2_after, fuel) == pytest.approx(0, abs=1e-12)


@given(o2=FLUE_O2, first=st.floats(0.95, 1.5), second=st.floats(0.95, 1.5), fuel=FUEL_NAMES)
def test_changes_of_the_air_multiply(o2, first, second, fuel):
    in_two = o2_with_air_changed(o2_with_air_changed(o2, fuel, first), fuel, second)

    assert o2_with_air_changed(o2, fuel, first * second) == pytest.approx(in_two, abs=1e-12)


@given(o2=FLUE_O2, colder=st.floats(1.0, 40.0), fuel=FUEL_NAMES)
def test_colder_air_is_leaner(o2, colder, fuel):
    assert shifted_o2(o2, fuel, 293.15, 293.15 - colder) > o2
    assert density_factor(293.15, 293.15 - colder) > 1


def test_warm_air_may_leave_too_little():
    """Set at -20 °C to 1 % O2 and drawn at 30 °C, nothing is left over."""
    assert shifted_excess_air_ratio(1.05, 253.15, 303.15) < 1
    with pytest.raises(OutOfRange, match=r"0\.96 of the air it needs: short of air"):
        shifted_o2(0.01, "natural_gas", 253.15, 303.15)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: shifted_co2(0.09, "natural_gas", 20.0, -20.0), "was a reading in °C or °F passed"),
        (lambda: shifted_excess_air_ratio(0.3, 290.0, 280.0), "was the excess air passed"),
        (lambda: co2_with_air_changed(0.09, "propane", 5.0), "was a percentage passed"),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()
