"""What each kind of temperature sensor shows: tables of resistance, named by their values.

A control expects one of these curves; a sensor with another is the wrong sensor, however sound. A
maker's own table, where there is one, beats all of them: make a `Curve` of it.
"""

from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from engine.errors import OutOfRange, nearest
from engine.physics.limits import Range, plain
from engine.physics.ntc import SENSOR_RESISTANCE, SENSOR_TEMPERATURE
from engine.physics.platinum import platinum_resistance

ZERO = 273.15  # K, 0 °C
ROUNDING = 1e-9  # of a table's first and last resistance


def _columns(points):
    table = np.asarray(points, dtype=float)
    steps = np.diff(table, axis=0) if table.ndim == 2 and table.shape[1:] == (2,) else np.empty(0)
    if not (
        len(steps)
        and np.all(steps[:, 0] > 0)
        and (np.all(steps[:, 1] > 0) or np.all(steps[:, 1] < 0))
        and np.all(table > 0)
    ):
        raise OutOfRange(
            "a sensor's table needs two rows or more of temperature in K and resistance in ohm, "
            "temperature rising, resistance rising or falling throughout"
        )
    return table.T


@dataclass(frozen=True)
class Curve:
    """What one kind of sensor shows.

    Parameters
    ----------
    name : str
        Its values [-]: kind, resistance, and for an NTC the beta between 25 and 85 °C.
    points : tuple of pairs
        Temperature and resistance [K, ohm], temperature rising.
    source : str
        Where the table was seen [-].

    Raises
    ------
    OutOfRange
        If the points are no table.

    Examples
    --------
    >>> Curve("typed from a manual", ((293.15, 12_490.0), (303.15, 8057.0)), "its manual").reach
    (8057.0, 12490.0)
    """

    name: str
    points: tuple[tuple[float, float], ...]
    source: str

    def __post_init__(self):
        _columns(self.points)

    @property
    def reach(self) -> tuple[float, float]:
        """Smallest and largest resistance of the table [ohm]."""
        ends = sorted((self.points[0][1], self.points[-1][1]))
        return ends[0], ends[1]


def _rows(start, step, ohms):
    """Rows from `start` °C on, every `step` K, of a table written as text."""
    return tuple((ZERO + start + step * row, float(ohm)) for row, ohm in enumerate(ohms.split()))


def _platinum(nominal):
    kelvins = ZERO + np.arange(-50.0, 301.0, 5.0)
    ohms = np.round(platinum_resistance(kelvins, nominal), 9)
    return tuple(zip(kelvins.tolist(), ohms.tolist(), strict=True))


_CONTROLLER = "firmware of a room controller, public repository"

CURVES = MappingProxyType(
    {
        curve.name: curve
        for curve in (
            # Also sold as "10 k type II"; a boiler control's table in °F is the same curve.
            Curve(
                "ntc_10k_3977",
                _rows(
                    -30,
                    5,
                    """176683 130243 96970 72895 55298 42315 32651 25395 19903 15714 12494 10000
                    8056 6530 5325 4367 3601 2985 2487 2082 1752 1480 1256 1071 916 787 679""",
                ),
                _CONTROLLER,
            ),
            # Also sold as "10 k type III".
            Curve(
                "ntc_10k_3695",
                _rows(
                    -30,
                    5,
                    """135233 102890 78930 61030 47549 37316 29490 23462 18787 15136 12268 10000
                    8197 6754 5594 4656 3893 3271 2760 2339 1990 1700 1458 1255 1084 940 817""",
                ),
                _CONTROLLER,
            ),
            Curve(
                "ntc_10k_3435",
                _rows(
                    -50,
                    5,
                    """329500 247700 188500 144100 111300 86430 67770 53410 42470 33900 27280 22050
                    17960 14690 12090 10000 8313 6940 5827 4911 4160 3536 3020 2588 2228 1924 1668
                    1451 1266 1108 973.1 857.2 757.6""",
                ),
                "a thermistor maker's table, alike in two public repositories",
            ),
            Curve(
                "ntc_12k_3740",
                _rows(-20, 10, "98932 58879 36129 22804 14773")
                + _rows(25, 5, "12000 9804")
                + _rows(40, 10, "6652 4607 3252 2337 1707 1266 952 726"),
                "service page of a boiler, flow and return sensors",
            ),
            Curve(
                "ntc_5k_3540",
                _rows(
                    -40,
                    5,
                    """112000 84100 63600 48600 37400 29100 22800 18000 14300 11400 9210 7470 6100
                    5000 4130 3420 2860 2400 2020 1710 1450 1240 1060 914 789 684 595 520 455 400
                    353 312 276 246 219 196 175 157 142""",
                ),
                "manual of a solar controller, collector sensor",
            ),
            # The page's rows above 80 °C are out of step, and so is one at 2 °C: left out.
            Curve(
                "ntc_5k_3960",
                _rows(-20, 10, "48500 27700 16300 9950 6250")
                + _rows(30, 5, "4030 3270 2660 2180 1800 1490 1240 1040 880 740 630"),
                "manual of a solar controller, tank and pipe sensors",
            ),
            Curve(
                "ntc_20k_4260",
                _rows(
                    -30,
                    5,
                    """415000 301000 221000 164000 122000 92300 70200 53800 41600 32300 25300 20000
                    15900 12700 10200 8260 6720 5490 4520 3730 3100 2580 2170 1820 1540 1310
                    1110""",
                ),
                _CONTROLLER,
            ),
            # Rises with temperature; not platinum, whose 1000 ohm are at 0 °C.
            Curve(
                "silicon_1k",
                _rows(-50, 10, "515 567.5 623.5 683.5 747.5 815 886 961")
                + _rows(25, 5, "1000 1040")
                + _rows(40, 10, "1122.5 1208.5 1298.5 1392.5 1490 1591 1696 1803.5 1908.5"),
                "firmware of a sensor board, public repository",
            ),
            Curve("pt100", _platinum(100.0), "IEC 60751 by `platinum_resistance`, every 5 K"),
            Curve("pt1000", _platinum(1000.0), "IEC 60751 by `platinum_resistance`, every 5 K"),
        )
    }
)


