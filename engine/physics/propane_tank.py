"""Propane in the tank: the pressure it stands under, and how much vapour the tank can feed.

Propane boils by heat that comes through the tank's wall where liquid wets it. A draw chills the
liquid below the air; its pressure falls until as much heat comes in as the vapour takes away. A
tank too small, too empty or too cold therefore starves the burner with liquid still in it.
"""

import numpy as np

from engine.errors import OutOfRange
from engine.physics.components import COMPONENTS
from engine.physics.gas_meter import AMBIENT_PRESSURE
from engine.physics.limits import Range, plain

_KELVIN = "was a reading in °C or °F passed without converting it?"
_GAUGE = "was a gauge reading in per cent passed without dividing by 100?"

PROPANE_TEMPERATURE = Range("temperature of the propane", 223.15, 333.15, "K", _KELVIN)
TANK_DIAMETER = Range(
    "tank diameter", 0.2, 3.0, "m", "was it in inches or mm passed without converting it?"
)
TANK_LENGTH = Range(
    "overall length of the tank", 0.2, 20.0, "m", "was it in feet, inches or mm unconverted?"
)
LIQUID_SHARE = Range("liquid in the tank", 0.0, 1.0, "1", _GAUGE)
RULE_SHARE = Range(
    "liquid in the tank",
    0.1,
    0.8,
    "1",
    f"the rule begins at 10 %, and a tank is never filled above 80 %. Otherwise {_GAUGE}",
)
AIR_TEMPERATURE = Range("air temperature at the tank", 223.15, 333.15, "K", _KELVIN)
# The handbook rule lets the liquid chill to -20 °F; its factors are printed up to air of +20 °F.
RULE_LIQUID_TEMPERATURE = (-20 + 459.67) / 1.8  # K
RULE_TEMPERATURE = Range(
    "air temperature at the tank",
    RULE_LIQUID_TEMPERATURE,
    (20 + 459.67) / 1.8,
    "K",
    "colder than -28.9 °C the rule leaves nothing; in air warmer than -6.7 °C give 266.48 K, which "
    "is on the safe side. Otherwise: was it in °C or °F?",
)
HEAT_TRANSFER = Range(
    "heat transfer coefficient",
    0.5,
    50.0,
    "W/(m²·K)",
    "still air gives about 7, wind up to 25. Was it in Btu/(h·ft²·°F)?",
)

# Lemmon, McLinden, Wagner, J. Chem. Eng. Data 54 (2009) 3141, vapour pressure equation; constants
# as a public program holds them.
CRITICAL_TEMPERATURE = 369.89  # K
CRITICAL_PRESSURE = 4.2512e6  # Pa
VAPOUR_PRESSURE_TERMS = (
    (-6.7722, 1.0),
    (1.6938, 1.5),
    (-1.3341, 2.2),
    (-3.1876, 4.8),
    (0.94937, 6.2),
)

# Perry's Chemical Engineers' Handbook, 8th edition, table 2-150, propane, as the Python package
# `chemicals` holds it: C1 [J/mol] · (1 - Tr)^(C2 + C3·Tr + C4·Tr²), Tr = T/369.83 K.
EVAPORATION = (29_209.0, 0.78237, -0.77319, 0.39246)
EVAPORATION_CRITICAL_TEMPERATURE = 369.83  # K

# Gross heat of combustion at 15 °C [J/kg], ISO 6976:2016.
GROSS_HEAT = COMPONENTS["C3H8"].gross_heat[1] / COMPONENTS["C3H8"].molar_mass

# The handbook rule D·L·K: Btu/h at 0 °F, D and L in inches, K by the share of liquid. As printed in
# an engine maker's installation planning guide (2011, appendix D, "Guide for ASME LP gas storage
# containers"); the same rule stands in LP-gas serviceman's manuals of the trade (from memory).
RULE_LIQUID = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6)
RULE_K = (45.0, 60.0, 70.0, 80.0, 90.0, 100.0)
RULE_UNIT = 1055.056 / 3600 / 0.0254**2  # W/m² per Btu/h and square inch
RULE_TEMPERATURE_DIFFERENCE = 20 / 1.8  # K, from -20 to 0 °F: the factor is 1 there

# Bare dry steel in still air of -20 to 0 °C: 3.4 by natural convection around a tank of 1 m
# (Churchill and Chu, 1975), 3.2 by radiation from surroundings as warm as the air. Worked out in
# tests/reference/test_propane_tank.py.
STILL_AIR = 6.6  # W/(m²·K)


