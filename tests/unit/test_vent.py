"""The vent: friction, fittings, draught, and what flows in it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.atmosphere import air_density
from engine.physics.fuels import FUELS
from engine.physics.vent import (
    FITTINGS,
    equivalent_length,
    friction_factor,
    stack_draught,
    vent_pressure_drop,
)
from engine.physics.vent_gas import flue_gas_density, flue_gas_flow, intake_air_flow

FUEL_NAMES = st.sampled_from(sorted(FUELS))
RUN = {
    "volume_flow": 0.011, "diameter": 0.08, "length": 15.0, "loss_coefficient": 1.5,
    "gas_density": 1.05, "gas_viscosity": 1.8e-5,
}  # fmt: skip


# --- friction


@given(reynolds=st.floats(2301.0, 1e7), rough=st.floats(0.0, 0.05))
def test_colebrook_is_solved_to_the_last_digits(reynolds, rough):
    factor = friction_factor(reynolds, rough)

    right = -2 * np.log10(rough / 3.7 + 2.51 / (reynolds * factor**0.5))
    assert factor**-0.5 == pytest.approx(right, rel=1e-12)


@given(reynolds=st.floats(20.0, 2300.0), rough=st.floats(0.0, 0.05))
def test_laminar_flow_does_not_feel_the_wall(reynolds, rough):
    assert friction_factor(reynolds, rough) == pytest.approx(64 / reynolds, rel=1e-14)


@given(reynolds=st.floats(2301.0, 9e6), rough=st.floats(0.0, 0.049))
def test_rougher_costs_more_and_faster_has_the_smaller_factor(reynolds, rough):
    here = friction_factor(reynolds, rough)

    assert friction_factor(reynolds, rough + 1e-3) > here
    assert friction_factor(1.1 * reynolds, rough) < here


# --- the run


@given(length=st.floats(0, 100), diameter=st.floats(0.05, 0.3), count=st.integers(0, 10))
def test_fittings_add_up_by_diameters(length, diameter, count):
    plain_run = equivalent_length(length, diameter, {})

    assert plain_run == length
    for name, diameters in FITTINGS.items():
        assert equivalent_length(length, diameter, {name: count}) == pytest.approx(
            length + count * diameters * diameter
        )


def test_a_run_without_length_or_losses_costs_nothing():
    assert vent_pressure_drop(**{**RUN, "length": 0.0, "loss_coefficient": 0.0}) == 0


@given(parts=st.integers(2, 6))
def test_pipes_in_a_row_add_up(parts):
    whole = vent_pressure_drop(**{**RUN, "loss_coefficient": 0.0})
    part = vent_pressure_drop(**{**RUN, "loss_coefficient": 0.0, "length": 15.0 / parts})

    assert parts * part == pytest.approx(whole, rel=1e-12)


def test_turbulent_drop_goes_nearly_with_the_square_of_the_flow():
    """Between 1.75 (Blasius, smooth pipe) and 2 (losses of velocity head)."""
    twice = vent_pressure_drop(**{**RUN, "volume_flow": 0.022})

    assert 2**1.75 < twice / vent_pressure_drop(**RUN) < 2**2


def test_half_the_bore_costs_some_thirty_times_as_much():
    narrow = vent_pressure_drop(**{**RUN, "diameter": 0.04, "loss_coefficient": 0.0})
    wide = vent_pressure_drop(**{**RUN, "loss_coefficient": 0.0})

    assert 2**4.75 * 0.95 < narrow / wide < 2**5  # Blasius: D^-4.75


# --- what flows


@given(o2=st.floats(0.0, 0.15), fuel=FUEL_NAMES, kelvin=st.floats(340.0, 500.0))
def test_mass_is_kept_from_intake_to_vent(o2, fuel, kelvin):
    """Hot enough that nothing condenses: what leaves is air and fuel."""
    flue = flue_gas_flow(30e3, kelvin, o2, fuel) * flue_gas_density(kelvin, o2, fuel)
    air = intake_air_flow(30e3, 288.15, o2, fuel) * air_density(288.15)
    burnt = 30e3 / FUELS[fuel].gross_heat * FUELS[fuel].molar_mass

    # 1e-4: molar mass of air is 28.9644 in the atmosphere's standard, 28.9655 in the fuels'.
    assert flue == pytest.approx(air + burnt, rel=1e-4)


@given(o2=st.floats(0.0, 0.15), fuel=FUEL_NAMES, water=st.floats(0.0, 0.03))
def test_cold_flue_gas_is_saturated_whatever_the_air_brings(o2, fuel, water):
    """Below the dew point more water in the air means more condensate, not more gas."""
    dry_air = flue_gas_density(293.15, o2, fuel)

    assert flue_gas_density(293.15, o2, fuel, air_humidity=water) == pytest.approx(
        dry_air, rel=1e-12
    )


@given(o2=st.floats(0.0, 0.15), fuel=FUEL_NAMES)
def test_twice_the_input_is_twice_the_flow(o2, fuel):
    assert flue_gas_flow(40e3, 330.0, o2, fuel) == pytest.approx(
        2 * flue_gas_flow(20e3, 330.0, o2, fuel), rel=1e-12
    )


# --- draught


@given(height=st.floats(0.1, 50), warmer=st.floats(15.0, 60.0), out=st.floats(250.0, 290.0))
def test_a_warm_column_draws_up_and_works_against_a_vent_that_runs_down(height, warmer, out):
    flue = max(out + warmer, 275.0)
    up = stack_draught(height, flue, out, 0.05, "natural_gas")

    assert up > 0
    assert up == pytest.approx(
        -stack_draught(-min(height, 20), flue, out, 0.05, "natural_gas") * height / min(height, 20)
    )


def test_draught_shrinks_with_the_pressure_of_the_place():
    low = stack_draught(8.0, 400.0, 270.0, 0.05, "natural_gas", 101_325.0)
    high = stack_draught(8.0, 400.0, 270.0, 0.05, "natural_gas", 0.8 * 101_325.0)

    assert high == pytest.approx(0.8 * low, rel=1e-12)


# --- refusals


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: friction_factor(1e5, 0.15), "was the roughness in mm and the diameter in m"),
        (lambda: vent_pressure_drop(**{**RUN, "diameter": 80.0}), "in mm or inches passed"),
        (lambda: vent_pressure_drop(**{**RUN, "gas_viscosity": 18.0}), "or in µPa·s"),
        (lambda: equivalent_length(10.0, 0.08, {"elbow90": 1}), "write 'elbow_90'"),
        (lambda: equivalent_length(10.0, 0.08, {"elbow_90": -1}), "number of fittings must be"),
        (lambda: stack_draught(8.0, 50.0, 263.15, 0.05, "natural_gas"), "in °C or °F passed"),
        (lambda: flue_gas_flow(30.0, 323.15, 0.05, "natural_gas"), "was it in kW or Btu/h"),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()
