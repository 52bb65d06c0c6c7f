"""The water side against CoolProp, iapws, printed tables and the trade's factor of 500."""

import chemicals
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from iapws._iapws import _Liquid

from engine.physics.water import flow_for_output, heat_output, rise_for_flow
from engine.physics.water_properties import (
    GLYCOLS,
    freezing_point,
    water_density,
    water_heat_capacity,
)
from tests.published import Published, rows

ZERO = 273.15
GALLON_PER_MINUTE = 231 * 0.0254**3 / 60  # m³/s, exact
BTU_PER_HOUR = 1055.05585262 / 3600  # W, exact
MASS_NAMES = {"propylene_glycol": "MPG", "ethylene_glycol": "MEG"}
VOLUME_NAMES = {"propylene_glycol": "APG", "ethylene_glycol": "AEG"}
BOTH = pytest.mark.parametrize("glycol", GLYCOLS)


def incompressible(symbol, celsius, name, share):
    return PropsSI(symbol, "T", celsius + ZERO, "P", 3e5, f"INCOMP::{name}[{share}]")


# --- Water


@pytest.mark.parametrize("celsius", [0.01, 4, 10, 20, 40, 60, 80, 95, 99, 105, 110])
def test_water_meets_iapws_95(celsius):
    """CoolProp's equation at 2 bar; ours is at 1 bar: 0.005 % for density, 0.01 % for heat."""
    kelvin = celsius + ZERO

    assert water_density(kelvin) == pytest.approx(
        PropsSI("D", "T", kelvin, "P", 2e5, "Water"), rel=6e-5
    )
    assert water_heat_capacity(kelvin) == pytest.approx(
        PropsSI("C", "T", kelvin, "P", 2e5, "Water"), rel=2e-4
    )


@pytest.mark.parametrize("celsius", [1, 20, 50, 75, 109])
def test_water_meets_another_program_of_the_same_release(celsius):
    other = _Liquid(celsius + ZERO)

    assert water_density(celsius + ZERO) == pytest.approx(other["rho"], rel=1e-12)
    assert water_heat_capacity(celsius + ZERO) == pytest.approx(1e3 * other["cp"], rel=1e-12)


@pytest.mark.parametrize(
    ("celsius", "density"),
    {10: 0.9997, 20: 0.9982, 40: 0.9922, 60: 0.9832, 70: 0.9778, 80: 0.9718}.items(),
)
def test_water_meets_a_printed_table(celsius, density):
    """IAPWS 2008 densities, g/cm³, as a maker of density meters prints them."""
    assert water_density(celsius + ZERO) == pytest.approx(1e3 * density, rel=0, abs=0.0501)


# --- Mixtures


@BOTH
@pytest.mark.parametrize("share", [0.1, 0.25, 0.4, 0.5])
@pytest.mark.parametrize("celsius", [0, 20, 60, 100])
def test_mixture_meets_coolprop_by_mass(glycol, share, celsius):
    """The same published polynomials: nothing was lost in copying them."""
    pure = 0.95 * share  # of a concentrate as sold
    heavy = pure * GLYCOLS[glycol].density_at_20
    mass = heavy / (heavy + (1 - pure) * 998.2)
    kelvin, name = celsius + ZERO, MASS_NAMES[glycol]

    assert water_density(kelvin, share, glycol) == pytest.approx(
        incompressible("D", celsius, name, mass), rel=1e-9
    )
    assert water_heat_capacity(kelvin, share, glycol) == pytest.approx(
        incompressible("C", celsius, name, mass), rel=1e-9
    )


@pytest.mark.parametrize(
    ("glycol", "within"), [("propylene_glycol", 0.006), ("ethylene_glycol", 0.016)]
)
@pytest.mark.parametrize("share", [0.2, 0.3, 0.4, 0.5])
@pytest.mark.parametrize("celsius", [0, 20, 60, 90])
def test_mixture_meets_coolprop_by_volume(glycol, within, share, celsius):
    """ASHRAE's inhibited glycols by volume, as the notes say: denser, and holding less heat."""
    kelvin, name = celsius + ZERO, VOLUME_NAMES[glycol]

    density = water_density(kelvin, share, glycol) / incompressible("D", celsius, name, share)
    heat = water_heat_capacity(kelvin, share, glycol) / incompressible("C", celsius, name, share)

    assert 0.988 < density < 1
    assert 0.998 < heat < 1.021
    assert density * heat == pytest.approx(1, rel=0, abs=within)


@pytest.mark.parametrize(
    ("celsius", "share", "heat", "density"),
    [
        (0, 0.20, 3.93, 1025.8), (0, 0.30, 3.79, 1036.2), (0, 0.40, 3.64, 1045.1),
        (20, 0.20, 3.97, 1019.0), (20, 0.30, 3.85, 1028.4), (20, 0.40, 3.70, 1036.2),
        (45, 0.20, 4.03, 1007.6), (45, 0.30, 3.92, 1015.6), (45, 0.40, 3.78, 1022.2),
    ],
)  # fmt: skip
def test_mixture_meets_a_manual(celsius, share, heat, density):
    """Table of a chiller's manual, kJ/(kg K) and kg/m³, by volume: ASHRAE's inhibited glycol."""
    found_heat = water_heat_capacity(celsius + ZERO, share) / 1e3
    found_density = water_density(celsius + ZERO, share)

    assert found_heat == pytest.approx(heat, rel=0, abs=0.035)
    assert 0.99 * density < found_density < density
    assert found_heat * found_density == pytest.approx(heat * density, rel=0.006)


