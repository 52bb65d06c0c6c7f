"""Water vapour: when it is saturated, how much the air brings, and where flue gas begins to dew.

Flue gas of natural gas dews below 54 to 59 °C: only a return colder than that makes a boiler
condense.
"""

import numpy as np

from engine.physics.flue_gas import water_share
from engine.physics.limits import Range, plain

_SLIP = "was a reading in °C or °F passed without converting it?"
VAPOUR_TEMPERATURE = Range("temperature of saturated vapour", 223.15, 647.096, "K", _SLIP)
VAPOUR_PRESSURE = Range(
    "pressure of saturated vapour, absolute",
    611.213,
    22.064e6,
    "Pa",
    "was a reading in mbar or kPa passed without converting it? Below 611 Pa there is only ice",
)
INTAKE_TEMPERATURE = Range("temperature of the combustion air", 223.15, 323.15, "K", _SLIP)
RELATIVE_HUMIDITY = Range(
    "relative humidity", 0.0, 1.0, "1", "was a reading in per cent passed without dividing by 100?"
)
# From 5500 m above to 500 m below the sea.
ABSOLUTE_PRESSURE = Range(
    "absolute pressure",
    50_000.0,
    110_000.0,
    "Pa",
    "was a gauge pressure or a reading in mbar passed? At sea level it is about 101 325 Pa",
)

FREEZING = 273.15  # K; region 4 of IAPWS-IF97 begins here
# IAPWS R7-97(2012), Industrial Formulation 1997, table 34: the saturation line.
N1, N2, N3, N4, N5, N6, N7, N8, N9, N10 = (
    0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5,
    -0.32325550322333e7, 0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6,
    -0.23855557567849, 0.65017534844798e3,
)  # fmt: skip
# IAPWS R14-08(2011), Pressure along the Melting and Sublimation Curves, equation (6).
TRIPLE_TEMPERATURE, TRIPLE_PRESSURE = 273.16, 611.657  # K, Pa
SUBLIMATION = (
    (-0.212144006e2, 0.333333333e-2),
    (0.273203819e2, 0.120666667e1),
    (-0.610598130e1, 0.170333333e1),
)


def _over_water(kelvin):
    """IAPWS-IF97 equation (30)."""
    theta = kelvin + N9 / (kelvin - N10)
    a = (theta + N1) * theta + N2
    b = (N3 * theta + N4) * theta + N5
    c = (N6 * theta + N7) * theta + N8
    return 1e6 * (2 * c / (-b + np.sqrt(b * b - 4 * a * c))) ** 4


def _over_ice(kelvin):
    theta = kelvin / TRIPLE_TEMPERATURE
    exponent = sum(factor * theta**power for factor, power in SUBLIMATION)
    return TRIPLE_PRESSURE * np.exp(exponent / theta)


def saturation_pressure(temperature):
    r"""Pressure of water vapour above water, or above ice below 0 °C.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature [K]. 223.15 to 647.096.

    Returns
    -------
    float or ndarray, same shape as `temperature`
        Absolute pressure of saturated vapour [Pa].

    Raises
    ------
    OutOfRange
        If the temperature is outside 223.15 to 647.096 K.

    Notes
    -----
    Pure vapour. Air or flue gas at 1 atm above the water raises it by 0.5 %, which moves a dew
    point by 0.1 K. At 273.15 K the two equations differ by 0.01 %.

    Examples
    --------
    >>> round(saturation_pressure(323.15))
    12351

    References
    ----------
    [1] IAPWS R7-97(2012), Industrial Formulation 1997, equation (30).
    [2] IAPWS R14-08(2011), Melting and Sublimation Curves, equation (6).
    """
    kelvin = VAPOUR_TEMPERATURE.check(temperature)
    if np.all(kelvin >= FREEZING):
        return plain(_over_water(kelvin))
    return plain(np.where(kelvin >= FREEZING, _over_water(kelvin), _over_ice(kelvin)))


