"""Sensors against what standards, data sheets and manuals print."""

import numpy as np
import pytest
from scipy.optimize import brentq

from engine.physics.ntc import (
    resistance_by_beta,
    resistance_by_data_sheet,
    resistance_by_steinhart_hart,
    temperature_by_beta,
    temperature_by_data_sheet,
    temperature_by_steinhart_hart,
)
from engine.physics.platinum import platinum_resistance, platinum_temperature, platinum_tolerance
from engine.physics.sensors import sensor_mismatch, sensor_resistance, sensor_temperature
from tests.published import Published, rows

ZERO = 273.15

# --- Platinum

IEC = "IEC 60751 table of Pt100, as a sensor maker's public page prints it"
PLATINUM = {
    -200: 18.52, -150: 39.72, -100: 60.26, -50: 80.31, -40: 84.27, -30: 88.22, -20: 92.16,
    -10: 96.09, 0: 100.00, 10: 103.90, 20: 107.79, 30: 111.67, 40: 115.54, 50: 119.40, 60: 123.24,
    70: 127.08, 80: 130.90, 90: 134.71, 100: 138.51, 150: 157.33, 200: 175.86, 250: 194.10,
    300: 212.05, 400: 247.09, 500: 280.98, 600: 313.71,
}  # fmt: skip


@pytest.mark.parametrize(("celsius", "ohms"), PLATINUM.items())
def test_platinum_meets_the_standard(celsius, ohms):
    """Half the last digit and a little: -160 °C is misprinted on that page and left out."""
    assert platinum_resistance(celsius + ZERO) == pytest.approx(ohms, rel=0, abs=0.00501)
    assert platinum_resistance(celsius + ZERO, 1000.0) == pytest.approx(
        10 * ohms, rel=0, abs=0.0501
    )


@pytest.mark.parametrize(("celsius", "ohms"), list(PLATINUM.items())[1:])
def test_platinum_temperature_is_the_root_that_scipy_finds(celsius, ohms):
    root = brentq(lambda kelvin: platinum_resistance(kelvin) - ohms, 73.15, 1123.15, xtol=1e-11)

    assert platinum_temperature(ohms) == pytest.approx(root, rel=0, abs=1e-9)
    assert root - ZERO == pytest.approx(celsius, rel=0, abs=0.017)  # half the last digit in kelvin


MANUAL_1000 = "manual of a condensing boiler, flue-gas sensor Pt1000"


@rows(
    *(
        Published({"temperature": celsius + ZERO}, ohms, 1.0, f"{MANUAL_1000}, {celsius} °C")
        for celsius, ohms in zip(
            range(-20, 121, 10),
            (
                922,
                961,
                1000,
                1039,
                1077,
                1116,
                1155,
                1194,
                1232,
                1270,
                1308,
                1347,
                1385,
                1423,
                1461,
            ),
            strict=True,
        )
    )
)
def test_pt1000_curve_meets_a_boiler_manual(row):
    """Within 1 ohm (0.26 K), not 0.5: the manual cuts 1270.8 and 1309.0 off."""
    assert sensor_resistance(**row.given, curve="pt1000") == pytest.approx(
        row.expected, rel=0, abs=row.within
    )


TOLERANCES = "IEC 60751:1995 table of tolerances, as a public sheet prints it"


@rows(
    *(
        Published(
            {"temperature": celsius + ZERO, "tolerance_class": kind}, kelvin, 0.051, TOLERANCES
        )
        for kind, printed in {
            "A": {-200: 0.55, -100: 0.35, 0: 0.15, 100: 0.35, 200: 0.55, 300: 0.75, 650: 1.45},
            "B": {-200: 1.3, 0: 0.3, 100: 0.8, 200: 1.3, 300: 1.8, 600: 3.3, 650: 3.6, 850: 4.6},
        }.items()
        for celsius, kelvin in printed.items()
    )
)
def test_tolerance_class_meets_the_standard(row):
    assert platinum_tolerance(**row.given) == pytest.approx(row.expected, rel=0, abs=row.within)


# --- NTC of 10 kohm, beta 3977 K

