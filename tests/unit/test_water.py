"""Laws of the water side: output, flow and rise agree, glycol carries less and freezes later."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.water import flow_for_output, heat_output, rise_for_flow
from engine.physics.water_properties import (
    GLYCOLS,
    freeze_margin,
    freezing_point,
    glycol_named,
    water_density,
    water_heat_capacity,
)

KINDS = st.sampled_from(sorted(GLYCOLS))
SHARES = st.one_of(st.just(0.0), st.floats(0.01, 0.55))
FLOWS = st.floats(1e-5, 5e-3)
COLD = st.floats(280.0, 330.0)
RISES = st.floats(1.0, 40.0)
EVERY_GLYCOL = pytest.mark.parametrize("glycol", GLYCOLS)


@given(flow=FLOWS, cold=COLD, rise=RISES, share=SHARES, glycol=KINDS)
def test_output_flow_and_rise_agree(flow, cold, rise, share, glycol):
    heat = heat_output(flow, cold + rise, cold, share, glycol)

    if heat >= 100:
        assert flow_for_output(heat, cold + rise, cold, share, glycol) == pytest.approx(
            flow, rel=1e-12
        )
        assert rise_for_flow(heat, flow, cold, share, glycol) == pytest.approx(rise, rel=1e-10)


@given(flow=FLOWS, cold=COLD, rise=RISES, glycol=KINDS)
def test_output_doubles_with_the_flow(flow, cold, rise, glycol):
    assert heat_output(2 * flow, cold + rise, cold, 0.3, glycol) == pytest.approx(
        2 * heat_output(flow, cold + rise, cold, 0.3, glycol), rel=1e-12
    )


@EVERY_GLYCOL
def test_more_glycol_freezes_later_is_denser_and_holds_less_heat(glycol):
    shares = np.linspace(0.02, 0.55, 54)

    assert np.all(np.diff(freezing_point(shares, glycol)) < 0)
    assert np.all(np.diff(water_density(293.15, shares, glycol)) > 0)
    assert np.all(np.diff(water_heat_capacity(293.15, shares, glycol)) < 0)


@EVERY_GLYCOL
def test_mixture_with_next_to_no_glycol_is_water(glycol):
    """The formulas of the mixtures were not fitted to water, yet end within 0.2 % of it."""
    kelvins = np.linspace(274.15, 373.15, 100)

    for property_of in (water_density, water_heat_capacity):
        assert property_of(kelvins, 1e-6, glycol) == pytest.approx(property_of(kelvins), rel=2e-3)
    assert freezing_point(1e-6, glycol) == pytest.approx(273.15, abs=0.03)


def test_water_is_densest_at_four_degrees():
    kelvins = np.linspace(273.15, 283.15, 1001)

    assert kelvins[water_density(kelvins).argmax()] - 273.15 == pytest.approx(3.98, abs=0.02)


def test_no_glycol_freezes_at_zero():
    assert freezing_point(0.0) == 273.15
    assert freeze_margin(272.15, 0.0) == -1.0


@given(share=st.floats(0.0, 0.5), glycol=KINDS, coldest=st.floats(230.0, 300.0))
def test_margin_is_the_distance_to_freezing(share, glycol, coldest):
    assert freeze_margin(coldest, share, glycol) == pytest.approx(
        coldest - freezing_point(share, glycol), abs=1e-12
    )


def test_shares_and_temperatures_broadcast():
    heat = heat_output(3e-4, np.array([[343.15], [333.15]]), 323.15, np.array([0.0, 0.3, 0.5]))

    assert heat.shape == (2, 3)
    assert np.all(np.diff(heat, axis=1) < 0)
    assert heat[0, 1] == heat_output(3e-4, 343.15, 323.15, 0.3)


def test_glycol_is_taken_as_it_is():
    own = GLYCOLS["ethylene_glycol"]

    assert glycol_named(own) is own
    assert freezing_point(0.3, own) == freezing_point(0.3, "ethylene_glycol")


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: heat_output(20.0, 343.15, 323.15), "was it in L/min"),
        (lambda: heat_output(0.0, 343.15, 323.15), "does the pump stand still"),
        (lambda: heat_output(3e-4, 70.0, 50.0), "was a reading in °C or °F"),
        (lambda: heat_output(3e-4, 323.15, 343.15), "are flow and return swapped"),
        (lambda: heat_output(3e-4, 343.15, 323.15, 30.0), "was a percentage passed"),
        (lambda: heat_output(3e-4, 380.15, 343.15, 0.3), "with glycol the temperature must be"),
        (lambda: heat_output(3e-4, 343.15, 323.15, 0.3, "glycerol"), "is not known; write"),
        (lambda: heat_output(3e-4, 343.15, 323.15, 0.3, None), "or 'ethylene_glycol'"),
        (lambda: flow_for_output(25e3, 323.25, 323.15), "error of two thermometers"),
        (lambda: flow_for_output(25.0, 343.15, 323.15), "was it in kW"),
        (lambda: rise_for_flow(25e3, 2e-5, 323.15), "would make the water .* hardly turn"),
        (lambda: rise_for_flow(25e3, 3e-4, 263.15), "this is ice; is the glycol share right"),
        (lambda: water_density(263.15, 0.1), "at -10.0 °C this is ice"),
        (lambda: water_density(np.array([283.15, 263.15]), 0.1), "at -10.0 °C this is ice"),
        (lambda: freeze_margin(-20.0, 0.3), "was a reading in °C or °F"),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()
