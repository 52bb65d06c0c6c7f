"""What the boiler is fed: gas pressure at the inlet, and the fan that sets how much gas follows.

In a premix boiler the fan's speed sets the air, and gas follows air: the speed ratio stands here
because it is the first thing to compare with the heat input (`gas_meter`).
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
STATIC_PRESSURE = Range(
    "gas pressure with the burner off",
    100.0,
    50_000.0,
    "Pa",
    "was a reading in kPa, mbar or inches of water unconverted? Below 1 mbar there is no supply",
)
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


def sag_share(static, running):
    r"""Gas pressure lost between standstill and full fire, as a share of that at standstill.

    Parameters
    ----------
    static : float or ndarray
        Gauge pressure at the inlet with the burner off [Pa]. 100 to 50 000.
    running : float or ndarray
        Gauge pressure at the same point at high fire, every other gas appliance on [Pa]. -1000 to
        50 000.

    Returns
    -------
    float or ndarray
        Share [1]; 0 is no loss, 1 is all of it, negative when the pressure rises.

    Raises
    ------
    OutOfRange
        If a pressure is outside its range.

    Notes
    -----
    Lets natural gas and propane be held to one measure. The regulator's lock-up, by which it shuts
    a little above its setting, is part of it.

    Examples
    --------
    >>> sag_share(2000.0, 1500.0)
    0.25
    """
    before = STATIC_PRESSURE.check(static)
    return plain((before - SUPPLY_PRESSURE.check(running)) / before)


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
