"""Heat carried by the gases of a flue, and by the water in them.

Molar enthalpies, counted from 25 °C. Gases are ideal: at flue pressure the real ones differ by less
than 0.1 % of the heat of evaporation. Pure functions for other calculations to build upon.
"""

import numpy as np

from engine.errors import OutOfRange, nearest
from engine.physics.components import GAS_CONSTANT, WATER_VAPORISATION
from engine.physics.limits import Range, plain

REFERENCE_TEMPERATURE = 298.15  # K; heats of combustion are given at 25 °C

# McBride, Zehe, Gordon: NASA Glenn Coefficients for Calculating Thermodynamic Properties of
# Individual Species, NASA/TP-2002-211556; range 200 to 1000 K, as in the file thermo.inp of NASA
# CEA. Heat capacity over R is a1/T² + a2/T + a3 + a4·T + a5·T² + a6·T³ + a7·T⁴.
HEAT_CAPACITY = {
    "CO2": (
        4.943650540e4, -6.264116010e2, 5.301725240, 2.503813816e-3, -2.127308728e-7,
        -7.689988780e-10, 2.849677801e-13,
    ),
    "H2O": (
        -3.947960830e4, 5.755731020e2, 9.317826530e-1, 7.222712860e-3, -7.342557370e-6,
        4.955043490e-9, -1.336933246e-12,
    ),
    "N2": (
        2.210371497e4, -3.818461820e2, 6.082738360, -8.530914410e-3, 1.384646189e-5,
        -9.625793620e-9, 2.519705809e-12,
    ),
    "O2": (
        -3.425563420e4, 4.847000970e2, 1.119010961, 4.293889240e-3, -6.836300520e-7,
        -2.023372700e-9, 1.039040018e-12,
    ),
}  # fmt: skip

# J/mol at 25 °C, ISO 6976:2016 table A.5, so that gross and net heat differ by exactly this much
# water. The CODATA enthalpies of formation (Cox et al. 1989) give 44 004 J/mol, 0.02 % less.
EVAPORATION_AT_REFERENCE = WATER_VAPORISATION[-1]
WATER_MOLAR_MASS = 0.018_015_28  # kg/mol, thermo.inp of NASA CEA
# Mean heat capacity of liquid water from 25 to 60 °C, 4181 J/(kg·K) by IAPWS-95; it is 4193 from 0
# to 25 °C. Taken as constant, below 0 °C too: no water is meant to be there, it only serves to
# count the heat of the products from the temperature of frosty air.
LIQUID_HEAT_CAPACITY = 4181.0 * WATER_MOLAR_MASS  # J/(mol·K)

_GAS = Range(
    "gas temperature",
    200.0,
    1000.0,
    "K",
    "was a reading in °C or °F passed without converting it?",
)
_WATER = Range(
    "water temperature",
    220.0,
    373.15,
    "K",
    "was a reading in °C or °F passed without converting it?",
)


def _integral(species, temperature):
    """Enthalpy over R, from an arbitrary zero [K]."""
    a1, a2, a3, a4, a5, a6, a7 = HEAT_CAPACITY[species]
    power = a3 + temperature * (
        a4 / 2 + temperature * (a5 / 3 + temperature * (a6 / 4 + temperature * (a7 / 5)))
    )
    return temperature * power + a2 * np.log(temperature) - a1 / temperature


_ZERO = {species: _integral(species, REFERENCE_TEMPERATURE) for species in HEAT_CAPACITY}


def gas_enthalpy(species, temperature):
    r"""Heat to bring an ideal gas from 25 °C to a temperature, at constant pressure.

    Parameters
    ----------
    species : str
        ``"CO2"``, ``"H2O"`` (vapour), ``"N2"`` or ``"O2"`` [-].
    temperature : float or ndarray
        Temperature of the gas [K]. 200 to 1000.

    Returns
    -------
    float or ndarray, same shape as `temperature`
        Enthalpy above 25 °C [J/mol]; negative below.

    Raises
    ------
    OutOfRange
        If the species is not one of the four, or the temperature is outside 200 to 1000 K.

    Notes
    -----
    Ideal gas. Argon of the air is counted as nitrogen elsewhere; its heat capacity is 29 % lower,
    0.3 % of the heat in air.

    Examples
    --------
    >>> round(gas_enthalpy("N2", 373.15))
    2186

    References
    ----------
    [1] NASA/TP-2002-211556, equation (2) and the table of coefficients.
    """
    if species not in HEAT_CAPACITY:
        close = nearest(species, HEAT_CAPACITY) if isinstance(species, str) else None
        raise OutOfRange(
            f"species {species!r} is not known; write "
            + (repr(close) if close else " or ".join(map(repr, HEAT_CAPACITY)))
        )
    kelvin = _GAS.check(temperature)
    return plain(GAS_CONSTANT * (_integral(species, kelvin) - _ZERO[species]))


def evaporation_heat(temperature):
    r"""Heat that turns liquid water into vapour of low pressure, at one temperature.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of water and vapour [K]. 220 to 373.15.

    Returns
    -------
    float or ndarray, same shape as `temperature`
        Heat of evaporation [J/mol].

    Raises
    ------
    OutOfRange
        If the temperature is outside 220 to 373.15 K.

    Notes
    -----
    Vapour is an ideal gas, as it nearly is when thinned with flue gas. That of saturated steam
    alone is lower: by 0.06 % at 25 °C, 0.2 % at 60 °C. The heat capacity of liquid water is taken
    as constant, an error of 0.02 % at 0 °C.

    Examples
    --------
    >>> round(evaporation_heat(298.15))
    44013
    """
    kelvin = _WATER.check(temperature)
    liquid = LIQUID_HEAT_CAPACITY * (kelvin - REFERENCE_TEMPERATURE)
    return plain(EVAPORATION_AT_REFERENCE + np.asarray(gas_enthalpy("H2O", kelvin)) - liquid)
