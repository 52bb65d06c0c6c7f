"""What the doubt of readings leaves of a figure: closed forms, the GUM's own example, and draws."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from uncertainties import ufloat

from engine.errors import OutOfRange
from engine.physics.carbon_monoxide import co_air_free
from engine.physics.flue_gas import fuel_line_gap
from engine.physics.propagation import propagate
from tests.published import Published, rows

GUM = "JCGM 100:2008 (GUM), H.1, end gauge, as printed in the documentation of GTC"

DEVIATION = st.floats(1e-3, 0.5)
VALUE = st.floats(0.1, 1000)


# --- closed forms -------------------------------------------------------------------------------


@given(a=VALUE, b=VALUE, of_a=DEVIATION, of_b=DEVIATION, slope=st.floats(-50, 50))
def test_a_straight_line_adds_in_squares(a, b, of_a, of_b, slope):
    value, deviation = propagate(
        lambda a, b: a + slope * b, {"a": ufloat(a, of_a), "b": ufloat(b, of_b)}
    )
    assert value == pytest.approx(a + slope * b)
    assert deviation == pytest.approx(math.hypot(of_a, slope * of_b), rel=1e-5)


@given(a=VALUE, b=VALUE, of_a=DEVIATION, of_b=DEVIATION)
def test_of_a_quotient_the_relative_doubts_add_in_squares(a, b, of_a, of_b):
    value, deviation = propagate(lambda a, b: a / b, {"a": ufloat(a, of_a), "b": ufloat(b, of_b)})
    assert deviation / value == pytest.approx(math.hypot(of_a / a, of_b / b), rel=1e-5)


@given(x=st.floats(-5, 5), of_x=DEVIATION)
def test_a_power_of_e_carries_its_own_size(x, of_x):
    assert propagate(lambda x: math.exp(x), {"x": ufloat(x, of_x)})[1] == pytest.approx(
        math.exp(x) * of_x, rel=1e-5
    )


@given(value=VALUE, exact=VALUE)
def test_what_is_exact_leaves_no_doubt(value, exact):
    assert propagate(lambda a, b: a * b, {"a": value, "b": exact}) == (value * exact, 0.0)


# --- correlation --------------------------------------------------------------------------------


@given(x=VALUE, of_x=DEVIATION)
def test_one_reading_given_twice_moves_together(x, of_x):
    reading = ufloat(x, of_x)
    assert propagate(lambda a, b: a - b, {"a": reading, "b": reading})[1] == pytest.approx(
        0, abs=1e-6 * of_x
    )
    assert propagate(lambda a, b: a + b, {"a": reading, "b": reading})[1] == pytest.approx(
        2 * of_x, rel=1e-5
    )


def test_two_readings_of_the_same_figures_do_not():
    two = {"a": ufloat(5.0, 0.3), "b": ufloat(5.0, 0.4)}
    assert propagate(lambda a, b: a - b, two)[1] == pytest.approx(0.5, rel=1e-6)


def test_a_shared_zero_error_cancels_in_a_difference():
    """Both pressures carry the gauge's zero (0.2); only what is each one's own (0.1) is left."""
    zero = ufloat(0.0, 0.2)
    two = {"static": ufloat(20.0, 0.1) + zero, "running": ufloat(18.0, 0.1) + zero}
    value, deviation = propagate(lambda static, running: static - running, two)
    assert value == pytest.approx(2.0)
    assert deviation == pytest.approx(math.hypot(0.1, 0.1), rel=1e-6)


# --- the Guide's own example --------------------------------------------------------------------

END_GAUGE = {  # value and standard uncertainty [nm, K, 1/K]
    "standard": (50_000_623.0, 25.0),
    "difference": (215.0, 9.7),
    "expansion": (11.5e-6, 1.2e-6),
    "off_20": (-0.1, 0.41),
    "expansions_apart": (0.0, 0.58e-6),
    "temperatures_apart": (0.0, 0.029),
}


def end_gauge(standard, difference, expansion, off_20, expansions_apart, temperatures_apart):
    """Length of an end gauge at 20 °C, equation (H.3)."""
    return (
        standard
        + difference
        - standard * (expansions_apart * off_20 + expansion * temperatures_apart)
    )


@rows(
    Published({"result": 0}, 50_000_838, 0.5, f"{GUM}, length in nm"),
    Published({"result": 1}, 32, 0.5, f"{GUM}, u_c in nm"),
)
def test_the_end_gauge_of_the_guide(row):
    arguments = {name: ufloat(*given) for name, given in END_GAUGE.items()}
    assert propagate(end_gauge, arguments)[row.given["result"]] == pytest.approx(
        row.expected, rel=0, abs=row.within
    )


# --- draws --------------------------------------------------------------------------------------


def test_a_calculation_of_the_house_meets_draws():
    """200 000 draws: 1 % is left for the draws and for the bend of CO air-free."""
    value, deviation = propagate(co_air_free, {"co": ufloat(80e-6, 4e-6), "o2": ufloat(0.05, 1e-3)})
    dice = np.random.default_rng(7)
    drawn = co_air_free(co=dice.normal(80e-6, 4e-6, 200_000), o2=dice.normal(0.05, 1e-3, 200_000))
    assert value == pytest.approx(np.mean(drawn), rel=1e-3)
    assert deviation == pytest.approx(np.std(drawn), rel=0.01)


def test_what_is_no_number_is_handed_on_untouched():
    fuel = object()
    seen = []

    def remembers(x, fuel):
        seen.append(fuel)
        return 2 * x

    assert propagate(remembers, {"fuel": fuel, "x": ufloat(1.0, 0.1)}) == (
        2.0,
        pytest.approx(0.2, rel=1e-6),
    )
    assert set(seen) == {fuel}


def test_the_fuel_may_be_named():
    arguments = {"o2": ufloat(0.05, 1e-3), "co2": ufloat(0.09, 1.5e-3), "fuel": "natural_gas"}
    value, deviation = propagate(fuel_line_gap, arguments)
    assert value == fuel_line_gap(o2=0.05, co2=0.09, fuel="natural_gas")
    dice = np.random.default_rng(8)
    drawn = fuel_line_gap(
        o2=dice.normal(0.05, 1e-3, 200_000),
        co2=dice.normal(0.09, 1.5e-3, 200_000),
        fuel="natural_gas",
    )
    assert deviation == pytest.approx(np.std(drawn), rel=0.01)


# --- at the edge of what a calculation takes ----------------------------------------------------


def from_nothing(x, y=0.0):
    if x < 0:
        raise OutOfRange("below nothing")
    return 3 * x + y


def test_at_the_edge_the_side_that_is_left_counts():
    assert propagate(from_nothing, {"x": ufloat(0.0, 0.1)}) == (0.0, pytest.approx(0.3))


def test_at_the_edge_the_other_readings_still_add_in_squares():
    arguments = {"x": ufloat(0.0, 0.1), "y": ufloat(1.0, 0.4)}
    assert propagate(from_nothing, arguments)[1] == pytest.approx(0.5)


def test_at_the_edge_one_reading_given_twice_still_moves_together():
    reading = ufloat(0.0, 0.1)
    assert propagate(from_nothing, {"x": reading, "y": reading})[1] == pytest.approx(0.4)
    assert propagate(from_nothing, {"x": reading, "y": -3 * reading})[1] == pytest.approx(
        0, abs=1e-9
    )


@given(x=st.floats(0, 1), of_x=st.floats(1e-3, 0.5))
def test_near_the_edge_doubt_is_that_of_the_slope(x, of_x):
    assert propagate(from_nothing, {"x": ufloat(x, of_x)})[1] == pytest.approx(3 * of_x, rel=1e-5)


def test_a_refused_middle_is_refused():
    with pytest.raises(OutOfRange, match="below nothing"):
        propagate(from_nothing, {"x": ufloat(-1.0, 0.1)})


@given(value=st.floats(-10, 10), deviation=st.floats(0.01, 1))
def test_where_neither_side_is_left_the_value_is_refused(value, deviation):
    def at_one_point(x):
        if x != value:
            raise OutOfRange("only here")
        return x

    assume(value + deviation != value)
    with pytest.raises(OutOfRange, match="measure again"):
        propagate(at_one_point, {"x": ufloat(value, deviation)})
