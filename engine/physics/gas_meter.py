"""Heat input by the gas meter ("clocking"): the figure, its corrections, how far to trust it."""

import numpy as np

from engine.physics.limits import Range, plain

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
GAS_TEMPERATURE = Range(
    "temperature of the gas in the meter",
    233.15,
    333.15,
    "K",
    "was a reading in °C or °F passed without converting it?",
)
METER_PRESSURE = Range(
    "gauge pressure in the meter",
    -1000.0,
    200_000.0,
    "Pa",
    "was it in psi, mbar or inches of water, or an absolute pressure?",
)
AMBIENT_PRESSURE = Range(  # 5500 m above to 500 m below the sea
    "ambient pressure",
    50_000.0,
    110_000.0,
    "Pa",
    "was it in kPa, mbar or inHg, or reduced to sea level? There it is about 101 325 Pa",
)
REFERENCE_TEMPERATURE = Range(
    "reference temperature of the heating value",
    273.15,
    298.15,
    "K",
    "was it in °C or °F? 60 °F is 288.71 K",
)
REFERENCE_PRESSURE = Range(
    "reference pressure of the heating value",
    95_000.0,
    105_000.0,
    "Pa",
    "was it in psi or kPa? 14.73 psi is 101 560 Pa",
)
DIAL_MARK = Range(
    "smallest mark of the dial", 0.0, 1.0, "m³", "was it in cubic feet or litres unconverted?"
)
REACTION_TIME = Range(
    "reaction time", 0.0, 5.0, "s", "was it in milliseconds? A careful thumb is within 0.2 s"
)
GAS_FLOW = Range(
    "gas flow",
    1e-6,
    0.1,
    "m³/s",
    "was it in m³/h or ft³/h? A boiler of 30 kW takes about 0.0008 m³/s of natural gas",
)
WANTED_DEVIATION = Range(
    "wanted uncertainty", 5e-4, 0.5, "1", "was a percentage passed without dividing by 100?"
)
TURN_VOLUME = Range(
    "volume of one turn of the dial",
    1e-4,
    10.0,
    "m³",
    "was it in cubic feet or litres unconverted? One cubic foot is 0.0283 m³",
)

# Metric reference conditions of gas, ISO 13443:1996: 15 °C and 101.325 kPa.
STANDARD_TEMPERATURE = 288.15  # K
STANDARD_PRESSURE = 101_325.0  # Pa


def meter_factor(
    gas_temperature=STANDARD_TEMPERATURE,
    gauge_pressure=0.0,
    ambient_pressure=STANDARD_PRESSURE,
    reference_temperature=STANDARD_TEMPERATURE,
    reference_pressure=STANDARD_PRESSURE,
):
    r"""Reference volume per volume the meter counted, (p_a + p)/p_r · T_r/T.

    Parameters
    ----------
    gas_temperature : float or ndarray
        Temperature of the gas in the meter [K]. 233.15 to 333.15. Leave it at the reference
        temperature where the meter compensates for temperature (it says so on its plate).
    gauge_pressure : float or ndarray
        Gauge pressure of the gas in the meter [Pa]. -1000 to 200 000.
    ambient_pressure : float or ndarray
        Absolute pressure of the air around the meter, from a barometer on site or from the
        altitude, not reduced to sea level [Pa]. 50 000 to 110 000.
    reference_temperature : float or ndarray
        Temperature to which the heating value belongs [K]. 273.15 to 298.15.
    reference_pressure : float or ndarray
        Absolute pressure to which the heating value belongs [Pa]. 95 000 to 105 000.

    Returns
    -------
    float or ndarray
        Factor [1], to multiply the counted volume with.

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Notes
    -----
    Gauge pressure and altitude alone give the "pressure factor" of a meter behind a 2 psi service.
    Ideal gas: within 0.1 % for natural gas up to 2 psi, 0.9 % up to 2 bar in frost, 1.1 % for
    propane at low pressure from -20 to +30 °C. Ignores moisture; a heating value "saturated" at
    60 °F is 1.74 % below the dry one. A meter with a pressure-compensating index, or one that shows
    corrected volume, must not be corrected again.

    Examples
    --------
    >>> round(meter_factor(gauge_pressure=13_790.0), 3)   # 2 psi, at the sea
    1.136

    References
    ----------
    [1] Gas technician 2 training (Canada), unit 11, "Flow rates with pressure (volume) and
        temperature compensation".
    """
    absolute = METER_PRESSURE.check(gauge_pressure) + AMBIENT_PRESSURE.check(ambient_pressure)
    pressure = absolute / REFERENCE_PRESSURE.check(reference_pressure)
    temperature = REFERENCE_TEMPERATURE.check(reference_temperature)
    return plain(pressure * temperature / GAS_TEMPERATURE.check(gas_temperature))


