"""Heat, density and air of fuels against values that standards, regulations and suppliers printed.

"text" after a source: the value was seen, in the document or in a copy of its table. "from memory":
it was not.
"""

import CoolProp.CoolProp as coolprop
import pytest

from engine.physics.components import COMPONENTS
from engine.physics.fuels import (
    FUELS,
    LEAN_NATURAL_GAS,
    METHANE,
    NATURAL_GAS,
    PROPANE,
    PURE_PROPANE,
    RICH_NATURAL_GAS,
    Fuel,
)
from engine.physics.gas_quality import (
    compression_factor,
    gas_density,
    heating_value,
    relative_density,
    wobbe_index,
)
from tests.published import Published, rows

BTU = 1055.05585262  # J, International Table
CUBIC_FOOT = 0.3048**3
SIXTY_FAHRENHEIT = 288.70

# --- ISO 6976:2016, annex D: printed results. Seen in two public programs that run them as tests.

# D.2; the composition is from memory, and the printed molar mass and heat confirm it to 9 digits.
EXAMPLE_1 = Fuel(
    "ISO 6976 example 1",
    {"CH4": 0.933212, "C2H6": 0.025656, "C3H8": 0.015368, "N2": 0.010350, "CO2": 0.015414},
)


def test_first_worked_example_of_the_standard():
    """15/15 °C: 17.3884301 g/mol, Z 0.99776224, 906.1799588 kJ/mol, 38.410611 MJ/m³."""
    place = 1  # 15 °C

    assert 1e3 * EXAMPLE_1.molar_mass == pytest.approx(17.3884301, abs=5e-8)
    assert compression_factor(EXAMPLE_1, 288.15) == pytest.approx(0.99776224, abs=5e-9)
    assert EXAMPLE_1.average("gross_heat")[place] / 1e3 == pytest.approx(906.1799588, abs=5e-8)
    assert heating_value(EXAMPLE_1, "gross") / 1e6 == pytest.approx(38.410611, abs=5e-7)


# D.4; butanes are 0.000523 normal and 0.001512 iso, pentanes 0.002846 normal, 0.002832 iso and
# 0.001015 neo. Text: composition in a comment of a third program.
EXAMPLE_3 = Fuel(
    "ISO 6976 example 3",
    {
        "CH4": 0.922393,
        "C2H6": 0.025358,
        "C3H8": 0.015190,
        "C4H10": 0.000523 + 0.001512,
        "C5H12": 0.002846 + 0.002832 + 0.001015,
        "C6H14": 0.002865,
        "N2": 0.010230,
        "CO2": 0.015236,
    },
)


@pytest.mark.parametrize(
    ("combustion", "metering", "gross", "net", "density", "relative", "wobbe", "net_wobbe"),
    [
        (288.15, 288.15, 39.73351, 35.86811, 0.76462, 0.62391, 50.30318, 45.40954),
        (298.15, 273.15, 41.89360, 37.85228, 0.80701, 0.62411, 53.02930, 47.91376),
    ],
)
def test_third_worked_example_of_the_standard(
    combustion, metering, gross, net, density, relative, wobbe, net_wobbe
):
    """Five isomers that we count as their straight chain: 0.055 of 938 kJ/mol too much heat.

    That is 6e-5. Their summation factors are smaller too, so that our gas is up to 2e-5 denser.
    """
    at = {"combustion_temperature": combustion, "metering_temperature": metering}

    assert heating_value(EXAMPLE_3, "gross", **at) / 1e6 == pytest.approx(gross, rel=8e-5)
    assert heating_value(EXAMPLE_3, "net", **at) / 1e6 == pytest.approx(net, rel=9e-5)
    assert wobbe_index(EXAMPLE_3, "gross", **at) / 1e6 == pytest.approx(wobbe, rel=8e-5)
    assert wobbe_index(EXAMPLE_3, "net", **at) / 1e6 == pytest.approx(net_wobbe, rel=9e-5)
    assert gas_density(EXAMPLE_3, metering, 101325.0) == pytest.approx(density, rel=2.5e-5)
    assert relative_density(EXAMPLE_3, metering) == pytest.approx(relative, rel=2.5e-5)


# --- The supply that `natural_gas` is


def test_supplier_prints_the_same_heat_wobbe_index_and_gravity():
    """Union Gas, "Chemical Composition of Natural Gas", typical analysis; text. 15 °C, dry."""
    assert heating_value(NATURAL_GAS, "gross") / 1e6 == pytest.approx(38.7, abs=0.05)
    assert wobbe_index(NATURAL_GAS, "gross") / 1e6 == pytest.approx(50.4, abs=0.05)
    assert relative_density(NATURAL_GAS) == pytest.approx(0.59, abs=0.005)


