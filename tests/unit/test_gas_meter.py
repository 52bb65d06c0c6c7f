"""Laws of clocking: the input by the meter, its corrections, and its uncertainty."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.gas_meter import (
    clocked_input,
    clocking_deviation,
    clocking_duration,
    clocking_turns,
    input_share,
    meter_factor,
)

VOLUMES = st.floats(0.001, 10)
DURATIONS = st.floats(2, 3600)
HEATS = st.floats(1e7, 1e8)
STATES = st.fixed_dictionaries(
    {
        "gas_temperature": st.floats(234, 333),
        "gauge_pressure": st.floats(-900, 200_000),
        "ambient_pressure": st.floats(50_000, 110_000),
        "reference_temperature": st.floats(273.15, 298.15),
        "reference_pressure": st.floats(95_000, 105_000),
    }
)
MARKS = st.floats(1e-6, 0.1)
PRESSES = st.floats(0.01, 2)
FLOWS = st.floats(1e-5, 0.01)
WANTED = st.floats(0.005, 0.1)


@given(volume=VOLUMES, duration=DURATIONS, heat=HEATS)
def test_meter_at_the_conditions_of_the_heating_value_needs_no_correction(volume, duration, heat):
    assert meter_factor() == 1
    assert clocked_input(volume, duration, heat) == pytest.approx(
        volume * heat / duration, rel=1e-12
    )


@given(volume=VOLUMES, duration=DURATIONS, heat=HEATS, state=STATES)
def test_corrections_multiply_the_input(volume, duration, heat, state):
    plain = clocked_input(volume, duration, heat)

    assert clocked_input(volume, duration, heat, **state) == pytest.approx(
        plain * meter_factor(**state), rel=1e-12
    )


@given(volume=VOLUMES, duration=DURATIONS, heat=HEATS, rated=st.floats(1e4, 1e6), state=STATES)
def test_share_times_rating_is_the_clocked_input(volume, duration, heat, rated, state):
    share = input_share(volume, duration, heat, rated, **state)

    assert share * rated == pytest.approx(clocked_input(volume, duration, heat, **state), rel=1e-12)


@given(state=STATES)
def test_colder_or_denser_gas_counts_for_more(state):
    before = meter_factor(**state)

    assert meter_factor(**{**state, "gas_temperature": state["gas_temperature"] - 0.8}) > before
    assert meter_factor(**{**state, "gauge_pressure": state["gauge_pressure"] - 90}) < before


@given(volume=VOLUMES, duration=DURATIONS, mark=MARKS, press=PRESSES)
def test_dial_and_stopwatch_add_in_squares(volume, duration, mark, press):
    both = clocking_deviation(volume, duration, mark, press)
    dial = clocking_deviation(volume, duration, mark, 0.0)
    watch = clocking_deviation(volume, duration, 0.0, press)

    assert both == pytest.approx(math.hypot(dial, watch), rel=1e-12)
    assert max(dial, watch) <= both


@given(flow=FLOWS, wanted=WANTED, mark=st.floats(1e-5, 0.003), press=st.floats(0.1, 1))
def test_clocking_for_the_needed_time_meets_what_was_wanted(flow, wanted, mark, press):
    duration = clocking_duration(flow, wanted, mark, press)
    volume = flow * duration

    if 1 <= duration <= 36_000 and 1e-4 <= volume <= 100:
        assert clocking_deviation(volume, duration, mark, press) == pytest.approx(wanted, rel=1e-9)


@given(flow=FLOWS, wanted=WANTED, mark=MARKS, press=PRESSES, turn=st.floats(0.001, 0.3))
def test_turns_are_whole_enough_and_not_one_too_many(flow, wanted, mark, press, turn):
    turns = clocking_turns(flow, wanted, mark, press, turn)
    needed = flow * clocking_duration(flow, wanted, mark, press)

    assert turns == int(turns) >= 1
    assert turns * turn >= needed * (1 - 1e-12)
    assert turns == 1 or (turns - 1) * turn < needed


def test_dial_without_marks_and_perfect_thumb_leave_no_doubt():
    assert clocking_deviation(0.028, 36.0, 0.0, 0.0) == 0


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: clocked_input(0.03, 36.0, 38.0), "was it in MJ/m³"),
        (lambda: clocked_input(0.03, 0.6, 38e6), "was a time in minutes"),
        (lambda: input_share(0.03, 36.0, 38e6, 30.0), "was it in kW or Btu/h"),
        (lambda: meter_factor(gas_temperature=5.0), "was a reading in °C or °F"),
        (lambda: meter_factor(gauge_pressure=303_000.0), "or an absolute pressure"),
        (lambda: meter_factor(ambient_pressure=1013.25), "was it in kPa, mbar or inHg"),
        (lambda: meter_factor(reference_temperature=60.0), "60 °F is 288.71 K"),
        (lambda: meter_factor(reference_pressure=14.73), "14.73 psi is 101 560 Pa"),
        (lambda: clocking_deviation(0.03, 36.0, 0.001, 300.0), "was it in milliseconds"),
        (lambda: clocking_duration(2.9, 0.01, 0.001, 0.3), "was it in m³/h or ft³/h"),
        (lambda: clocking_duration(8e-4, 1.0, 0.001, 0.3), "was a percentage passed"),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()