GUIDE = "reference guide of a sensor maker, R/R25 of the material with B25/85 3977 K"
RATIOS = {
    0: 3.264, 10: 1.990, 20: 1.249, 30: 0.8056, 40: 0.5325, 50: 0.3601, 60: 0.2487, 70: 0.1751,
    80: 0.1256, 85: 0.1070, 90: 0.09155, 100: 0.06781,
}  # fmt: skip
SHEET = (3.354016e-3, 2.569850e-4, 2.620131e-6, 6.383091e-8)  # data sheet, in many public programs
STEINHART = (1.129241e-3, 2.341077e-4, 8.775468e-8)  # driver code of a network device


@pytest.mark.parametrize(("celsius", "ratio"), RATIOS.items())
def test_table_curve_meets_the_guide(celsius, ratio):
    """Another maker's table of the same material: 0.14 % apart at most, 0.05 K, from rounding."""
    ohms = sensor_resistance(celsius + ZERO, "ntc_10k_3977")

    assert ohms == pytest.approx(1e4 * ratio, rel=0.0014)


@pytest.mark.parametrize(("celsius", "ratio"), RATIOS.items())
def test_data_sheet_coefficients_meet_the_guide(celsius, ratio):
    """Coefficients of an older edition: 0.06 K apart at 0 °C, 0.04 K at 100 °C."""
    found = temperature_by_data_sheet(1e4 * ratio, 1e4, *SHEET)

    assert found - ZERO == pytest.approx(celsius, rel=0, abs=0.065)


@pytest.mark.parametrize(("celsius", "ratio"), RATIOS.items())
def test_steinhart_hart_meets_the_guide(celsius, ratio):
    found = temperature_by_steinhart_hart(1e4 * ratio, *STEINHART)

    assert found - ZERO == pytest.approx(celsius, rel=0, abs=0.05)


@rows(
    Published({"celsius": 0}, 0.039, 5e-4, f"{GUIDE}: beta 3.9 % high at 0 °C"),
    Published({"celsius": 50}, -0.0105, 1e-4, f"{GUIDE}: beta 1.05 % low at 50 °C"),
    Published({"celsius": 100}, 0.010, 1e-3, f"{GUIDE}: beta 1.0 % high at 100 °C"),
)
def test_beta_equation_errs_as_much_as_it_is_said_to(row):
    celsius = row.given["celsius"]
    error = resistance_by_beta(celsius + ZERO, 1e4, 3977.0) / (1e4 * RATIOS[celsius]) - 1

    assert error == pytest.approx(row.expected, rel=0, abs=row.within)


def test_beta_equation_is_within_what_its_notes_say():
    celsius, ratios = np.array(list(RATIOS.items())).T
    error = temperature_by_beta(1e4 * ratios, 1e4, 3977.0) - ZERO - celsius

    assert 0.7 < np.abs(error).max() < 0.8


@pytest.mark.parametrize("celsius", [-40.0, 0.0, 25.0, 60.0, 110.0, 200.0])
def test_inverses_are_the_roots_that_scipy_finds(celsius):
    kelvin = celsius + ZERO
    sheet = brentq(lambda r: temperature_by_data_sheet(r, 1e4, *SHEET) - kelvin, 10, 2e6, xtol=1e-9)
    steinhart = brentq(
        lambda r: temperature_by_steinhart_hart(r, *STEINHART) - kelvin, 10, 2e6, xtol=1e-9
    )

    assert resistance_by_data_sheet(kelvin, 1e4, *SHEET) == pytest.approx(sheet, rel=1e-11)
    assert resistance_by_steinhart_hart(kelvin, *STEINHART) == pytest.approx(steinhart, rel=1e-11)


def test_second_set_of_data_sheet_coefficients_is_another_fit():
    """ln(R/R25) = -14.6337 + 4791.842/T - 115334/T² - 3.730535e6/T³, from the same data sheet."""
    kelvin = np.linspace(-40.0, 125.0, 34) + ZERO
    other = 1e4 * np.exp(
        -14.6337 + 4791.842 / kelvin - 115_334 / kelvin**2 - 3.730535e6 / kelvin**3
    )

    error = temperature_by_data_sheet(other, 1e4, *SHEET) - kelvin

    assert np.abs(error).max() < 0.03


# --- The table of curves against others' tables of the same sensor


