"""Thermistors whose resistance falls with temperature (NTC), by the equations of their makers.

Three equations between temperature and resistance, each with its way back. The beta equation needs
two numbers and errs by up to 0.8 K between 0 and 100 °C; the other two follow the maker's table
within some hundredths. Where there is a table, take the table (`sensors`).
"""

import numpy as np

from engine.errors import OutOfRange
from engine.physics.limits import Range, plain

SENSOR_RESISTANCE = Range(
    "sensor resistance",
    0.0,
    1e7,
    "ohm",
    "a meter that shows OL or a lone 1 sees an open circuit: lead broken, plug off, sensor failed",
)
REFERENCE_RESISTANCE = Range(
    "resistance at the reference temperature", 10.0, 1e6, "ohm", "was it in kΩ? 10 kΩ is 10 000"
)
REFERENCE_TEMPERATURE = Range(
    "reference temperature", 250.0, 400.0, "K", "was it in °C? 25 °C is 298.15 K"
)
BETA = Range("beta", 1000.0, 10_000.0, "K", "common sensors have 3400 to 4300; was R25 passed?")
SENSOR_TEMPERATURE = Range(
    "sensor temperature", 173.15, 623.15, "K", "was a reading in °C or °F passed unconverted?"
)
FOUND_TEMPERATURE = Range(
    "temperature behind the resistance",
    173.15,
    623.15,
    "K",
    "do resistance and coefficients belong to one sensor? A lead may also be open or shorted",
)
_FORM = "is it of this form of the equation, for resistance in ohm?"
CONSTANT = Range("Steinhart-Hart coefficient a", 1e-4, 5e-3, "1/K", _FORM)
LINEAR = Range("Steinhart-Hart coefficient b", 1e-5, 1e-3, "1/K", _FORM)
CUBIC = Range("Steinhart-Hart coefficient c", 1e-10, 1e-6, "1/K", _FORM)
SHEET_CONSTANT = Range("data-sheet coefficient a", 2e-3, 5e-3, "1/K", "it is 1 over 298.15 K")
SHEET_LINEAR = Range("data-sheet coefficient b", 1e-5, 1e-3, "1/K", _FORM)
SHEET_SQUARE = Range("data-sheet coefficient c", -1e-4, 1e-4, "1/K", _FORM)
SHEET_CUBIC = Range("data-sheet coefficient d", -1e-5, 1e-5, "1/K", _FORM)

SPAN = 8.0  # ln(R/R_reference) at most; a factor of 3000, beyond -60 and +250 °C for common sensors
HALVINGS = 60  # bisection from 16 down to rounding


def _live(resistance):
    """Resistance as floats above zero; a short has no temperature."""
    ohms = SENSOR_RESISTANCE.check(resistance)
    if not np.all(ohms > 0):
        raise OutOfRange(
            f"sensor resistance must be above 0 ohm, got {ohms[ohms <= 0].flat[0]:.6g}; "
            "a short circuit: leads touching, water in the plug, or the meter's leads on each other"
        )
    return ohms


def temperature_by_beta(resistance, reference_resistance, beta, reference_temperature=298.15):
    r"""Temperature of a thermistor by the beta equation, 1/T = 1/T_r + ln(R/R_r)/beta.

    Parameters
    ----------
    resistance : float or ndarray
        Resistance read, sensor unplugged [ohm]. Above 0, to 10 million.
    reference_resistance : float or ndarray
        Resistance at the reference temperature [ohm]. 10 to 1 million.
    beta : float or ndarray
        Beta of the material [K]. 1000 to 10 000.
    reference_temperature : float or ndarray
        Temperature of the reference [K]. 250 to 400; nearly always 298.15 (25 °C).

    Returns
    -------
    float or ndarray
        Temperature [K].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, or the temperature comes out below -100 or above
        350 °C.

    Notes
    -----
    Beta itself changes with temperature. A 10 kΩ sensor with a beta of 3977 K (25 to 85 °C) reads
    up to 0.8 K wrong between 0 and 100 °C.

    Examples
    --------
    >>> round(temperature_by_beta(3605.0, 10_000.0, 3977.0) - 273.15, 1)
    49.7
    """
    ratio = _live(resistance) / REFERENCE_RESISTANCE.check(reference_resistance)
    inverse = 1 / REFERENCE_TEMPERATURE.check(reference_temperature) + np.log(ratio) / BETA.check(
        beta
    )
    return _temperature(inverse)


