"""Laws of gas through an orifice."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.orifice import orifice_diameter, orifice_flow

DIAMETERS = st.floats(1e-4, 0.01)
DROPS = st.floats(10, 5000)
DENSITIES = st.floats(0.1, 4)
COEFFICIENTS = st.floats(0.5, 1)


@given(diameter=DIAMETERS, drop=DROPS, density=DENSITIES, coefficient=COEFFICIENTS)
def test_hole_is_found_again_from_its_flow(diameter, drop, density, coefficient):
    flow = orifice_flow(diameter, drop, density, coefficient)

    assert orifice_diameter(flow, drop, density, coefficient) == pytest.approx(diameter, rel=1e-12)


@given(diameter=DIAMETERS, drop=st.floats(10, 1250), density=st.floats(0.4, 4))
def test_flow_follows_the_square_root_of_pressure_over_density(diameter, drop, density):
    flow = orifice_flow(diameter, drop, density)

    assert orifice_flow(diameter, 4 * drop, density) == pytest.approx(2 * flow, rel=1e-12)
    assert orifice_flow(diameter, drop, density / 4) == pytest.approx(2 * flow, rel=1e-12)
    assert orifice_flow(2 * diameter, drop, density) == pytest.approx(4 * flow, rel=1e-12)


@given(diameter=DIAMETERS, drop=DROPS, density=DENSITIES, coefficient=COEFFICIENTS)
def test_jet_carries_no_more_energy_than_the_pressure_gives(diameter, drop, density, coefficient):
    """Bernoulli: half density times mean speed squared is the coefficient squared of the drop."""
    speed = orifice_flow(diameter, drop, density, coefficient) / (math.pi / 4 * diameter**2)

    assert density * speed**2 / 2 == pytest.approx(coefficient**2 * drop, rel=1e-12)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: orifice_flow(0.84, 870.0, 0.74), "was it in mm or inches"),
        (lambda: orifice_flow(8.4e-4, 0.0, 0.74), "was it in kPa, mbar or inches of water"),
        (lambda: orifice_flow(8.4e-4, 13_800.0, 0.74), "the gas expands too much"),
        (lambda: orifice_flow(8.4e-4, 870.0, 0.0), "was it a density relative to air"),
        (lambda: orifice_flow(8.4e-4, 870.0, 0.74, 90.0), "was a percentage passed"),
        (lambda: orifice_diameter(3.083, 870.0, 0.74), "was it in m³/h, L/min or ft³/h"),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()
