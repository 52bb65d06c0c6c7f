"""Laws of temperature sensors: there and back, falling or rising, open and short recognised."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.errors import OutOfRange
from engine.physics.ntc import (
    resistance_by_beta,
    resistance_by_data_sheet,
    resistance_by_steinhart_hart,
    temperature_by_beta,
    temperature_by_data_sheet,
    temperature_by_steinhart_hart,
)
from engine.physics.platinum import platinum_resistance, platinum_temperature, platinum_tolerance
from engine.physics.sensor_curves import CURVES, Curve, curve_named, temperature_by_table
from engine.physics.sensors import (
    curves_by_fit,
    sensor_mismatch,
    sensor_resistance,
    sensor_temperature,
)

STEINHART = (1.129241e-3, 2.341077e-4, 8.775468e-8)
SHEET = (3.354016e-3, 2.569850e-4, 2.620131e-6, 6.383091e-8)
NAMES = st.sampled_from(sorted(CURVES))
EVERY_CURVE = pytest.mark.parametrize("name", CURVES)


def ends(name):
    return CURVES[name].points[0][0], CURVES[name].points[-1][0]


# --- Equations


@given(kelvin=st.floats(210.0, 620.0), r25=st.floats(100.0, 1e5), beta=st.floats(2500.0, 4500.0))
def test_beta_there_and_back(kelvin, r25, beta):
    ohms = resistance_by_beta(kelvin, r25, beta)

    if ohms <= 1e7:
        assert temperature_by_beta(ohms, r25, beta) == pytest.approx(kelvin, rel=1e-12)


@given(kelvin=st.floats(200.0, 620.0))
def test_steinhart_hart_there_and_back(kelvin):
    ohms = resistance_by_steinhart_hart(kelvin, *STEINHART)

    assert temperature_by_steinhart_hart(ohms, *STEINHART) == pytest.approx(kelvin, rel=1e-12)


@given(kelvin=st.floats(215.0, 520.0))
def test_data_sheet_there_and_back(kelvin):
    ohms = resistance_by_data_sheet(kelvin, 1e4, *SHEET)

    assert temperature_by_data_sheet(ohms, 1e4, *SHEET) == pytest.approx(kelvin, rel=1e-12)


def test_data_sheet_form_with_two_coefficients_is_the_beta_equation():
    ohms = np.geomspace(100.0, 1e6, 20)
    sheet = temperature_by_data_sheet(ohms, 1e4, 1 / 298.15, 1 / 3977.0, 0.0, 0.0)

    assert sheet == pytest.approx(temperature_by_beta(ohms, 1e4, 3977.0), rel=1e-12)


@given(celsius=st.floats(-200.0, 850.0), nominal=st.sampled_from([100.0, 500.0, 1000.0]))
def test_platinum_there_and_back(celsius, nominal):
    kelvin = celsius + 273.15

    found = platinum_temperature(platinum_resistance(kelvin, nominal), nominal)

    assert found == pytest.approx(kelvin, rel=0, abs=1e-9)


def test_platinum_rises_all_the_way_and_has_no_kink_at_freezing():
    kelvins = np.linspace(73.15, 1123.15, 2001)
    slopes = np.diff(platinum_resistance(kelvins)) / np.diff(kelvins)

    assert np.all(slopes > 0.28)
    assert np.all(np.diff(slopes) < 0)


@given(celsius=st.floats(-200.0, 650.0))
def test_class_a_is_narrower_than_class_b(celsius):
    kelvin = celsius + 273.15

    assert platinum_tolerance(kelvin, "A") < platinum_tolerance(kelvin, "B")


# --- Tables


@given(name=NAMES, place=st.floats(0.0, 1.0))
def test_curve_there_and_back(name, place):
    low, high = ends(name)
    kelvin = low + place * (high - low)

    found = sensor_temperature(sensor_resistance(kelvin, name), name)

    assert found == pytest.approx(kelvin, rel=1e-10)


@EVERY_CURVE
def test_curve_passes_through_its_rows(name):
    kelvins, ohms = np.array(CURVES[name].points).T

    assert sensor_resistance(kelvins, name) == pytest.approx(ohms, rel=1e-12)
    assert sensor_temperature(ohms, name) == pytest.approx(kelvins, rel=1e-12)


@EVERY_CURVE
def test_curve_falls_or_rises_as_its_name_says(name):
    steps = np.diff(sensor_resistance(np.linspace(*ends(name), 1000), name))

    assert np.all(steps < 0 if name.startswith("ntc") else steps > 0)


@EVERY_CURVE
def test_curve_has_no_slip_of_the_pen(name):
    """Beta changes by under 7 % from row to row; more is a misprint or a slip in typing."""
    kelvins, ohms = np.array(CURVES[name].points).T
    slope = np.diff(np.log(ohms)) / np.diff(1 / kelvins)

    assert np.abs(np.diff(slope) / slope[1:]).max() < 0.07


@EVERY_CURVE
def test_curve_says_where_its_table_was_seen(name):
    assert CURVES[name].source


@pytest.mark.parametrize("nominal", [100, 1000])
def test_platinum_curve_is_the_equation_within_a_fiftieth_of_a_kelvin(nominal):
    kelvins = np.linspace(223.15, 573.15, 3001)
    ohms = platinum_resistance(kelvins, float(nominal))

    assert sensor_mismatch(ohms, kelvins, f"pt{nominal}") == pytest.approx(0, abs=0.02)


def test_rows_ten_kelvin_apart_are_close_enough():
    """The promise of the notes, with the cubic equation as the curve in between."""
    kelvins = np.arange(253.15, 374.0, 10.0)
    rows = tuple(zip(kelvins, resistance_by_steinhart_hart(kelvins, *STEINHART), strict=True))
    between = np.linspace(253.15, 373.15, 2000)

    found = temperature_by_table(resistance_by_steinhart_hart(between, *STEINHART), rows)

    assert np.abs(found - between).max() < 0.05


# --- Comparison


@given(name=NAMES, place=st.floats(0.05, 0.95), off=st.floats(-3.0, 3.0))
def test_mismatch_is_what_the_sensor_is_off(name, place, off):
    low, high = ends(name)
    kelvin = low + place * (high - low)
    if low <= kelvin + off <= high:
        ohms = sensor_resistance(kelvin + off, name)
        assert sensor_mismatch(ohms, kelvin, name) == pytest.approx(off, abs=1e-9)


@pytest.mark.parametrize("name", sorted(set(CURVES) - {"ntc_5k_3960"}))
def test_right_curve_fits_best_when_the_water_is_hot(name):
    fits = curves_by_fit(sensor_resistance(343.15, name), 343.15)

    assert fits[0].curve == name
    assert [abs(fit.mismatch) for fit in fits] == sorted(abs(fit.mismatch) for fit in fits)


def test_cold_water_does_not_tell_ten_kiloohm_sensors_apart():
    fits = curves_by_fit(10_000.0, 298.15)

    assert {fit.curve for fit in fits if abs(fit.mismatch) < 0.1} == {
        "ntc_10k_3977",
        "ntc_10k_3695",
        "ntc_10k_3435",
    }


def test_makers_own_table_is_taken_as_a_curve():
    own = Curve("own", ((293.15, 12_490.0), (303.15, 8057.0)), "its manual")

    assert curve_named(own) is own
    assert 293.15 < sensor_temperature(10_000.0, own) < 303.15


@pytest.mark.parametrize(
    "points",
    [
        (),
        ((293.15, 1000.0),),
        ((293.15, 1000.0), (283.15, 1200.0)),
        ((283.15, 1200.0), (293.15, 1000.0), (303.15, 1100.0)),
        ((283.15, 0.0), (293.15, 1000.0)),
        ((283.15, 1200.0), (293.15, float("nan"))),
        ((1.0, 2.0, 3.0), (4.0, 5.0, 6.0)),
    ],
)
def test_what_is_no_table_is_refused(points):
    with pytest.raises(OutOfRange, match="a sensor's table needs two rows or more"):
        Curve("own", points, "its manual")


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: sensor_temperature(5e6, "ntc_10k_3977"), "an open circuit"),
        (lambda: sensor_temperature(float("inf"), "ntc_10k_3977"), "OL or a lone 1"),
        (lambda: sensor_temperature(2.0, "ntc_10k_3977"), "a short circuit"),
        (lambda: sensor_temperature(0.0, "pt1000"), "a short circuit"),
        (lambda: sensor_temperature(9e5, "pt1000"), "this sensor shows at 300 °C; an open"),
        (lambda: sensor_temperature(2500.0, "ntc_10k_3976"), "write 'ntc_10k_3977'"),
        (lambda: sensor_temperature(2500.0, None), "write one of ntc_10k_3977"),
        (lambda: sensor_resistance(60.0, "ntc_10k_3977"), "was a reading in °C or °F"),
        (lambda: sensor_mismatch(2500.0, 60.0, "ntc_10k_3977"), "was a reading in °C or °F"),
        (lambda: curves_by_fit(9e6, 333.15), "no known sensor shows .* an open circuit"),
        (lambda: curves_by_fit(1.0, 333.15), "a low one a short"),
        (lambda: temperature_by_beta(0.0, 1e4, 3977.0), "a short circuit"),
        (lambda: temperature_by_beta(5.0, 1e6, 1000.0), "belong to one sensor"),
        (lambda: temperature_by_beta(2500.0, 1e4, 3977.0, 25.0), "was it in °C"),
        (lambda: temperature_by_beta(2500.0, 1e4, 10_500.0), "was R25 passed"),
        (lambda: resistance_by_beta(25.0, 1e4, 3977.0), "was a reading in °C"),
        (lambda: temperature_by_steinhart_hart(1e4, *STEINHART[::-1]), "of this form"),
        (lambda: temperature_by_data_sheet(1e7, 1e3, *SHEET), "is the lead open or shorted"),
        (lambda: temperature_by_data_sheet(1e4, 1e4, *SHEET[:3], -9e-6), "turns back"),
        (lambda: resistance_by_data_sheet(173.15, 1e4, *SHEET), "belong to this sensor"),
        (lambda: platinum_temperature(1385.0), "open circuit"),
        (lambda: platinum_temperature(1.0), "below a short circuit"),
        (lambda: platinum_resistance(60.0), "was a reading in °C"),
        (lambda: platinum_tolerance(1100.0, "A"), "class A sensor must be"),
        (lambda: platinum_tolerance(333.15, "C"), "write 'A' or 'B'"),
    ],
)
def test_refusal_names_the_likely_slip(call, says):
    with pytest.raises(OutOfRange, match=says):
        call()


def test_a_series_of_readings_is_ranked_one_by_one():
    several = curves_by_fit(np.array([2500.0, 3252.0]), 333.15)

    assert several.shape == (2,)
    assert list(several) == [curves_by_fit(ohms, 333.15) for ohms in (2500.0, 3252.0)]
    assert several[0][0].curve != several[1][0].curve