def vapour_pressure(temperature):
    r"""Absolute pressure of propane that boils at a temperature.

    ln(p/p_c) = T_c/T·Σ nᵢ·(1 - T/T_c)^tᵢ.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the liquid's surface [K]. 223.15 to 333.15.

    Returns
    -------
    float or ndarray, same shape as `temperature`
        Absolute pressure [Pa].

    Raises
    ------
    OutOfRange
        If `temperature` is outside -50 to +60 °C.

    Notes
    -----
    Pure propane, to 0.01 % of the equation of state. Propane as sold differs: 5 % propylene adds
    1 to 2 %, 3.5 % butane takes 3 % away, 10 % butane 8 to 9 %. What is lighter boils off first:
    1.5 % methane in a fresh fill adds some 30 % at 20 °C and more in the cold until it is gone, and
    the last of a tank is the richest in butane.

    Examples
    --------
    >>> round(vapour_pressure(244.26) / 6894.757, 1)   # psia at -20 °F
    25.4

    References
    ----------
    [1] Lemmon, McLinden, Wagner, J. Chem. Eng. Data 54 (2009) 3141-3180.
    """
    kelvin = PROPANE_TEMPERATURE.check(temperature)
    below = 1 - kelvin / CRITICAL_TEMPERATURE
    total = sum(factor * below**power for factor, power in VAPOUR_PRESSURE_TERMS)
    return plain(CRITICAL_PRESSURE * np.exp(total * CRITICAL_TEMPERATURE / kelvin))


def tank_gauge_pressure(temperature, ambient_pressure=101_325.0):
    r"""Gauge pressure in a tank of propane: `vapour_pressure` less that of the air around it.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the liquid, that of the air after a long rest, colder in a draw [K]. 223.15
        to 333.15.
    ambient_pressure : float or ndarray
        Absolute pressure of the air, not reduced to sea level [Pa]. 50 000 to 110 000.

    Returns
    -------
    float or ndarray
        Gauge pressure [Pa]; below 0 under the boiling point, -42.1 °C at the sea.

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Notes
    -----
    See `vapour_pressure` for how far propane as sold differs. A closed first-stage regulator needs
    a pressure above its own setting; its data sheet says how much.

    Examples
    --------
    >>> round(tank_gauge_pressure(244.26) / 6894.757, 1)   # psi at -20 °F
    10.7
    """
    return plain(vapour_pressure(temperature) - AMBIENT_PRESSURE.check(ambient_pressure))


def heat_of_evaporation(temperature):
    r"""Heat that a kilogram of propane takes to boil.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the liquid [K]. 223.15 to 333.15.

    Returns
    -------
    float or ndarray, same shape as `temperature`
        Heat of evaporation [J/kg].

    Raises
    ------
    OutOfRange
        If `temperature` is outside -50 to +60 °C.

    Notes
    -----
    Within 0.4 % of the equation of state: less by 0.2 % in frost, more by 0.3 % at 55 °C.

    Examples
    --------
    >>> round(heat_of_evaporation(231.05) / 1000)
    425

    References
    ----------
    [1] Perry's Chemical Engineers' Handbook, 8th edition, table 2-150.
    """
    reduced = PROPANE_TEMPERATURE.check(temperature) / EVAPORATION_CRITICAL_TEMPERATURE
    size, *power = EVAPORATION
    exponent = power[0] + power[1] * reduced + power[2] * reduced**2
    return plain(size * (1 - reduced) ** exponent / COMPONENTS["C3H8"].molar_mass)


def wetted_area(diameter, length, liquid):
    r"""Wall of a lying tank with hemispherical heads that liquid wets.

    Parameters
    ----------
    diameter : float or ndarray
        Outside diameter [m]. 0.2 to 3.
    length : float or ndarray
        Overall length, heads included [m]. `diameter` to 20.
    liquid : float or ndarray
        Share of the tank's volume that is liquid, as its gauge shows [1]. 0 to 1.

    Returns
    -------
    float or ndarray
        Area [m²]; π·diameter·length when full.

    Raises
    ------
    OutOfRange
        If an argument is outside its range, or the tank is shorter than it is thick.

    Notes
    -----
    Half the angle θ that the liquid spans solves the volume; ignores the wall's thickness. Flatter
    heads count as 0.3 diameters more of length [1], 6 to 11 % more area on common tanks.

    Examples
    --------
    >>> round(wetted_area(0.965, 2.997, 0.5), 2)   # 500 US gallons, half full
    4.54

    References
    ----------
    [1] California Code of Regulations, title 8, unfired pressure vessel safety orders, surface area
        of containers.
    """
    across, along = _tank(diameter, length)
    radius, straight = across / 2, along - across
    share = LIQUID_SHARE.check(liquid)
    smaller = np.minimum(share, 1 - share)  # the mirror of a fuller tank, exact near the top too
    wanted = smaller * (straight * np.pi * radius**2 + 4 / 3 * np.pi * radius**3)
    low, high = np.zeros_like(wanted), np.full_like(wanted, np.pi)
    for _ in range(60):  # halves the bracket down to the last bit of a float
        angle = (low + high) / 2
        depth = radius * (1 - np.cos(angle))
        segment = radius**2 * (angle - np.sin(angle) * np.cos(angle))
        volume = straight * segment + np.pi * depth**2 * (radius - depth / 3)
        low, high = np.where(volume < wanted, angle, low), np.where(volume < wanted, high, angle)
    area = 2 * radius * (angle * straight + np.pi * depth)
    return plain(np.where(share > 0.5, np.pi * across * along - area, area))