HANDBOOK = "Lange's Handbook of Chemistry, 15th edition, table 5.13, propylene glycol by volume"


@rows(
    *(
        Published({"share": share}, (fahrenheit - 32) / 1.8, 1.0, HANDBOOK)
        for share, fahrenheit in {
            0.05: 30, 0.10: 28, 0.15: 25, 0.20: 20, 0.25: 16, 0.30: 9, 0.35: 3, 0.40: -5,
            0.45: -16, 0.50: -28,
        }.items()
    )
)  # fmt: skip
def test_freezing_point_meets_the_handbook(row):
    """Pure glycol in whole °F there, concentrate here: from 1 K below to 3.5 K above, as noted."""
    above = freezing_point(row.given["share"]) - ZERO - row.expected

    assert -row.within < above < 3.5


@pytest.mark.parametrize(
    ("share", "celsius"), {0.20: -7.1, 0.25: -9.6, 0.30: -12.7, 0.35: -16.4, 0.40: -21.1}.items()
)
def test_freezing_point_meets_a_manual(share, celsius):
    """A chiller's manual: ours is 0.1 to 1.6 K higher, which protects."""
    assert 0 < freezing_point(share) - ZERO - celsius < 1.7


@pytest.mark.parametrize(("glycol", "most"), [("propylene_glycol", 3.7), ("ethylene_glycol", 1.0)])
@pytest.mark.parametrize("share", [0.1, 0.2, 0.3, 0.4, 0.5])
def test_freezing_point_is_on_the_safe_side_of_ashrae(glycol, most, share):
    name = f"INCOMP::{VOLUME_NAMES[glycol]}[{share}]"
    printed = PropsSI("T_FREEZE", "T", 300.0, "P", 1e5, name)

    assert 0 < freezing_point(share, glycol) - printed < most


@pytest.mark.parametrize(
    ("glycol", "number"), [("propylene_glycol", "57-55-6"), ("ethylene_glycol", "107-21-1")]
)
def test_density_of_the_pure_glycol_meets_dippr(glycol, number):
    c1, c2, c3, c4 = chemicals.volume.rho_data_Perry_8E_105_l.loc[number, ["C1", "C2", "C3", "C4"]]
    molar = chemicals.dippr.EQ105(293.15, c1, c2, c3, c4)
    density = molar * chemicals.MW(number) / 1e3

    assert GLYCOLS[glycol].density_at_20 == pytest.approx(density, rel=0.003)


# --- Heat


FACTOR = "true factor in place of 500 in Btu/h = 500 x gpm x °F, got with CoolProp"


@rows(
    Published({"celsius": 20, "share": 0.0}, 499.5, 0.1, FACTOR),
    Published({"celsius": 60, "share": 0.0}, 492.1, 0.1, FACTOR),
    Published({"celsius": 80, "share": 0.0}, 487.8, 0.1, FACTOR),
    Published({"celsius": 60, "share": 0.30}, 476.0, 1.5, f"{FACTOR}, 30 % propylene glycol"),
    Published({"celsius": 60, "share": 0.50}, 448.0, 1.5, f"{FACTOR}, 50 % propylene glycol"),
)
def test_factor_of_the_trade(row):
    """Glycol within 0.6 %: ASHRAE's inhibited fluid there, as above."""
    mean, share = row.given["celsius"] + ZERO, row.given["share"]
    half = 0.5 / 1.8  # a rise of 1 °F

    watts = heat_output(GALLON_PER_MINUTE, mean + half, mean - half, share)

    assert watts / BTU_PER_HOUR == pytest.approx(row.expected, rel=0, abs=row.within)


@pytest.mark.parametrize("rise", [5.0, 20.0, 40.0])
def test_heat_output_is_the_difference_of_enthalpies(rise):
    """Mean-temperature properties against CoolProp's enthalpies at the mean density: 0.03 %."""
    cold, hot = 313.15, 313.15 + rise
    enthalpy = PropsSI("H", "T", hot, "P", 2e5, "Water") - PropsSI(
        "H", "T", cold, "P", 2e5, "Water"
    )
    density = PropsSI("D", "T", (hot + cold) / 2, "P", 2e5, "Water")

    assert heat_output(3e-4, hot, cold) == pytest.approx(3e-4 * density * enthalpy, rel=3e-4)
    assert flow_for_output(density * enthalpy * 3e-4, hot, cold) == pytest.approx(3e-4, rel=3e-4)
    assert rise_for_flow(density * enthalpy * 3e-4, 3e-4, cold) == pytest.approx(rise, rel=3e-4)


def test_meter_in_the_return_counts_smaller_water():
    """The half per cent of the notes, at 70/50 °C."""
    mean, cold = (PropsSI("D", "T", kelvin, "P", 2e5, "Water") for kelvin in (333.15, 323.15))

    assert cold / mean - 1 == pytest.approx(0.005, rel=0, abs=5e-4)
    assert np.isclose(water_density(323.15) / water_density(333.15), cold / mean, rtol=1e-5)
