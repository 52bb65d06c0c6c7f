"""What the boiler is fed: gas pressure, heat input by the meter, and the fan that sets it.

In a premix boiler the fan's speed sets the air, and gas follows air: the speed ratio stands here
because it is the first thing to compare with the input.
"""

from engine.physics.limits import Range, plain

# Down to -10 mbar: suction at a starved inlet, or a manometer that was not zeroed.
SUPPLY_PRESSURE = Range(
    "gas pressure",
    -1000.0,
    50_000.0,
    "Pa",
    "was a reading in kPa, mbar or inches of water passed without converting it?",
)
METERED_VOLUME = Range(
    "volume by the meter", 1e-4, 100.0, "m³", "was a reading in cubic feet or litres unconverted?"
)
CLOCKED_DURATION = Range(
    "time by the clock", 1.0, 36_000.0, "s", "was a time in minutes passed without converting it?"
)
HEATING_VALUE = Range(
    "heating value",
    5e6,
    150e6,
    "J/m³",
    "was it in MJ/m³, kWh/m³ or Btu/ft³? Natural gas has about 38e6 J/m³",
)
RATED_INPUT = Range("rated input", 1e3, 1e7, "W", "was it in kW or Btu/h? See the rating plate")
FAN_SPEED = Range(
    "fan speed", 0.0, 500.0, "revolutions per second", "was a speed in rpm passed unconverted?"
)
ASKED_FAN_SPEED = Range(
    "fan speed asked for",
    1.0,
    500.0,
    "revolutions per second",
    "was a speed in rpm passed unconverted, or is the fan not asked to run?",
)


def pressure_sag(static, running):
    r"""Gas pressure lost between standstill and full fire, static minus running.

    Parameters
    ----------
    static : float or ndarray
        Gauge pressure at the inlet with the burner off [Pa]. -1000 to 50 000.
    running : float or ndarray
        Gauge pressure at the same point at high fire, every other gas appliance on [Pa]. -1000 to
        50 000.

    Returns
    -------
    float or ndarray
        Sag [Pa]; negative when the pressure rises.

    Raises
    ------
    OutOfRange
        If a pressure is outside -1000 to 50 000 Pa.

    Examples
    --------
    >>> pressure_sag(1750.0, 1500.0)
    250.0
    """
    return plain(SUPPLY_PRESSURE.check(static) - SUPPLY_PRESSURE.check(running))


def clocked_input(volume, duration, heating_value):
    r"""Heat input by the gas meter, volume·heating value/duration.

    Parameters
    ----------
    volume : float or ndarray
        Gas through the meter, nothing else burning [m³]. 0.0001 to 100.
    duration : float or ndarray
        Time it took [s]. 1 to 36 000.
    heating_value : float or ndarray
        Heating value of the gas as the meter measures it [J/m³]. 5e6 to 150e6. Gross gives gross
        input, net gives net input; ratings in North America are gross.

    Returns
    -------
    float or ndarray
        Heat input [W].

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Notes
    -----
    Ignores the gas's temperature and pressure in the meter: against the conditions of the heating
    value each 3 K makes 1 %, each 10 mbar of gas pressure 1 %, each 100 m of altitude 1.2 %, unless
    the meter corrects for it. Take at least two turns of the smallest dial.

    Examples
    --------
    >>> cubic_foot, btu_per_cubic_foot = 0.028316846592, 37_258.95
    >>> round(clocked_input(cubic_foot, 36.0, 1000 * btu_per_cubic_foot))   # 100 000 Btu/h
    29307
    """
    gas, time = METERED_VOLUME.check(volume), CLOCKED_DURATION.check(duration)
    return plain(gas * HEATING_VALUE.check(heating_value) / time)


def input_share(volume, duration, heating_value, rated_input):
    r"""Heat input by the gas meter over the rated input.

    Parameters
    ----------
    volume : float or ndarray
        Gas through the meter, nothing else burning [m³]. 0.0001 to 100.
    duration : float or ndarray
        Time it took [s]. 1 to 36 000.
    heating_value : float or ndarray
        Heating value of the gas, gross or net as the rating is [J/m³]. 5e6 to 150e6.
    rated_input : float or ndarray
        Input on the rating plate, corrected for altitude [W]. 1000 to 1e7.

    Returns
    -------
    float or ndarray
        Share [1]; 1 is as rated.

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Notes
    -----
    See `clocked_input` for what is ignored. Compare at high fire, unlimited by the control.

    Examples
    --------
    >>> round(input_share(0.028316846592, 36.0, 37.25895e6, 29_307.1), 3)
    1.0
    """
    rated = RATED_INPUT.check(rated_input)
    return plain(clocked_input(volume, duration, heating_value) / rated)


def speed_ratio(measured, asked):
    r"""Fan speed measured over the speed the control asks for.

    Parameters
    ----------
    measured : float or ndarray
        Speed by the tachometer signal [1/s], revolutions per second. 0 to 500.
    asked : float or ndarray
        Speed the control asks for at the same moment [1/s], revolutions per second. 1 to 500.

    Returns
    -------
    float or ndarray
        Ratio [1]; 1 is as asked, 0 is a fan that stands still.

    Raises
    ------
    OutOfRange
        If a speed is outside its range.

    Examples
    --------
    >>> speed_ratio(63.0, 70.0)
    0.9
    """
    return plain(FAN_SPEED.check(measured) / ASKED_FAN_SPEED.check(asked))