def clocked_input(
    volume,
    duration,
    heating_value,
    gas_temperature=STANDARD_TEMPERATURE,
    gauge_pressure=0.0,
    ambient_pressure=STANDARD_PRESSURE,
    reference_temperature=STANDARD_TEMPERATURE,
    reference_pressure=STANDARD_PRESSURE,
):
    r"""Heat input by the gas meter, volume · `meter_factor` · heating value / duration.

    Parameters
    ----------
    volume : float or ndarray
        Gas through the meter, nothing else burning [m³]. 0.0001 to 100.
    duration : float or ndarray
        Time it took [s]. 1 to 36 000.
    heating_value : float or ndarray
        Heating value of the gas [J/m³]. 5e6 to 150e6. Gross gives gross input, net gives net
        input; ratings in North America are gross.
    gas_temperature : float or ndarray
        Temperature of the gas in the meter [K]. 233.15 to 333.15.
    gauge_pressure : float or ndarray
        Gauge pressure of the gas in the meter [Pa]. -1000 to 200 000.
    ambient_pressure : float or ndarray
        Absolute pressure of the air around the meter [Pa]. 50 000 to 110 000.
    reference_temperature : float or ndarray
        Temperature to which the heating value belongs [K]. 273.15 to 298.15.
    reference_pressure : float or ndarray
        Absolute pressure to which the heating value belongs [Pa]. 95 000 to 105 000.

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
    Without the last five arguments the meter is taken to count at the conditions of the heating
    value. Against them each 3 K makes 1 %, each 10 mbar of gas pressure 1 %, each 100 m of altitude
    1.2 %, unless the meter corrects for it. See `meter_factor` for what is ignored,
    `clocking_deviation` for how exact it is.

    Examples
    --------
    >>> cubic_foot, btu_per_cubic_foot = 0.028316846592, 37_258.95
    >>> round(clocked_input(cubic_foot, 36.0, 1000 * btu_per_cubic_foot))   # 100 000 Btu/h
    29307
    """
    factor = meter_factor(
        gas_temperature, gauge_pressure, ambient_pressure, reference_temperature, reference_pressure
    )
    gas, time = METERED_VOLUME.check(volume), CLOCKED_DURATION.check(duration)
    return plain(gas * factor * HEATING_VALUE.check(heating_value) / time)


def input_share(
    volume,
    duration,
    heating_value,
    rated_input,
    gas_temperature=STANDARD_TEMPERATURE,
    gauge_pressure=0.0,
    ambient_pressure=STANDARD_PRESSURE,
    reference_temperature=STANDARD_TEMPERATURE,
    reference_pressure=STANDARD_PRESSURE,
):
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
    gas_temperature, gauge_pressure, ambient_pressure : float or ndarray
        State of the gas in the meter, see `clocked_input` [K, Pa, Pa].
    reference_temperature, reference_pressure : float or ndarray
        State to which the heating value belongs, see `clocked_input` [K, Pa].

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
    clocked = clocked_input(
        volume,
        duration,
        heating_value,
        gas_temperature,
        gauge_pressure,
        ambient_pressure,
        reference_temperature,
        reference_pressure,
    )
    return plain(clocked / RATED_INPUT.check(rated_input))


