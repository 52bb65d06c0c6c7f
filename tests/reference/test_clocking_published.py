"""Clocking: input by the meter against printed tables, gas laws and the uncertainty framework."""

import CoolProp.CoolProp as coolprop
import numpy as np
import pint
import pytest
from uncertainties import ufloat

from engine.physics.gas_meter import (
    clocked_input,
    clocking_deviation,
    clocking_duration,
    clocking_turns,
    meter_factor,
)
from tests.published import Published, rows

UNITS = pint.UnitRegistry()


def si(text):
    """The number of a quantity in base SI units, by pint."""
    return UNITS.Quantity(text).to_base_units().magnitude


BTU_PER_HOUR = si("1 Btu/hour")
STANDARD_FOOT = {"reference_temperature": si("519.67 degR"), "reference_pressure": si("14.73 psi")}

# --- Seconds per cubic foot against Btu/h at 1000 Btu/ft³, homeownershub.com thread 171106,
# "Checking the firing rate", table "Gas input". Printed in whole thousands.

CLOCKING_TABLE = {
    20: 180, 22: 164, 24: 150, 26: 138, 28: 129, 30: 120, 32: 113, 34: 106, 36: 100, 38: 95,
    40: 90, 42: 86, 44: 82, 46: 78, 48: 75, 50: 72, 52: 69, 54: 67, 56: 64, 58: 62, 60: 60,
    62: 58, 64: 56, 66: 54, 68: 53, 70: 51, 72: 50, 74: 48, 76: 47, 78: 46, 80: 45, 82: 44, 84: 43,
    86: 42,
}  # fmt: skip

# 3600/66 is 54.55 and 3600/74 is 48.65: the table cut these two instead of rounding them.
CUT_NOT_ROUNDED = {66, 74}


@pytest.mark.parametrize("seconds", CLOCKING_TABLE)
def test_clocked_input_meets_the_table(seconds):
    clocked = clocked_input(si("1 foot**3"), seconds, si("1000 Btu/foot**3"))

    within = 1.0 if seconds in CUT_NOT_ROUNDED else 0.5
    assert clocked / BTU_PER_HOUR / 1000 == pytest.approx(
        CLOCKING_TABLE[seconds], rel=0, abs=within
    )


@rows(
    Published({"volume": "0.5 foot**3", "duration": 29, "heating_value": "1000 Btu/foot**3"},
              62, 0.5, "hvactechhangout.com, How to Clock a Gas Meter, worked example, kBtu/h"),
    Published({"volume": "1 foot**3", "duration": 80, "heating_value": "1040 Btu/foot**3"},
              46.8, 0.05, "plumbrevise.co.uk, imperial gas rate, worked example, kBtu/h"),
    # 3600/140 is rounded to 25.71 there before it is multiplied; exact is 64 697.
    Published({"volume": "1 foot**3", "duration": 140, "heating_value": "2516 Btu/foot**3"},
              64.7, 0.05, "hunker.com 13408348, propane, worked example, kBtu/h"),
    Published({"volume": "1 foot**3", "duration": 140, "heating_value": "1030 Btu/foot**3"},
              26.481, 0.005, "hunker.com 13408348, natural gas, kBtu/h; 25.71: 2e-4 of the value"),
    # The writer goes over 45 s per cubic foot, which the table gives as 80; exact is 79.5.
    Published({"volume": "0.01 m**3", "duration": 16, "heating_value": "1000 Btu/foot**3"},
              80, 0.6, "homeownershub.com 171106, metric dial, kBtu/h"),
)  # fmt: skip
def test_clocked_input_meets_worked_example(row):
    clocked = clocked_input(
        si(row.given["volume"]), row.given["duration"], si(row.given["heating_value"])
    )

    assert clocked / BTU_PER_HOUR / 1000 == pytest.approx(row.expected, rel=0, abs=row.within)


# --- Corrections, in standard cubic feet per hour


@rows(
    Published({"volume": 2, "duration": 18, "gauge": "5 psi", "ambient": "14.35 psi",
               "gas": "519.67 degR"}, 525.44, 0.05,
              "Gas technician 2 training (Canada), unit 11, pressure compensation; 1.3136 rounded"),
    # Printed factors 1.66 and 1.02 stand for 1.6667 and 1.0297; °R counted from 460, not 459.67.
    Published({"volume": 5, "duration": 20, "gauge": "10 psi", "ambient": "14.55 psi",
               "gas": "504.67 degR"}, 1544.49, 0.1,
              "Gas technician 2 training (Canada), unit 11, pressure and temperature compensation"),
)  # fmt: skip
def test_compensated_flow_meets_worked_example(row):
    factor = meter_factor(
        gas_temperature=si(row.given["gas"]),
        gauge_pressure=si(row.given["gauge"]),
        ambient_pressure=si(row.given["ambient"]),
        **STANDARD_FOOT,
    )

    flow = 3600 * row.given["volume"] / row.given["duration"] * factor
    assert flow == pytest.approx(row.expected, rel=0, abs=row.within)