def curve_named(curve) -> Curve:
    """The curve of that name; a `Curve` is returned as it is.

    Parameters
    ----------
    curve : str or Curve
        A name in `CURVES`, or a `Curve` made from a maker's table [-].

    Returns
    -------
    Curve

    Raises
    ------
    OutOfRange
        If no curve has that name.

    Examples
    --------
    >>> curve_named("pt1000").points[10]
    (273.15, 1000.0)
    """
    if isinstance(curve, Curve):
        return curve
    if isinstance(curve, str) and curve in CURVES:
        return CURVES[curve]
    close = nearest(curve, CURVES) if isinstance(curve, str) else None
    raise OutOfRange(
        f"sensor curve {curve!r} is not known; write "
        + (repr(close) if close else f"one of {', '.join(CURVES)}")
    )


def temperature_by_table(resistance, points):
    r"""Temperature of a sensor from its table, ln R and 1/T taken as straight between two rows.

    Parameters
    ----------
    resistance : float or ndarray
        Resistance read, sensor unplugged [ohm]. Inside the table.
    points : tuple of pairs
        Rows of the table, temperature and resistance [K, ohm]; temperature rising, resistance
        rising or falling throughout.

    Returns
    -------
    float or ndarray
        Temperature [K].

    Raises
    ------
    OutOfRange
        If the table is not one, or the resistance is outside it: too high is an open circuit, too
        low a short, either may be another type of sensor.

    Notes
    -----
    Between rows this is the beta equation with a beta of its own; with rows 10 K apart it is within
    0.05 K of an NTC's curve.

    Examples
    --------
    >>> rows = ((293.15, 12_490.0), (298.15, 10_000.0), (303.15, 8057.0))
    >>> round(temperature_by_table(11_883.0, rows) - 273.15, 1)   # 70 °F
    21.1
    """
    kelvins, ohms = _columns(points)
    values = SENSOR_RESISTANCE.check(resistance)
    if np.any(values > ohms.max() * (1 + ROUNDING)):
        raise OutOfRange(
            f"{values.max():.6g} ohm is more than the {ohms.max():.6g} ohm this sensor shows at "
            f"{kelvins[ohms.argmax()] - ZERO:.0f} °C; an open circuit (lead broken, plug off, "
            "sensor failed) or another type of sensor?"
        )
    if np.any(values < ohms.min() * (1 - ROUNDING)):
        raise OutOfRange(
            f"{values.min():.6g} ohm is less than the {ohms.min():.6g} ohm this sensor shows at "
            f"{kelvins[ohms.argmin()] - ZERO:.0f} °C; a short circuit (leads touching, water in "
            "the plug) or another type of sensor?"
        )
    return plain(1 / _between(np.log(values), np.log(ohms), 1 / kelvins))


def resistance_by_table(temperature, points):
    r"""Resistance a sensor should show, from its table.

    Parameters
    ----------
    temperature : float or ndarray
        Temperature of the sensor [K]. Inside the table.
    points : tuple of pairs
        Rows of the table, temperature and resistance [K, ohm]; temperature rising, resistance
        rising or falling throughout.

    Returns
    -------
    float or ndarray
        Resistance [ohm].

    Raises
    ------
    OutOfRange
        If the table is not one, or the temperature is outside it.

    Notes
    -----
    See `temperature_by_table`.

    Examples
    --------
    >>> rows = ((293.15, 12_490.0), (298.15, 10_000.0), (303.15, 8057.0))
    >>> round(resistance_by_table(298.15, rows))
    10000
    """
    kelvins, ohms = _columns(points)
    inside = Range(
        SENSOR_TEMPERATURE.name,
        kelvins[0],
        kelvins[-1],
        "K",
        "was a reading in °C or °F unconverted? Outside its table nothing is known of this sensor",
    )
    return plain(np.exp(_between(1 / inside.check(temperature), 1 / kelvins, np.log(ohms))))


def _between(given, axis, values):
    order = np.argsort(axis)
    return np.interp(given, axis[order], values[order])
