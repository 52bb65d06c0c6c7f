"""The air outdoors: the standard atmosphere by altitude, and the density of moist air.

The standard atmosphere of ISO 2533 (the same as ICAO's, and up to 20 km as the U.S. Standard
Atmosphere 1976) is an agreed average. Weather moves the real pressure by some 4 % either way (from
memory): a barometer on site is better than an altitude.
"""

import numpy as np

from engine.physics.flue_gas import AIR_HUMIDITY
from engine.physics.limits import Range, plain
from engine.physics.moisture import ABSOLUTE_PRESSURE

# ISO 2533:1975, tables 1 and 4.
SEA_LEVEL_PRESSURE = 101_325.0  # Pa
SEA_LEVEL_TEMPERATURE = 288.15  # K
LAPSE_RATE = 0.0065  # K per metre of geopotential altitude, up to 11 km
GRAVITY = 9.806_65  # m/s²
EARTH_RADIUS = 6_356_766.0  # m, for which gravity at 45° latitude falls with height as it does
DRY_AIR_GAS_CONSTANT = 287.052_87  # J/(kg·K)

# Molar mass of water over that of dry air, 18.015 28 [IUPAC 2021] over 28.964 42 [ISO 2533].
WATER_OVER_AIR = 0.621_980

ALTITUDE = Range(
    "altitude", -500.0, 5000.0, "m", "was an altitude in feet passed without converting it?"
)
AIR_TEMPERATURE = Range(
    "air temperature", 200.0, 400.0, "K", "was a reading in °C or °F passed without converting it?"
)


def standard_temperature(altitude):
    r"""Temperature of the standard atmosphere, T = 288.15 K - 6.5 K/km·H.

    Parameters
    ----------
    altitude : float or ndarray
        Height above mean sea level, as on a map [m]. -500 to 5000.

    Returns
    -------
    float or ndarray, same shape as `altitude`
        Temperature [K].

    Raises
    ------
    OutOfRange
        If `altitude` is outside -500 to 5000 m.

    Notes
    -----
    H is the geopotential altitude, r·h/(r + h): 0.08 % less than the height at 5000 m.

    Examples
    --------
    >>> round(standard_temperature(1000.0), 2)
    281.65

    References
    ----------
    [1] ISO 2533:1975, Standard Atmosphere, clause 2.
    """
    height = ALTITUDE.check(altitude)
    geopotential = EARTH_RADIUS * height / (EARTH_RADIUS + height)
    return plain(SEA_LEVEL_TEMPERATURE - LAPSE_RATE * geopotential)


def standard_pressure(altitude):
    r"""Pressure of the standard atmosphere, p = 101 325 Pa·(T/288.15 K)^5.2559.

    Parameters
    ----------
    altitude : float or ndarray
        Height above mean sea level, as on a map [m]. -500 to 5000.

    Returns
    -------
    float or ndarray, same shape as `altitude`
        Absolute pressure [Pa].

    Raises
    ------
    OutOfRange
        If `altitude` is outside -500 to 5000 m.

    Notes
    -----
    An average: weather is left out. A weather report gives the pressure *reduced to sea level*, not
    the pressure on site.

    Examples
    --------
    >>> round(standard_pressure(1609.344) / 100)   # a mile above the sea, mbar
    834

    References
    ----------
    [1] ISO 2533:1975, Standard Atmosphere, clause 2.
    """
    exponent = GRAVITY / (DRY_AIR_GAS_CONSTANT * LAPSE_RATE)
    relative = np.asarray(standard_temperature(altitude)) / SEA_LEVEL_TEMPERATURE
    return plain(SEA_LEVEL_PRESSURE * relative**exponent)


def standard_density(altitude):
    r"""Density of the standard atmosphere, dry air.

    Parameters
    ----------
    altitude : float or ndarray
        Height above mean sea level, as on a map [m]. -500 to 5000.

    Returns
    -------
    float or ndarray, same shape as `altitude`
        Density [kg/m³]; 1.225 at sea level.

    Raises
    ------
    OutOfRange
        If `altitude` is outside -500 to 5000 m.

    Notes
    -----
    At the standard's own temperature, which falls with altitude. In a heated boiler room the air
    thins with the pressure alone, faster: 3.6 % instead of 2.9 % over the first 1000 ft.

    Examples
    --------
    >>> round(standard_density(2000.0), 4)
    1.0066

    References
    ----------
    [1] ISO 2533:1975, Standard Atmosphere, clause 2.
    """
    pressure = np.asarray(standard_pressure(altitude))
    return plain(pressure / (DRY_AIR_GAS_CONSTANT * np.asarray(standard_temperature(altitude))))


def air_density(temperature, absolute_pressure=101_325.0, air_humidity=0.0):
    r"""Density of air, rho = p/(R·T)·(1 + 0.622·w)/(1 + w).

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the air [K]. 200 to 400.
    absolute_pressure : float or ndarray
        Absolute pressure [Pa]. 50 000 to 110 000.
    air_humidity : float or ndarray
        Moles of water per mole of dry air, w [1]. 0 to 0.35; see `moisture.air_humidity`.

    Returns
    -------
    float or ndarray
        Density [kg/m³].

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Notes
    -----
    Ideal gas: within 0.1 % here. Moist air is *lighter* than dry air at the same temperature.
    Droplets of fog are not counted, and saturation is not checked.

    Examples
    --------
    >>> round(air_density(293.15), 3)
    1.204
    """
    warmth = AIR_TEMPERATURE.check(temperature)
    pressure, water = ABSOLUTE_PRESSURE.check(absolute_pressure), AIR_HUMIDITY.check(air_humidity)
    dry = pressure / (DRY_AIR_GAS_CONSTANT * warmth)
    return plain(dry * (1 + WATER_OVER_AIR * water) / (1 + water))