def _tank(diameter, length):
    """Diameter and overall length as arrays, or OutOfRange."""
    across, along = TANK_DIAMETER.check(diameter), TANK_LENGTH.check(length)
    if np.any(along < across):
        raise OutOfRange(
            "the overall length of a lying tank must be at least its diameter; were the two "
            "swapped, or is it the straight part without the heads?"
        )
    return across, along


def vapour_capacity(diameter, length, liquid, air_temperature):
    r"""Heat input that a lying tank in the open can feed, by the handbook rule D·L·K.

    Parameters
    ----------
    diameter : float or ndarray
        Outside diameter [m]. 0.2 to 3.
    length : float or ndarray
        Overall length, heads included [m]. `diameter` to 20.
    liquid : float or ndarray
        Share of the tank's volume that is liquid, as its gauge shows [1]. 0.1 to 0.8.
    air_temperature : float or ndarray
        Air at the tank [K]. 244.26 to 266.48, which is -20 to +20 °F.

    Returns
    -------
    float or ndarray
        Gross heat of the vapour [W], to compare with the rated input of all appliances on the tank
        together.

    Raises
    ------
    OutOfRange
        If an argument is outside its range, or the tank is shorter than it is thick.

    Notes
    -----
    K is printed for 10 to 60 % of liquid and read between by straight lines; above 60 % its last
    value, 100, is kept: a fuller tank feeds more, up to 119 at 80 %. The factor for temperature is
    (T + 20 °F)/20 °F: the liquid is let chill to -28.9 °C, where pure propane still stands at 0.74
    bar above the sea's air. The rule amounts to 19 W/(m²·K) through the wetted wall, a fresh wind
    on a bare tank.

    It is an upper figure. Frost, snow, a wind-break and a burner that never rests all take from it:
    `still_air_capacity` is a third of it, and a table of the trade for half-full tanks "without
    frosting" gives 0.7 of it at -18 °C and 0.4 at -7 °C for draws with rests, a quarter of that
    for a continuous draw. A steady load above this figure outruns the tank; one below a tenth of it
    does not by any table seen; between the two, weather and draw decide. Not for buried tanks and
    standing cylinders. The tank maker's or the gas supplier's table goes first.

    Examples
    --------
    500 US gallons, 38 by 118 inches, 30 % full, -10 °F:

    >>> round(vapour_capacity(0.9652, 2.9972, 0.30, 249.817) / 1000, 1)
    46.0

    References
    ----------
    [1] Engine maker's installation planning guide (2011), appendix D.
    """
    constant = np.interp(RULE_SHARE.check(liquid), RULE_LIQUID, RULE_K)
    warmer = RULE_TEMPERATURE.check(air_temperature) - RULE_LIQUID_TEMPERATURE
    across, along = _tank(diameter, length)
    return plain(RULE_UNIT * across * along * constant * warmer / RULE_TEMPERATURE_DIFFERENCE)


def still_air_capacity(
    diameter,
    length,
    liquid,
    air_temperature,
    liquid_temperature=RULE_LIQUID_TEMPERATURE,
    heat_transfer=STILL_AIR,
):
    r"""Heat input that a lying tank can feed for ever: wetted area · U · ΔT · heating value / r.

    Parameters
    ----------
    diameter : float or ndarray
        Outside diameter [m]. 0.2 to 3.
    length : float or ndarray
        Overall length, heads included [m]. `diameter` to 20.
    liquid : float or ndarray
        Share of the tank's volume that is liquid, as its gauge shows [1]. 0 to 1.
    air_temperature : float or ndarray
        Air at the tank [K]. 223.15 to 333.15.
    liquid_temperature : float or ndarray
        Coldest that the liquid may get, where its pressure still works the regulator [K]. 223.15
        to `air_temperature`.
    heat_transfer : float or ndarray
        From the air to the wetted wall [W/(m²·K)]. 0.5 to 50.

    Returns
    -------
    float or ndarray
        Gross heat of the vapour [W].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, or the liquid is warmer than the air.

    Notes
    -----
    A balance, as a check on `vapour_capacity`, for a burner that runs without rest. Ignores frost,
    which lowers the coefficient: the trade's table for continuous draw without frosting gives a
    third of this figure at -7 °C, half at -18 °C, the same at -23 °C. Ignores sun, wind and the
    vapour space, which raise it, and the warmth stored in the liquid, which feeds a short draw at
    any rate.

    Examples
    --------
    500 US gallons, 30 % full, -10 °F, as above:

    >>> round(still_air_capacity(0.9652, 2.9972, 0.30, 249.817) / 1000, 1)
    15.7
    """
    air, cold = (
        AIR_TEMPERATURE.check(air_temperature),
        PROPANE_TEMPERATURE.check(liquid_temperature),
    )
    if np.any(cold > air):
        raise OutOfRange(
            "the liquid must not be warmer than the air, or no heat comes in; were the two swapped?"
        )
    heat = HEAT_TRANSFER.check(heat_transfer) * wetted_area(diameter, length, liquid) * (air - cold)
    return plain(heat * GROSS_HEAT / heat_of_evaporation(cold))
