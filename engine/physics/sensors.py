"""Whether a temperature sensor tells the truth, from its resistance and a thermometer beside it.

When they disagree the sensor may be sound and the *curve* wrong, a common slip: `curves_by_fit`
ranks the curves that are known.
"""

from typing import NamedTuple

from engine.errors import OutOfRange
from engine.physics.limits import one_by_one, plain
from engine.physics.ntc import SENSOR_RESISTANCE, SENSOR_TEMPERATURE
from engine.physics.sensor_curves import (
    CURVES,
    curve_named,
    resistance_by_table,
    temperature_by_table,
)


class Fit(NamedTuple):
    """How far a curve's temperature lies above the thermometer [K]."""

    curve: str
    mismatch: float


def sensor_temperature(resistance, curve):
    r"""Temperature that a sensor's resistance stands for.

    Parameters
    ----------
    resistance : float or ndarray
        Resistance read, sensor unplugged [ohm]. Inside the curve's table.
    curve : str or Curve
        A name in `CURVES`, or a `Curve` made from a maker's table [-].

    Returns
    -------
    float or ndarray
        Temperature [K].

    Raises
    ------
    OutOfRange
        If the curve is not known or the resistance is outside it; too high is an open circuit, too
        low a short, either may be another type of sensor.

    Notes
    -----
    The sensor's own tolerance, 1 % of resistance or 0.25 K at 25 °C and more away from it, comes on
    top (common practice, no source). Measure with the plug off: the control's circuit lies in
    parallel.

    Examples
    --------
    >>> round(sensor_temperature(2487.0, "ntc_10k_3977") - 273.15, 1)
    60.0
    """
    return temperature_by_table(resistance, curve_named(curve).points)


def sensor_resistance(temperature, curve):
    r"""Resistance that a sensor should show.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature by a thermometer at the sensor [K]. Inside the curve's table.
    curve : str or Curve
        A name in `CURVES`, or a `Curve` made from a maker's table [-].

    Returns
    -------
    float or ndarray
        Resistance [ohm].

    Raises
    ------
    OutOfRange
        If the curve is not known or the temperature is outside it.

    Examples
    --------
    >>> round(sensor_resistance(273.15 + 60, "ntc_12k_3740"))
    3252
    """
    return resistance_by_table(temperature, curve_named(curve).points)


def sensor_mismatch(resistance, thermometer_temperature, curve):
    r"""How much warmer the sensor says it is than the thermometer beside it.

    Parameters
    ----------
    resistance : float or ndarray
        Resistance read, sensor unplugged [ohm]. Inside the curve's table.
    thermometer_temperature : float or ndarray
        Temperature by a thermometer on the same spot, both settled [K]. 173.15 to 623.15.
    curve : str or Curve
        A name in `CURVES`, or a `Curve` made from a maker's table [-].

    Returns
    -------
    float or ndarray
        Sensor minus thermometer [K]; negative when the sensor reads cold, and the control overheats
        the water.

    Raises
    ------
    OutOfRange
        If the curve is not known or a value is outside its range.

    Notes
    -----
    Clamped on a pipe without paste and insulation, a thermometer reads several kelvin low. A
    mismatch within 3 K is no finding (common practice, no source).

    Examples
    --------
    >>> round(sensor_mismatch(2082.0, 273.15 + 60, "ntc_10k_3977"), 1)
    5.0
    """
    beside = SENSOR_TEMPERATURE.check(thermometer_temperature)
    return plain(sensor_temperature(resistance, curve) - beside)


def curves_by_fit(resistance, temperature):
    r"""The known curves, the one that fits a reading best first.

    Parameters
    ----------
    resistance : float or ndarray
        Resistance read, sensor unplugged [ohm]. Above 0, to 10 million.
    temperature : float or ndarray
        Temperature by a thermometer at the sensor [K]. 173.15 to 623.15.

    Returns
    -------
    tuple of Fit, or ndarray of them
        Name and mismatch [K] of every curve that knows this resistance, smallest mismatch first.

    Raises
    ------
    OutOfRange
        If a value is outside its range, or no curve knows the resistance.

    Notes
    -----
    Sensors of one resistance at 25 °C cannot be told apart near 25 °C: measure again with the water
    hot. Others cross elsewhere, a Pt1000 and a 5 kΩ NTC at 60 °C: two temperatures decide.

    Examples
    --------
    >>> [fit.curve for fit in curves_by_fit(3252.0, 273.15 + 60)][:2]
    ['ntc_12k_3740', 'ntc_10k_3435']
    """
    return one_by_one(
        _by_fit, SENSOR_RESISTANCE.check(resistance), SENSOR_TEMPERATURE.check(temperature)
    )


def _by_fit(ohms, kelvin) -> tuple[Fit, ...]:
    known = [
        Fit(name, sensor_temperature(ohms, curve) - kelvin)
        for name, curve in CURVES.items()
        if curve.reach[0] <= ohms <= curve.reach[1]
    ]
    if not known:
        raise OutOfRange(
            f"no known sensor shows {ohms:.6g} ohm; a high value is an open circuit (lead broken, "
            "plug off, sensor failed), a low one a short (leads touching, water in the plug)"
        )
    return tuple(sorted(known, key=lambda fit: abs(fit.mismatch)))
