"""Saturation, air humidity and dew point against printed tables and three libraries of water.

Published errors that are *not* used as checks: a web "sample dew point" with 18.6 % water in the
flue gas of methane at 9.15 % CO2 (it is 15.5 %, tested below); a handbook-style web table that
gives wet CO2 (9.5 %) where users compare dry readings (11.7 %, tested below); a calculator page
that says the air-free figure of CO removes moisture (it removes excess air).
"""

import CoolProp.CoolProp as coolprop
import iapws
import numpy as np
import psychrolib
import pytest

from engine.physics.flue_gas import co2_from_o2, o2_from_co2, water_share
from engine.physics.fuels import FUELS, Fuel
from engine.physics.moisture import (
    air_humidity,
    flue_dew_point,
    saturation_pressure,
    saturation_temperature,
)
from tests.published import Published, rows
from tests.reference.burners import Burner

METHANE = Fuel("methane", {"CH4": 1.0})
SEA_LEVEL = 101_325.0
AT_2000_M = 79_501.0  # ISO 2533, standard atmosphere
# psychrolib counts humidity by mass, with this ratio of molar masses.
BY_MASS = 0.621945

psychrolib.SetUnitSystem(psychrolib.SI)


# --- saturation


@rows(
    Published({"temperature": 300.0}, 0.353658941e4, 5e-6, "IAPWS R7-97 (2012) table 35, 300 K"),
    Published({"temperature": 500.0}, 0.263889776e7, 5e-3, "IAPWS R7-97 (2012) table 35, 500 K"),
    Published({"temperature": 600.0}, 0.123443146e8, 5e-2, "IAPWS R7-97 (2012) table 35, 600 K"),
    Published({"temperature": 230.0}, 8.94735, 5e-6, "IAPWS R14-08(2011) table 3, sublimation"),
)
def test_saturation_pressure_meets_published_value(row):
    assert saturation_pressure(**row.given) == pytest.approx(row.expected, rel=0, abs=row.within)


@rows(
    Published({"absolute_pressure": 1e5}, 0.372755919e3, 5e-7,
              "IAPWS R7-97 (2012) table 36, 1 bar"),
    Published({"absolute_pressure": 1e6}, 0.453035632e3, 5e-7,
              "IAPWS R7-97 (2012) table 36, 10 bar"),
    Published({"absolute_pressure": 1e7}, 0.584149488e3, 5e-7,
              "IAPWS R7-97 (2012) table 36, 100 bar"),
)  # fmt: skip
def test_saturation_temperature_meets_published_value(row):
    assert saturation_temperature(**row.given) == pytest.approx(row.expected, rel=0, abs=row.within)


@pytest.mark.parametrize("kelvin", np.linspace(273.16, 640.0, 40))
def test_saturation_agrees_with_the_scientific_formulation(kelvin):
    # CoolProp holds IAPWS-95. The industrial formulation may differ by 0.025 %, its own tolerance;
    # we see 0.018 % over the whole line and 0.007 % up to 100 °C.
    within = 1e-4 if kelvin < 373 else 2.5e-4
    expected = coolprop.PropsSI("P", "T", kelvin, "Q", 0, "Water")
    assert saturation_pressure(kelvin) == pytest.approx(expected, rel=within)


@pytest.mark.parametrize("kelvin", np.linspace(273.16, 640.0, 20))
def test_saturation_agrees_with_another_program_of_the_same_formulation(kelvin):
    expected = 1e6 * iapws.iapws97._PSat_T(kelvin)
    assert saturation_pressure(kelvin) == pytest.approx(expected, rel=1e-12)
    assert saturation_temperature(expected) == pytest.approx(kelvin, rel=0, abs=1e-9)


@pytest.mark.parametrize("celsius", np.linspace(-49.0, 99.0, 38))
def test_saturation_agrees_with_the_formula_of_air_conditioning(celsius):
    # psychrolib holds ASHRAE's equations (Hyland and Wexler 1983), over ice below 0 °C: they are
    # said to agree within 300 ppm; we see 0.033 % over ice and 0.018 % over water.
    expected = psychrolib.GetSatVapPres(celsius)
    assert saturation_pressure(celsius + 273.15) == pytest.approx(expected, rel=4e-4)


@pytest.mark.parametrize("celsius", [-40.0, -10.0, 0.0, 5.0, 20.0, 35.0])
@pytest.mark.parametrize("share", [0.0, 0.3, 0.8, 1.0])
@pytest.mark.parametrize("pressure", [SEA_LEVEL, AT_2000_M])
def test_air_humidity_agrees_with_psychrolib(celsius, share, pressure):
    by_mass = psychrolib.GetHumRatioFromRelHum(celsius, share, pressure)

    # As saturation does; psychrolib never gives less than 1e-7.
    assert air_humidity(celsius + 273.15, share, pressure) == pytest.approx(
        by_mass / BY_MASS, rel=4e-4, abs=3e-7
    )