def saturation_temperature(absolute_pressure):
    r"""Temperature at which vapour of a pressure is saturated, above water.

    Parameters
    ----------
    absolute_pressure : float or ndarray
        Absolute pressure of the vapour, its partial pressure in a mixture [Pa]. 611.213 to
        22.064 million.

    Returns
    -------
    float or ndarray, same shape as `absolute_pressure`
        Saturation temperature [K].

    Raises
    ------
    OutOfRange
        If the pressure is outside 611.213 to 22.064 million Pa.

    Notes
    -----
    The exact inverse of `saturation_pressure` from 0 °C up.

    Examples
    --------
    >>> round(saturation_temperature(12351.3) - 273.15, 2)
    50.0

    References
    ----------
    [1] IAPWS R7-97(2012), Industrial Formulation 1997, equation (31).
    """
    beta = (VAPOUR_PRESSURE.check(absolute_pressure) / 1e6) ** 0.25
    e = (beta + N3) * beta + N6
    f = (N1 * beta + N4) * beta + N7
    g = (N2 * beta + N5) * beta + N8
    d = 2 * g / (-f - np.sqrt(f * f - 4 * e * g))
    return plain((N10 + d - np.sqrt((N10 + d) ** 2 - 4 * (N9 + N10 * d))) / 2)


def air_humidity(temperature, relative_humidity, absolute_pressure):
    r"""Water vapour that the combustion air brings, per dry air.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the air where its humidity was read [K]. 223.15 to 323.15.
    relative_humidity : float or ndarray
        Relative humidity [1]. 0 to 1; 0.6 is 60 %.
    absolute_pressure : float or ndarray
        Absolute pressure of the air [Pa]. 50 000 to 110 000.

    Returns
    -------
    float or ndarray
        Water vapour, mole per mole of dry air [1].

    Raises
    ------
    OutOfRange
        If a value is outside its range.

    Notes
    -----
    Below 0 °C relative humidity counts over ice. Weather services count it over supercooled water:
    at -10 °C that is 10 % more vapour, less than 0.05 K of a flue's dew point.

    Examples
    --------
    >>> round(air_humidity(293.15, 0.5, 101325.0), 4)
    0.0117
    """
    vapour = RELATIVE_HUMIDITY.check(relative_humidity) * np.asarray(
        saturation_pressure(INTAKE_TEMPERATURE.check(temperature))
    )
    return plain(vapour / (ABSOLUTE_PRESSURE.check(absolute_pressure) - vapour))


def flue_dew_point(o2, fuel, absolute_pressure=101_325.0, air_humidity=0.0):
    r"""Temperature below which flue gas drops water.

    Parameters
    ----------
    o2 : float or ndarray
        Oxygen in dry flue gas, mole fraction [1]. 0 to 0.20.
    fuel : str or Fuel
        ``"natural_gas"``, ``"propane"`` or a `Fuel` [-].
    absolute_pressure : float or ndarray
        Absolute pressure in the flue, that of the place [Pa]. 50 000 to 110 000.
    air_humidity : float or ndarray
        Water vapour in the combustion air, mole per mole of dry air [1]. 0 to 0.35.

    Returns
    -------
    float or ndarray
        Dew point [K].

    Raises
    ------
    OutOfRange
        If a value is outside its range, the fuel is not known, or the flue gas is so thin that it
        would not dew above 0 °C.

    Notes
    -----
    Dew point of water; gas without sulphur leaves no acid above it. The dew is on the *wall*:
    a return below the dew point condenses although the flue thermometer still reads above it.
    Ignores that gas above the water raises its vapour pressure by 0.5 % (0.1 K too high here).

    Examples
    --------
    >>> round(flue_dew_point(0.05, "natural_gas") - 273.15, 1)
    54.1
    """
    share = np.asarray(water_share(o2, fuel, air_humidity))
    return saturation_temperature(share * ABSOLUTE_PRESSURE.check(absolute_pressure))