def resistance_by_beta(temperature, reference_resistance, beta, reference_temperature=298.15):
    r"""Resistance of a thermistor by the beta equation, R = R_r·exp(beta·(1/T - 1/T_r)).

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the sensor [K]. 173.15 to 623.15.
    reference_resistance : float or ndarray
        Resistance at the reference temperature [ohm]. 10 to 1 million.
    beta : float or ndarray
        Beta of the material [K]. 1000 to 10 000.
    reference_temperature : float or ndarray
        Temperature of the reference [K]. 250 to 400; nearly always 298.15 (25 °C).

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
    See `temperature_by_beta` for the error of the equation.

    Examples
    --------
    >>> round(resistance_by_beta(273.15 + 85, 10_000.0, 3977.0))
    1070
    """
    inverse = 1 / SENSOR_TEMPERATURE.check(temperature)
    reference = 1 / REFERENCE_TEMPERATURE.check(reference_temperature)
    ohms = REFERENCE_RESISTANCE.check(reference_resistance)
    return plain(ohms * np.exp(BETA.check(beta) * (inverse - reference)))


def temperature_by_steinhart_hart(resistance, a, b, c):
    r"""Temperature of a thermistor, 1/T = a + b·ln R + c·(ln R)³ with R in ohm.

    Parameters
    ----------
    resistance : float or ndarray
        Resistance read, sensor unplugged [ohm]. Above 0, to 10 million.
    a, b, c : float or ndarray
        Coefficients from the maker [1/K]. 0.0001 to 0.005, 0.00001 to 0.001, 1e-10 to 1e-6.

    Returns
    -------
    float or ndarray
        Temperature [K].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, or the temperature comes out below -100 or above
        350 °C.

    Notes
    -----
    Follows a maker's table within some hundredths of a kelvin over 100 K or so.

    Examples
    --------
    >>> coefficients = (1.129241e-3, 2.341077e-4, 8.775468e-8)   # a 10 kΩ sensor
    >>> round(temperature_by_steinhart_hart(10_000.0, *coefficients) - 273.15, 2)
    25.0

    References
    ----------
    [1] J. S. Steinhart, S. R. Hart, "Calibration curves for thermistors", Deep-Sea Research 15
        (1968) 497.
    """
    log = np.log(_live(resistance))
    return _temperature(CONSTANT.check(a) + LINEAR.check(b) * log + CUBIC.check(c) * log**3)


def resistance_by_steinhart_hart(temperature, a, b, c):
    r"""Resistance of a thermistor from its Steinhart-Hart coefficients, the cubic solved for ln R.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the sensor [K]. 173.15 to 623.15.
    a, b, c : float or ndarray
        Coefficients from the maker [1/K]. 0.0001 to 0.005, 0.00001 to 0.001, 1e-10 to 1e-6.

    Returns
    -------
    float or ndarray
        Resistance [ohm].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, or the resistance comes out above 10 million.

    Notes
    -----
    Exact inverse of `temperature_by_steinhart_hart`; with b and c positive there is one real root.

    Examples
    --------
    >>> coefficients = (1.129241e-3, 2.341077e-4, 8.775468e-8)
    >>> round(resistance_by_steinhart_hart(273.15 + 60, *coefficients))
    2487
    """
    third = LINEAR.check(b) / (3 * CUBIC.check(c))
    half = (1 / SENSOR_TEMPERATURE.check(temperature) - CONSTANT.check(a)) / (2 * np.asarray(c))
    # log³ + 3·third·log = 2·half; as a hyperbolic sine the root loses no digits (Cardano's would).
    log = 2 * np.sqrt(third) * np.sinh(np.arcsinh(half / third**1.5) / 3)
    return plain(SENSOR_RESISTANCE.check(np.exp(log)))