# The same page, ranges in mole per cent; butanes and pentanes are two rows there, taken together.
SUPPLY = {
    "CH4": (87.0, 97.0),
    "C2H6": (1.5, 9.0),
    "C3H8": (0.1, 1.5),
    "C4H10": (0.02, 0.6),
    "C5H12": (0.0, 0.08),
    "C6H14": (0.0, 0.06),
    "N2": (0.2, 5.5),
    "CO2": (0.05, 1.0),
    "O2": (0.0, 0.1),
    "H2": (0.0, 0.02),
}


@pytest.mark.parametrize("fuel", [NATURAL_GAS, LEAN_NATURAL_GAS, RICH_NATURAL_GAS])
def test_our_natural_gases_lie_in_the_supplier_s_range(fuel):
    """Text. Gross heat 36.0 to 40.2, Wobbe index 47.5 to 51.5 MJ/m³, gravity 0.57 to 0.62."""
    for component, share in fuel.composition:
        low, high = SUPPLY[component]
        assert low <= 100 * share <= high
    assert 36.0 <= heating_value(fuel, "gross") / 1e6 <= 40.2
    assert 47.5 <= wobbe_index(fuel, "gross") / 1e6 <= 51.5
    assert 0.57 <= relative_density(fuel) <= 0.62


def test_lean_and_rich_gas_stand_at_the_ends_of_the_range():
    """Within a tenth of the supplier's Wobbe range, 47.5 to 51.5 MJ/m³, from its ends."""
    assert wobbe_index(LEAN_NATURAL_GAS, "gross") / 1e6 < 47.9
    assert wobbe_index(RICH_NATURAL_GAS, "gross") / 1e6 > 51.1


# --- EN 437, test gases at 15 °C and 101.325 kPa, dry: MJ/m³, relative density.
# Its compositions are shares of *volume* of real gases; `mixed` turns them into mole fractions with
# the densities of the pure gases by CoolProp. Left over is up to 0.05 % where there is much propane
# or hydrogen. EN 437:2003+A1:2009 rests on ISO 6976:1995, whose data for these two differ; we could
# not see how it was calculated.

COOLPROP = {"CH4": "Methane", "C3H8": "Propane", "C3H6": "Propylene", "N2": "Nitrogen"}
COOLPROP |= {"H2": "Hydrogen"}


def mixed(name, per_cent):
    moles = {
        each: share * coolprop.PropsSI("DMOLAR", "T", 288.15, "P", 101325.0, COOLPROP[each])
        for each, share in per_cent.items()
    }
    return Fuel(name, {each: n / sum(moles.values()) for each, n in moles.items()})


EN_437 = {  # name: (composition, net Wobbe, net heat, gross Wobbe, gross heat, density, seen)
    "G20": ({"CH4": 100}, 45.67, 34.02, 50.72, 37.78, 0.555, "from memory"),
    "G21": ({"CH4": 87, "C3H8": 13}, 49.60, 41.01, 54.76, 45.28, 0.684, "from memory"),
    "G222": ({"CH4": 77, "H2": 23}, 42.87, 28.53, 47.87, 31.86, 0.443, "text"),
    "G23": ({"CH4": 92.5, "N2": 7.5}, 41.11, 31.46, 45.66, 34.95, 0.586, "text"),
    "G24": ({"CH4": 68, "C3H8": 12, "H2": 20}, 47.01, 35.70, 52.09, 39.55, 0.577, "text"),
    "G25": ({"CH4": 86, "N2": 14}, 37.38, 29.25, 41.52, 32.49, 0.612, "from memory"),
    "G31": ({"C3H8": 100}, 70.69, 88.00, 76.84, 95.65, 1.550, "from memory"),
    "G32": ({"C3H6": 100}, 68.14, 82.78, 72.86, 88.52, 1.476, "from memory"),
}


@pytest.mark.parametrize("name", EN_437)
def test_test_gases_meet_the_standard(name):
    per_cent, net_wobbe, net, gross_wobbe, gross, density, _ = EN_437[name]
    gas = mixed(name, per_cent)

    # Half a digit and 6e-4: see above. Methane and its mixtures with nitrogen are within 3e-4.
    # Density: G24's is 0.0008 (0.13 %) too low, all others within half a digit.
    within = 6e-4 if {"C3H8", "H2"} & set(per_cent) else 3e-4
    assert heating_value(gas, "net") / 1e6 == pytest.approx(net, rel=within, abs=0.005)
    assert heating_value(gas, "gross") / 1e6 == pytest.approx(gross, rel=within, abs=0.005)
    assert wobbe_index(gas, "net") / 1e6 == pytest.approx(net_wobbe, rel=within, abs=0.005)
    assert wobbe_index(gas, "gross") / 1e6 == pytest.approx(gross_wobbe, rel=within, abs=0.005)
    assert relative_density(gas) == pytest.approx(density, rel=0, abs=8e-4)