def clocking_deviation(volume, duration, dial_mark, reaction_time):
    r"""Relative standard uncertainty of a clocked flow, from the dial's marks and the stopwatch.

    Parameters
    ----------
    volume : float or ndarray
        Gas through the meter [m³]. 0.0001 to 100.
    duration : float or ndarray
        Time it took [s]. 1 to 36 000.
    dial_mark : float or ndarray
        Gas between two neighbouring marks, or one step of the last digit [m³]. 0 to 1.
    reaction_time : float or ndarray
        Farthest that one press of the stopwatch comes early or late [s]. 0 to 5.

    Returns
    -------
    float or ndarray
        One standard deviation as a share of the flow [1]; about 95 in 100 lie within twice it.

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Notes
    -----
    A reading to the nearest mark d is right to ±d/2, every place equally likely: d/√12 [1, 4.3.7
    and F.2.2.1]. The volume is the difference of two such readings, so √2 of that, d/√6. One press
    is right to ±a: a/√3; the time needs two, a·√(2/3). Flow being volume over time, the shares add
    in squares [1, 5.1.6]:

    .. math:: u = \sqrt{\frac{d^2}{6\,V^2} + \frac{2\,a^2}{3\,t^2}}

    A delay that is the same at both presses drops out. Leaves out the heating value and the meter
    itself, which a commission's rules let run 0.5 % fast or 1.5 % slow [2].

    Examples
    --------
    One turn of a one-foot dial in 36 s, read to a twentieth of it, presses within 0.3 s:

    >>> round(clocking_deviation(0.0283, 36.0, 0.0283 / 20, 0.3), 4)
    0.0215

    References
    ----------
    [1] JCGM 100:2008, Guide to the expression of uncertainty in measurement; clauses from memory.
    [2] Code of Maryland Regulations 20.55.07.02, overall accuracies.
    """
    gas, time = METERED_VOLUME.check(volume), CLOCKED_DURATION.check(duration)
    by_dial = DIAL_MARK.check(dial_mark) / gas
    by_watch = REACTION_TIME.check(reaction_time) / time
    return plain(np.sqrt(by_dial**2 / 6 + 2 * by_watch**2 / 3))


def clocking_duration(flow, deviation, dial_mark, reaction_time):
    r"""How long to clock for a wanted uncertainty: `clocking_deviation` solved for the time.

    Parameters
    ----------
    flow : float or ndarray
        Gas flow, from the rated input or a first rough clocking [m³/s]. 1e-6 to 0.1.
    deviation : float or ndarray
        Wanted relative standard uncertainty [1]. 0.0005 to 0.5.
    dial_mark : float or ndarray
        Gas between two neighbouring marks, or one step of the last digit [m³]. 0 to 1.
    reaction_time : float or ndarray
        Farthest that one press of the stopwatch comes early or late [s]. 0 to 5.

    Returns
    -------
    float or ndarray
        Time [s]. Longer clocking is better still.

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Notes
    -----
    With V = flow·t both shares fall as 1/t. The burner must hold its input that long.

    Examples
    --------
    30 kW of natural gas to 1 %, read to a twentieth of a cubic foot, presses within 0.3 s:

    >>> round(clocking_duration(0.0008, 0.01, 0.0283 / 20, 0.3))
    76
    """
    by_dial = DIAL_MARK.check(dial_mark) / GAS_FLOW.check(flow)
    by_watch = REACTION_TIME.check(reaction_time)
    spread = np.sqrt(by_dial**2 / 6 + 2 * by_watch**2 / 3)
    return plain(spread / WANTED_DEVIATION.check(deviation))


def clocking_turns(flow, deviation, dial_mark, reaction_time, turn_volume):
    r"""How many whole turns of the dial to clock for a wanted uncertainty.

    Parameters
    ----------
    flow : float or ndarray
        Gas flow, from the rated input or a first rough clocking [m³/s]. 1e-6 to 0.1.
    deviation : float or ndarray
        Wanted relative standard uncertainty [1]. 0.0005 to 0.5.
    dial_mark : float or ndarray
        Gas between two neighbouring marks, or one step of the last digit [m³]. 0 to 1.
    reaction_time : float or ndarray
        Farthest that one press of the stopwatch comes early or late [s]. 0 to 5.
    turn_volume : float or ndarray
        Gas that turns the dial once, as printed on it [m³]. 0.0001 to 10.

    Returns
    -------
    float or ndarray
        Turns [1], rounded up, at least 1.

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Notes
    -----
    See `clocking_duration`. Whole turns past the same mark also cancel an unevenly printed dial and
    the meter's own unevenness within a turn.

    Examples
    --------
    >>> clocking_turns(0.0008, 0.01, 0.0283 / 20, 0.3, 0.0283)
    3.0
    """
    gas = GAS_FLOW.check(flow) * clocking_duration(flow, deviation, dial_mark, reaction_time)
    return plain(np.maximum(np.ceil(gas / TURN_VOLUME.check(turn_volume)), 1.0))