LOGGER = "manual of a logger's thermistor probe"


@rows(
    Published({"celsius": -30}, 176_804.8, 200, LOGGER),
    Published({"celsius": -20}, 97_006.9, 60, LOGGER),
    Published({"celsius": -10}, 55_303.9, 20, LOGGER),
    Published({"celsius": 0}, 32_650.9, 2, LOGGER),
)
def test_ten_kiloohm_curve_meets_a_probe_below_freezing(row):
    """0.1 % apart (0.02 K) at -30 °C, nothing at 0 °C."""
    ohms = sensor_resistance(row.given["celsius"] + ZERO, "ntc_10k_3977")

    assert ohms == pytest.approx(row.expected, rel=0, abs=row.within)


@pytest.mark.parametrize(
    ("fahrenheit", "ohms"),
    {
        50: 19_900, 60: 15_311, 70: 11_883, 75: 10_501, 80: 9299, 85: 8250, 90: 7334, 95: 6532,
        100: 5828, 120: 3760, 140: 2490, 160: 1689, 170: 1403, 180: 1172, 190: 983, 200: 829,
        210: 703,
    }.items(),
)  # fmt: skip
def test_ten_kiloohm_curve_meets_a_boiler_control(fahrenheit, ohms):
    """Table in °F of a steam control's manual, the same in a boiler's manual; within 0.08 K.

    Ours is printed to whole ohms, up to 0.04 K at 100 °C.
    """
    kelvin = (fahrenheit - 32) / 1.8 + ZERO

    assert sensor_mismatch(float(ohms), kelvin, "ntc_10k_3977") == pytest.approx(0, abs=0.08)


@pytest.mark.parametrize("celsius", range(-30, 101, 5))
def test_twenty_kiloohm_curve_meets_another_makers_equation(celsius):
    """1/T = a + b·ln R + c·(ln R)² + d·(ln R)³ of another 20 kohm sensor; within 0.4 K."""
    log = np.log(sensor_resistance(celsius + ZERO, "ntc_20k_4260"))
    factors = (1.161040565152103e-3, 2.1040244086619213e-4, 2.8166933911320774e-7,
               8.42584228417612e-8)  # fmt: skip
    kelvin = 1 / sum(factor * log**power for power, factor in enumerate(factors))

    assert kelvin - ZERO == pytest.approx(celsius, rel=0, abs=0.4)


@pytest.mark.parametrize("celsius", range(-20, 101, 10))
def test_silicon_curve_meets_its_quadratic(celsius):
    """R = 1000·(1 + 0.007884·x + 0.00001874·x²), x from 25 °C, of the sensor's larger sister."""
    above = celsius - 25
    ohms = 1000 * (1 + 7.884e-3 * above + 1.874e-5 * above**2)

    assert sensor_mismatch(ohms, celsius + ZERO, "silicon_1k") == pytest.approx(0, abs=0.6)


BETAS = {
    "ntc_10k_3977": 3977, "ntc_10k_3695": 3695, "ntc_10k_3435": 3435, "ntc_12k_3740": 3740,
    "ntc_5k_3540": 3540, "ntc_20k_4260": 4262,
}  # fmt: skip


@pytest.mark.parametrize(("name", "beta"), BETAS.items())
def test_curve_has_the_beta_of_its_name(name, beta):
    """B25/85 as sellers give it (5 k: by its own table); 4 K is 0.1 %, tolerances are 0.5 %."""
    cold, hot = sensor_resistance(np.array([25.0, 85.0]) + ZERO, name)

    assert np.log(cold / hot) / (1 / 298.15 - 1 / 358.15) == pytest.approx(beta, rel=0, abs=4)


def test_five_kiloohm_curve_meets_a_service_page():
    """A boiler's return sensor, printed to two digits, here 0 to 70 °C; within 1.5 K."""
    celsius = np.arange(0.0, 71.0, 10.0)
    ohms = np.array([17_000.0, 10_200.0, 6300.0, 4000.0, 2600.0, 1700.0, 1200.0, 860.0])

    found = sensor_temperature(ohms, "ntc_5k_3960") - ZERO

    assert found == pytest.approx(celsius, rel=0, abs=1.5)
