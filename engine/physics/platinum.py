"""Platinum resistance sensors (Pt100, Pt1000) after IEC 60751, used for flue gas and outdoors.

R/R0 = 1 + A·t + B·t² from 0 °C up, and + C·(t - 100)·t³ below, with t in °C: the equation of
Callendar and Van Dusen with the coefficients of the standard.
"""

import numpy as np

from engine.errors import OutOfRange
from engine.physics.limits import Range, plain

ZERO = 273.15  # K, 0 °C
# IEC 60751:2008, clause 4.2; printed alike by several public tables.
A = 3.9083e-3  # 1/K
B = -5.775e-7  # 1/K²
C = -4.183e-12  # 1/K⁴

# Permissible deviation, constant [K] and per kelvin from 0 °C [1], with the limits printed in the
# table of IEC 60751:1995. The 2008 edition keeps the formulas and narrows the limits by the way
# the sensor is built (class A film -30 to 300 °C, class B film -50 to 500 °C; from memory).
CLASSES = {"A": (0.15, 0.002, 73.15, 923.15), "B": (0.3, 0.005, 73.15, 1123.15)}

NOMINAL = Range("resistance at 0 °C", 10.0, 10_000.0, "ohm", "Pt100 has 100, Pt1000 has 1000")
PLATINUM_TEMPERATURE = Range(
    "temperature of a platinum sensor",
    73.15,
    1123.15,
    "K",
    "was a reading in °C or °F passed without converting it?",
)
NEWTON_STEPS = 6  # from the quadratic's root, 2.4 K off at worst, down to rounding


def platinum_resistance(temperature, nominal=100.0):
    r"""Resistance of a platinum sensor at a temperature.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the sensor [K]. 73.15 to 1123.15.
    nominal : float or ndarray
        Resistance at 0 °C [ohm]. 10 to 10 000; 100 for a Pt100, 1000 for a Pt1000.

    Returns
    -------
    float or ndarray
        Resistance [ohm].

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Notes
    -----
    Only the sensor; the lead adds its own resistance, 2.6 K per ohm on a two-wire Pt100 and 0.26 K
    on a Pt1000.

    Examples
    --------
    >>> round(platinum_resistance(373.15), 2)
    138.51

    References
    ----------
    [1] IEC 60751:2008, industrial platinum resistance thermometers, clause 4.2.
    """
    return plain(NOMINAL.check(nominal) * _ratio(PLATINUM_TEMPERATURE.check(temperature) - ZERO))


def platinum_temperature(resistance, nominal=100.0):
    r"""Temperature behind the resistance of a platinum sensor.

    Parameters
    ----------
    resistance : float or ndarray
        Resistance read, sensor unplugged [ohm]. 0.1852 to 3.9048 times the nominal.
    nominal : float or ndarray
        Resistance at 0 °C [ohm]. 10 to 10 000; 100 for a Pt100, 1000 for a Pt1000.

    Returns
    -------
    float or ndarray
        Temperature [K].

    Raises
    ------
    OutOfRange
        If an argument is outside its range; too high is an open circuit, too low a short.

    Notes
    -----
    The quadratic is solved in closed form from 0 °C up; below, Newton steps run to rounding.

    Examples
    --------
    >>> round(platinum_temperature(1385.1, 1000.0) - 273.15, 2)
    100.0

    References
    ----------
    [1] IEC 60751:2008, industrial platinum resistance thermometers, clause 4.2.
    """
    known = Range(
        "resistance over its value at 0 °C",
        float(_ratio(PLATINUM_TEMPERATURE.low - ZERO)),
        float(_ratio(PLATINUM_TEMPERATURE.high - ZERO)),
        "1",
        "above is an open circuit (lead broken, plug off), below a short circuit; or is it "
        "another type of sensor?",
    )
    ohms = np.asarray(resistance)
    if ohms.dtype.kind not in "iuf":
        raise OutOfRange(f"sensor resistance must be a number in ohm, got {resistance!r}")
    ratio = known.check(ohms / NOMINAL.check(nominal))
    celsius = (np.sqrt(A**2 - 4 * B * (1 - ratio)) - A) / (2 * B)
    for _ in range(NEWTON_STEPS):
        celsius = celsius - (_ratio(celsius) - ratio) / _slope(celsius)
    return plain(celsius + ZERO)


def platinum_tolerance(temperature, tolerance_class):
    r"""How far a sound platinum sensor may read from the truth.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the sensor [K]. 73.15 to 923.15 in class A, to 1123.15 in class B.
    tolerance_class : str
        ``"A"`` or ``"B"`` [-]; B where nothing is printed on the sensor.

    Returns
    -------
    float or ndarray
        Largest deviation either way [K].

    Raises
    ------
    OutOfRange
        If the temperature is outside the class, or the class is not known.

    Examples
    --------
    >>> round(platinum_tolerance(333.15, "B"), 2)
    0.6

    References
    ----------
    [1] IEC 60751:1995, table of tolerances; formulas unchanged in the edition of 2008.
    """
    if not isinstance(tolerance_class, str) or tolerance_class not in CLASSES:
        raise OutOfRange(f"tolerance class {tolerance_class!r} is not known; write 'A' or 'B'")
    constant, slope, low, high = CLASSES[tolerance_class]
    inside = Range(
        f"temperature of a class {tolerance_class} sensor",
        low,
        high,
        "K",
        PLATINUM_TEMPERATURE.slip,
    )
    return plain(constant + slope * np.abs(inside.check(temperature) - ZERO))


def _ratio(celsius):
    below = np.minimum(celsius, 0.0)
    return 1 + A * celsius + B * celsius**2 + C * (below - 100) * below**3


def _slope(celsius):
    below = np.minimum(celsius, 0.0)
    return A + 2 * B * celsius + C * (4 * below - 300) * below**2