def temperature_by_data_sheet(resistance, reference_resistance, a, b, c, d):
    r"""Temperature by four coefficients, 1/T = a + b·x + c·x² + d·x³ with x = ln(R/R_r).

    Parameters
    ----------
    resistance : float or ndarray
        Resistance read, sensor unplugged [ohm]. Above 0, to 10 million, and within a factor of
        2980 of the reference.
    reference_resistance : float or ndarray
        Resistance at 25 °C [ohm]. 10 to 1 million.
    a, b, c, d : float or ndarray
        Coefficients from the data sheet [1/K]. 0.002 to 0.005, 0.00001 to 0.001, -0.0001 to
        0.0001, -0.00001 to 0.00001; one curve must fall all the way.

    Returns
    -------
    float or ndarray
        Temperature [K].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, the curve turns back, or the temperature comes out
        below -100 or above 350 °C.

    Examples
    --------
    >>> coefficients = (3.354016e-3, 2.569850e-4, 2.620131e-6, 6.383091e-8)   # beta 3977 K
    >>> round(temperature_by_data_sheet(3605.0, 10_000.0, *coefficients) - 273.15, 2)
    50.0
    """
    log = np.log(_live(resistance) / REFERENCE_RESISTANCE.check(reference_resistance))
    if not np.all(np.abs(log) <= SPAN):
        raise OutOfRange(
            f"resistance must be within a factor of {np.exp(SPAN):.0f} of the reference, got a "
            f"factor of {np.exp(np.abs(log).max()):.3g}; is the lead open or shorted?"
        )
    a, b, c, d = _sheet(a, b, c, d)
    return _temperature(a + b * log + c * log**2 + d * log**3)


def resistance_by_data_sheet(temperature, reference_resistance, a, b, c, d):
    r"""Resistance behind a temperature by the four data-sheet coefficients, solved by bisection.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the sensor [K]. 173.15 to 623.15.
    reference_resistance : float or ndarray
        Resistance at 25 °C [ohm]. 10 to 1 million.
    a, b, c, d : float or ndarray
        Coefficients from the data sheet [1/K]. 0.002 to 0.005, 0.00001 to 0.001, -0.0001 to
        0.0001, -0.00001 to 0.00001; one curve must fall all the way.

    Returns
    -------
    float or ndarray
        Resistance [ohm].

    Raises
    ------
    OutOfRange
        If an argument is outside its range, the curve turns back, or the resistance is more than
        a factor of 2980 from the reference.

    Notes
    -----
    Exact inverse of `temperature_by_data_sheet`. The data sheet's own second set of coefficients
    for this direction is another fit and differs by some hundredths of a per cent.

    Examples
    --------
    >>> coefficients = (3.354016e-3, 2.569850e-4, 2.620131e-6, 6.383091e-8)
    >>> round(resistance_by_data_sheet(273.15 + 25, 10_000.0, *coefficients))
    10000
    """
    wanted = 1 / SENSOR_TEMPERATURE.check(temperature)
    ohms = REFERENCE_RESISTANCE.check(reference_resistance)
    a, b, c, d = _sheet(a, b, c, d)

    def beyond(log):
        return a + b * log + c * log**2 + d * log**3 - wanted

    if not (np.all(beyond(-SPAN) <= 0) and np.all(beyond(SPAN) >= 0)):
        raise OutOfRange(
            f"resistance at this temperature is more than a factor of {np.exp(SPAN):.0f} from the "
            "reference; do the coefficients belong to this sensor?"
        )
    low = np.full(np.shape(beyond(0.0)), -SPAN)
    width = SPAN
    for _ in range(HALVINGS):
        low = np.where(beyond(low + width) <= 0, low + width, low)
        width /= 2
    return plain(ohms * np.exp(low))


def _temperature(inverse):
    with np.errstate(divide="ignore"):  # an infinite temperature is refused with the others
        return plain(FOUND_TEMPERATURE.check(1 / inverse))


def _sheet(a, b, c, d):
    """The coefficients as floats, if their curve falls over the whole span."""
    a, b = SHEET_CONSTANT.check(a), SHEET_LINEAR.check(b)
    c, d = SHEET_SQUARE.check(c), SHEET_CUBIC.check(d)
    steepest = np.clip(-c / (3 * np.where(d == 0, np.finfo(float).tiny, d)), -SPAN, SPAN)
    for log in (-SPAN, SPAN, steepest):
        if not np.all(b + 2 * c * log + 3 * d * log**2 > 0):
            raise OutOfRange(
                "the data-sheet coefficients give a curve that turns back; was a power of ten or "
                "a sign lost in copying?"
            )
    return a, b, c, d