@rows(
    Published({"gas": 246.0, "gauge": 200_000.0, "fluid": "Methane"}, 1.0, 0.009,
              "CoolProp, methane 2 bar above the air in frost"),
    Published({"gas": 278.15, "gauge": 1750.0, "fluid": "Methane"}, 1.0, 0.0004,
              "CoolProp, methane at a house meter in winter"),
    Published({"gas": 278.15, "gauge": 13_790.0, "fluid": "Methane"}, 1.0, 0.0006,
              "CoolProp, methane behind a 2 psi service"),
    Published({"gas": 278.15, "gauge": 200_000.0, "fluid": "Methane"}, 1.0, 0.005,
              "CoolProp, methane 2 bar above the air"),
    Published({"gas": 253.15, "gauge": 2750.0, "fluid": "Propane"}, 1.0, 0.011,
              "CoolProp, propane at appliance pressure in frost"),
    Published({"gas": 303.15, "gauge": 2750.0, "fluid": "Propane"}, 1.0, 0.003,
              "CoolProp, propane at appliance pressure in summer"),
)  # fmt: skip
def test_ideal_gas_is_good_enough_for_the_meter(row):
    """Tolerance: what the gas departs from the ideal one, as the docstring of the factor says."""
    fluid, gas, gauge = row.given["fluid"], row.given["gas"], row.given["gauge"]
    real = coolprop.PropsSI("D", "T", gas, "P", 101_325.0 + gauge, fluid) / coolprop.PropsSI(
        "D", "T", 288.15, "P", 101_325.0, fluid
    )

    assert meter_factor(gas, gauge) / real == pytest.approx(row.expected, rel=0, abs=row.within)


def test_saturated_heating_value_is_below_the_dry_one_by_the_share_of_water():
    """1.74 % at 60 °F and 14.73 psi, as the docstring of the factor says."""
    water = coolprop.PropsSI("P", "T", si("519.67 degR"), "Q", 0, "Water")

    assert 100 * water / si("14.73 psi") == pytest.approx(1.74, abs=0.005)


# --- Uncertainty

CLOCKINGS = [
    (0.0283, 36.0, 0.0283 / 20, 0.3),  # one turn of a one-foot dial
    (0.0283 / 2, 15.0, 0.0283 / 20, 0.01),  # half a turn, the dial alone counts
    (0.1, 120.0, 1e-4, 0.5),  # two minutes on a metric counter
]


@pytest.mark.parametrize(("volume", "duration", "mark", "press"), CLOCKINGS)
def test_deviation_is_that_of_a_million_simulated_clockings(volume, duration, mark, press):
    """Readings to the nearest mark, presses early or late by chance; JCGM 101 (Monte Carlo).

    Tolerance 1 %: the sample gives 0.1 %, and flow as a ratio bends a little over such spreads.
    """
    chance = np.random.default_rng(19930827)
    marks = chance.uniform(-mark / 2, mark / 2, size=(2, 1_000_000))
    presses = chance.uniform(-press, press, size=(2, 1_000_000))
    flows = (volume + marks[1] - marks[0]) / (duration + presses[1] - presses[0])

    expected = np.std(flows) / (volume / duration)
    assert clocking_deviation(volume, duration, mark, press) == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize(("volume", "duration", "mark", "press"), CLOCKINGS)
def test_deviation_is_that_of_linear_propagation(volume, duration, mark, press):
    """The package `uncertainties`, given four independent rectangular readings."""
    first, last = ufloat(0.0, mark / 12**0.5), ufloat(volume, mark / 12**0.5)
    start, stop = ufloat(0.0, press / 3**0.5), ufloat(duration, press / 3**0.5)
    flow = (last - first) / (stop - start)

    assert clocking_deviation(volume, duration, mark, press) == pytest.approx(
        flow.std_dev / flow.nominal_value, rel=1e-12
    )


def test_two_turns_of_a_small_dial_give_about_one_per_cent():
    """Time and turns by hand: √((0.001415/0.0008)²/6 + 2·0.3²/3)/0.01 = 76.3 s, 2.2 turns."""
    assert clocking_duration(0.0008, 0.01, 0.001415, 0.3) == pytest.approx(76.3, abs=0.05)
    assert clocking_turns(0.0008, 0.01, 0.001415, 0.3, 0.0283) == 3