# --- GPA 2145-16, ideal gas, 60 °F and 14.696 psia: Btu/ft³. Text, a public copy of the table.


@rows(
    Published({"formula": "CH4"}, 1010.0, 0.05, "GPA 2145-16 methane"),
    Published({"formula": "C2H6"}, 1769.7, 0.05, "GPA 2145-16 ethane"),
    Published({"formula": "C3H8"}, 2516.1, 0.05, "GPA 2145-16 propane"),
    Published({"formula": "C4H10"}, 3262.3, 0.05, "GPA 2145-16 n-butane"),
    Published({"formula": "C5H12"}, 4008.7, 0.05, "GPA 2145-16 n-pentane"),
    Published({"formula": "C6H14"}, 4755.9, 0.05, "GPA 2145-16 n-hexane"),
)
def test_ideal_heat_per_cubic_foot_meets_the_gas_processors_table(row):
    gas = Fuel("one", {row.given["formula"]: 1.0})
    ideal = heating_value(gas, "gross", SIXTY_FAHRENHEIT, SIXTY_FAHRENHEIT)
    ideal *= compression_factor(gas, SIXTY_FAHRENHEIT)

    # 1e-4 beside half a digit: the two bodies' heats differ by that (methane 891.46 kJ/mol here),
    # and the standard's 15.55 °C is 2e-5 short of 60 °F.
    assert ideal * CUBIC_FOOT / BTU == pytest.approx(row.expected, rel=1e-4, abs=row.within)


@rows(
    Published({"formula": "CH4"}, 0.04438, 2e-4, "GPA 2145-16 methane"),
    Published({"formula": "C2H6"}, 0.0913, 2e-3, "GPA 2145-16 ethane"),
    Published({"formula": "C3H8"}, 0.1329, 2e-3, "GPA 2145-16 propane"),
    Published({"formula": "C4H10"}, 0.1801, 4e-3, "GPA 2145-16 n-butane"),
    Published({"formula": "C5H12"}, 0.2323, 1e-2, "GPA 2145-16 n-pentane"),
    Published({"formula": "C6H14"}, 0.2973, 1e-2, "GPA 2145-16 n-hexane"),
    Published({"formula": "CO2"}, 0.0748, 5e-4, "GPA 2145-16 carbon dioxide"),
    Published({"formula": "N2"}, 0.01696, 2e-4, "GPA 2145-16 nitrogen"),
    Published({"formula": "O2"}, 0.02752, 2e-4, "GPA 2145-16 oxygen"),
)
def test_summation_factors_at_60_fahrenheit_are_near_the_gas_processors(row):
    """Within the uncertainty that ISO 6976 gives its own factors (k = 1; 0.0016 for propane)."""
    ours = COMPONENTS[row.given["formula"]].summation_factor[2]

    assert ours == pytest.approx(row.expected, rel=0, abs=row.within)


# --- 40 CFR 98, default heat and CO2


@rows(
    # A weighted average of supplies: ours has 0.9 % more heat.
    Published({"fuel": NATURAL_GAS}, 1026, 15, "40 CFR 98 tables C-1 and NN-1, natural gas; text"),
    # Printed for propane gas as an ideal gas; the real one holds 1.8 % more in a cubic foot.
    Published({"fuel": PURE_PROPANE}, 2516 / 0.982, 3, "40 CFR 98 table C-1, propane gas; text"),
)  # fmt: skip
def test_heat_per_cubic_foot_meets_the_regulation_s_default(row):
    heat = heating_value(row.given["fuel"], "gross", SIXTY_FAHRENHEIT, SIXTY_FAHRENHEIT)

    assert heat * CUBIC_FOOT / BTU == pytest.approx(row.expected, rel=0, abs=row.within)


@rows(
    # Each a weighted average of supplies or grades, to 0.5 %.
    Published({"fuel": NATURAL_GAS}, 53.06, 0.3, "40 CFR 98 table C-1, natural gas; text"),
    Published({"fuel": PURE_PROPANE}, 62.87, 0.3, "40 CFR 98 table C-1, propane; text"),
)  # fmt: skip
def test_carbon_dioxide_per_heat_meets_the_regulation_s_default(row):
    """kg CO2 per million Btu, gross."""
    fuel = row.given["fuel"]
    carbon_dioxide = fuel.co2_max_dry * fuel.stoichiometric_dry_flue_gas * 44.0095e-3

    assert carbon_dioxide / fuel.gross_heat * 1e6 * BTU == pytest.approx(
        row.expected, rel=0, abs=row.within
    )


