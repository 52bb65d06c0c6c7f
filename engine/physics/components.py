"""What the components of a fuel gas are: atoms, mass, heat of combustion, departure from ideality.

The numbers are those of ISO 6976:2016. They were seen not in the standard but in public programs:
one holds its tables whole, with the uncertainties, and repeats its worked examples; three others
hold most of the rows below with the same digits, but for slips of a digit in single rows. They are
kept as the standard prints them and turned into SI by `_component`.
"""

from typing import NamedTuple

# Molar gas constant [J/(mol K)], ISO 6976:2016 table A.1. CODATA 2018 has 8.314 462 618: the
# difference is 6e-8 of the value.
GAS_CONSTANT = 8.3144621

# Pressure to which the summation factors belong [Pa], ISO 6976:2016 table 2.
REFERENCE_PRESSURE = 101325.0

# Reference temperatures [K]: combustion may be taken at each of them (table 3), metering at the
# first four (table 2). 15.55 °C stands for 60 °F.
COMBUSTION_TEMPERATURES = (273.15, 288.15, 288.70, 293.15, 298.15)
METERING_TEMPERATURES = COMBUSTION_TEMPERATURES[:4]

# Heat of vaporisation of water at the combustion temperatures [J/mol], table A.5.
WATER_VAPORISATION = (45064.0, 44431.0, 44408.0, 44222.0, 44013.0)

# Dry air: molar mass [kg/mol], table A.3, and compression factor [1] at the metering
# temperatures and 101.325 kPa, table A.4.
AIR_MOLAR_MASS = 28.96546e-3
AIR_COMPRESSION_FACTOR = (0.999419, 0.999595, 0.999601, 0.999645)


class Component(NamedTuple):
    """One component of a fuel gas.

    `atoms` counts carbon, hydrogen, oxygen and nitrogen; `molar_mass` is in kg/mol; `gross_heat`
    in J/mol at each of `COMBUSTION_TEMPERATURES`, water formed counted as liquid;
    `summation_factor` [1] at each of `METERING_TEMPERATURES`: 1 minus the square of the mixture's
    sum of them is its compression factor at 101.325 kPa.
    """

    called: str
    atoms: tuple[int, int, int, int]
    molar_mass: float
    gross_heat: tuple[float, ...]
    summation_factor: tuple[float, ...]


def _component(called, atoms, grams, kilojoules, summation_factor):
    heat = tuple(1e3 * each for each in kilojoules)
    return Component(called, atoms, 1e-3 * grams, heat, summation_factor)


_NO_HEAT = (0.0, 0.0, 0.0, 0.0, 0.0)

# ISO 6976:2016: molar mass table 1 [g/mol], gross heat of the ideal gas table 3 [kJ/mol] at 0, 15,
# 15.55, 20, 25 °C, summation factor table 2 [1] at 0, 15, 15.55, 20 °C.
#
# Isomers share a key and take the straight chain's figures. Isobutane gives 0.32 % less heat than
# n-butane (2868.20 against 2877.40 kJ/mol at 25 °C), isopentane 0.20 % less than n-pentane; in
# propane as sold, with 3.5 % butanes, that is at most 0.02 % of the whole.
COMPONENTS = {
    "CH4": _component(
        "methane",
        (1, 4, 0, 0),
        16.04246,
        (892.92, 891.51, 891.46, 891.05, 890.58),
        (0.04886, 0.04452, 0.04437, 0.04317),
    ),
    "C2H6": _component(
        "ethane",
        (2, 6, 0, 0),
        30.06904,
        (1564.35, 1562.14, 1562.06, 1561.42, 1560.69),
        (0.0997, 0.0919, 0.0916, 0.0895),
    ),
    "C3H6": _component(
        "propylene",
        (3, 6, 0, 0),
        42.07974,
        (2061.57, 2059.43, 2059.35, 2058.73, 2058.02),
        (0.1381, 0.1267, 0.1263, 0.1232),
    ),
    "C3H8": _component(
        "propane",
        (3, 8, 0, 0),
        44.09562,
        (2224.03, 2221.10, 2220.99, 2220.13, 2219.17),
        (0.1465, 0.1344, 0.1340, 0.1308),
    ),
    "C4H10": _component(
        "butanes",
        (4, 10, 0, 0),
        58.12220,
        (2883.35, 2879.76, 2879.63, 2878.58, 2877.40),
        (0.2022, 0.1840, 0.1834, 0.1785),
    ),
    "C5H12": _component(
        "pentanes",
        (5, 12, 0, 0),
        72.14878,
        (3542.91, 3538.60, 3538.45, 3537.19, 3535.77),
        (0.2586, 0.2361, 0.2354, 0.2295),
    ),
    "C6H14": _component(
        "hexanes",
        (6, 14, 0, 0),
        86.17536,
        (4203.24, 4198.24, 4198.06, 4196.60, 4194.95),
        (0.3319, 0.3001, 0.2990, 0.2907),
    ),
    "H2": _component(
        "hydrogen",
        (0, 2, 0, 0),
        2.01588,
        (286.64, 286.15, 286.13, 285.99, 285.83),
        (-0.01, -0.01, -0.01, -0.01),
    ),
    "CO": _component(
        "carbon monoxide",
        (1, 0, 1, 0),
        28.0101,
        (282.80, 282.91, 282.91, 282.95, 282.98),
        (0.0258, 0.0217, 0.0215, 0.0203),
    ),
    "CO2": _component(
        "carbon dioxide", (1, 0, 2, 0), 44.0095, _NO_HEAT, (0.0821, 0.0752, 0.0749, 0.0730)
    ),
    "O2": _component("oxygen", (0, 0, 2, 0), 31.9988, _NO_HEAT, (0.0311, 0.0276, 0.0275, 0.0265)),
    "N2": _component("nitrogen", (0, 0, 0, 2), 28.0134, _NO_HEAT, (0.0214, 0.0170, 0.0169, 0.0156)),
}