# --- water in flue gas


@pytest.mark.parametrize("fuel", sorted(FUELS))
@pytest.mark.parametrize("ratio", [1.02, 1.3, 1.9])
@pytest.mark.parametrize("humidity", [0.0, 0.012, 0.03])
def test_water_share_and_dew_point_agree_with_combustion_and_steam(fuel, ratio, humidity):
    burner = Burner(FUELS[fuel], ratio, humidity)
    share = burner.water / (burner.water + burner.dry)

    assert water_share(burner.o2, fuel, humidity) == pytest.approx(share, rel=1e-9)
    for pressure in (SEA_LEVEL, AT_2000_M):
        dew = flue_dew_point(burner.o2, fuel, pressure, humidity)
        steam = coolprop.PropsSI("T", "P", share * pressure, "Q", 1, "Water")
        by_mass = BY_MASS * share / (1 - share)
        # The industrial and the scientific formulation, and ASHRAE's fit: a few thousandths.
        assert dew == pytest.approx(steam, rel=0, abs=0.003)
        assert dew == pytest.approx(iapws.iapws97._TSat_P(share * pressure / 1e6), abs=1e-6)
        assert dew - 273.15 == pytest.approx(
            psychrolib.GetTDewPointFromHumRatio(90.0, by_mass, pressure), rel=0, abs=0.01
        )
        # Real moist air holds 0.5 % more vapour than vapour alone: its dew point is 0.1 K lower.
        real = coolprop.HAPropsSI("D", "P", pressure, "T", 363.15, "W", by_mass)
        assert 0.05 < dew - real < 0.15


# Handbook range and three libraries, gas not named; dry air. Ours has 58.9, 55.4, 53.8 °C, methane
# 59.1, 55.6, 54.1 °C: the tolerance of 0.15 K is the difference of the gases.
@rows(
    Published({"ratio": 1.0}, 59.0, 0.15, "computed with CoolProp, iapws and psychrolib, lambda 1"),
    Published({"ratio": 1.2}, 55.5, 0.15, "the same, lambda 1.2"),
    Published({"ratio": 1.3}, 53.9, 0.15, "the same, lambda 1.3"),
)
def test_dew_point_of_natural_gas_meets_published_value(row):
    burner = Burner(FUELS["natural_gas"], row.given["ratio"])

    # At exact combustion the equilibrium leaves a trace of O2.
    assert flue_dew_point(burner.o2, "natural_gas") - 273.15 == pytest.approx(
        row.expected, rel=0, abs=row.within
    )


# V. Ganapathy, vganapathy.tripod.com/emiss.html, wet percentages (H2O, O2) at excess air 0, 10, 20,
# 30 % for "typical natural gas". The humidity of the air is not given: the first row tells it,
# 0.0169 mol/mol or 10.5 g/kg, and the three others must then follow.
WET_FLUE_GAS = {0: (19.91, 0.0), 10: (18.38, 1.72), 20: (17.08, 3.18), 30: (15.96, 4.43)}


@pytest.mark.parametrize("excess_air", [10, 20, 30])
def test_water_falls_with_excess_air_as_in_the_printed_table(excess_air):
    low, high = 0.0, 0.05
    for _ in range(60):
        humidity = (low + high) / 2
        too_little = water_share(0.0, "natural_gas", humidity) < 0.1991
        low, high = (humidity, high) if too_little else (low, humidity)
    water, oxygen = WET_FLUE_GAS[excess_air]

    # Half a digit in each printed value, and the gas, whose composition is not given.
    assert 100 * water_share(oxygen / (100 - water), "natural_gas", humidity) == pytest.approx(
        water, rel=0, abs=0.02
    )


def test_published_errors_are_not_followed():
    """Methane: 15.5 % water at 9.15 % CO2, not 18.6; CO2max dry 11.7 %, wet 9.5 %."""
    assert 100 * water_share(o2_from_co2(0.0915, METHANE), METHANE) == pytest.approx(15.5, abs=0.05)
    assert 100 * co2_from_o2(0.0, METHANE) == pytest.approx(11.7, abs=0.05)
    assert 100 * co2_from_o2(0.0, METHANE) * (1 - water_share(0.0, METHANE)) == pytest.approx(
        9.5, abs=0.05
    )