# --- F factors: cubic feet of flue gas at 68 °F and 1 atm per million Btu, gross, no excess air
# The regulation's are averages over supplies of the 1970s; the tolerance is the difference to the
# exact figure, stated row by row.

MOLAR_VOLUME = 8.314462618 * 293.15 / 101325.0


def per_million_btu(fuel, moles):
    return moles * MOLAR_VOLUME / CUBIC_FOOT / (fuel.gross_heat / (1e6 * BTU))


@rows(
    # Natural gas: we are 0.7 % (dry) and 1.5 % (CO2) below: theirs was richer.
    Published({"fuel": NATURAL_GAS, "kind": "dry"}, 8710, 0.008, "40 CFR 75 appendix F; text"),
    Published({"fuel": NATURAL_GAS, "kind": "carbon"}, 1040, 0.016, "40 CFR 75 appendix F; text"),
    Published({"fuel": NATURAL_GAS, "kind": "wet"}, 10610, 0.004,
              "40 CFR 60 Method 19 table 19-2, from memory"),
    # Propane: we are 1.6, 2.2 and 2.5 % above. Pure propane, by its atoms and ISO heat alone, is
    # 1.7, 1.9 and 2.7 % above; theirs must have been leaner than any grade of propane.
    Published({"fuel": PROPANE, "kind": "dry"}, 8710, 0.017, "40 CFR 75 appendix F; text"),
    Published({"fuel": PROPANE, "kind": "carbon"}, 1190, 0.023, "40 CFR 75 appendix F; text"),
    Published({"fuel": PROPANE, "kind": "wet"}, 10200, 0.026,
              "40 CFR 60 Method 19 table 19-2, from memory"),
)  # fmt: skip
def test_flue_gas_per_heat_meets_the_regulation(row):
    fuel, kind = row.given["fuel"], row.given["kind"]
    dry = fuel.stoichiometric_dry_flue_gas
    moles = {
        "dry": dry,
        "carbon": fuel.co2_max_dry * dry,
        "wet": dry + fuel.water_per_mole,
    }[kind]

    assert per_million_btu(fuel, moles) == pytest.approx(row.expected, rel=row.within)


@pytest.mark.parametrize("fuel", [NATURAL_GAS, LEAN_NATURAL_GAS, RICH_NATURAL_GAS, METHANE])
def test_fuel_factor_of_every_natural_gas_lies_in_the_regulation_range(fuel):
    """20.9/CO2max, 40 CFR 60 Method 3B, natural gas 1.600 to 1.836; from memory."""
    assert 1.600 <= 0.209 / fuel.co2_max_dry <= 1.836


@pytest.mark.parametrize("fuel", [PROPANE, PURE_PROPANE])
def test_fuel_factor_of_every_propane_lies_in_the_regulation_range(fuel):
    """20.9/CO2max, 40 CFR 60 Method 3B, propane 1.434 to 1.586; from memory."""
    assert 1.434 <= 0.209 / fuel.co2_max_dry <= 1.586


# --- CO2max and air


@rows(
    Published({"name": "G20"}, 11.7, 0.05, "handbook of gas appliances, methane, from memory"),
    Published({"name": "G25"}, 11.5, 0.06, "handbook of gas appliances, G25, from memory"),
    Published({"name": "G31"}, 13.7, 0.05, "handbook of gas appliances, propane, from memory"),
)
def test_most_co2_of_test_gases_meets_printed_value(row):
    gas = mixed(row.given["name"], EN_437[row.given["name"]][0])

    assert 100 * gas.co2_max_dry == pytest.approx(row.expected, rel=0, abs=row.within)


@pytest.mark.parametrize("fuel", FUELS)
def test_a_hundred_btu_need_about_one_cubic_foot_of_air(fuel):
    """Rule of the trade: common practice, no source. Holds within 8 % for every preset."""
    gas = FUELS[fuel]
    heat = heating_value(gas, "gross", SIXTY_FAHRENHEIT, SIXTY_FAHRENHEIT) * CUBIC_FOOT / BTU

    assert gas.stoichiometric_air / (heat / 100) == pytest.approx(1.0, abs=0.08)


@rows(
    Published({"fuel": METHANE}, 0.555, 6e-4, "handbook specific gravity of methane, from memory"),
    Published({"fuel": PURE_PROPANE}, 1.55, 6e-3,
              "handbook specific gravity of propane gas, from memory"),
    Published({"fuel": Fuel("carbon monoxide", {"CO": 1.0})}, 0.967, 6e-4,
              "handbook specific gravity of carbon monoxide, from memory"),
)  # fmt: skip
def test_specific_gravity_meets_printed_value(row):
    assert relative_density(row.given["fuel"]) == pytest.approx(row.expected, rel=0, abs=row.within)
