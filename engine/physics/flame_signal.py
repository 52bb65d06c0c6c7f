"""What the flame signal tells: how much is in hand, how much was lost, and what the mixture does.

A flame conducts in one direction: ions from the reaction zone carry some microamperes of direct
current between rod and burner. *There is no universal limit.* The current depends on the control's
voltage and circuit, the rod's place and the burner, so that the control's own limit rules, and a
comparison with the same boiler's past tells more than any number.

Displays in volts, per cent or counts follow a scale that only the maker knows. They can be compared
with themselves and with the maker's limit in the same unit, never with microamperes.
"""

from types import MappingProxyType

import numpy as np

from engine.errors import OutOfRange, nearest
from engine.physics.limits import Range, plain

_SCALE = (
    "has no band without the maker's scale: compare it with the maker's limit in the same unit, or "
    "put a microampere meter in series"
)
# What a displayed signal can be banded by: nothing but true direct current in microamperes.
DISPLAY_UNITS = MappingProxyType(
    {
        "microampere": "true direct current, banded as read",
        "volt": f"a flame signal in volts {_SCALE}",
        "percent": f"a flame signal in per cent {_SCALE}",
        "count": f"a flame signal in counts {_SCALE}",
    }
)
BANDS = ("none", "weak", "watch", "solid")  # from nothing to plenty
NOTHING = 0.3e-6  # A; below it a meter shows its own zero (judgement)
# A; what small premix burners commonly show, 2 to 10 µA; jet burners "preferably above 10 µA".
# Common practice, no source; a controls application note gives "0.5 µA to several tens of µA".
COMMON = 5e-6

FLAME_CURRENT = Range(
    "flame current", 0.0, 1e-4, "A", "was it in µA? Reversed leads show a minus sign"
)
LEAST_CURRENT = Range(
    "least flame current of the control",
    1e-7,
    2e-5,
    "A",
    "was it in µA? Data sheets give some 0.5 to 2 µA",
)
_SAME = "are both signals in one unit, at the same firing rate, and the meter's leads not reversed?"
SIGNAL = Range("flame signal", 0.0, 10_000.0, "any one unit", _SAME)
KEPT = Range("flame signal over its earlier value", 0.0, 5.0, "1", _SAME)
RESERVE = Range("flame signal over the control's limit", 0.0, 200.0, "1", _SAME)

YEAR = 31_557_600.0  # s, 365.25 days
ELAPSED = Range(
    "time between the two signals",
    30 * 86_400.0,
    50 * YEAR,
    "s",
    "was it in days or months? Within a month the scatter of a flame is larger than any drift",
)
EXCESS_AIR = Range(
    "air ratio",
    1.0,
    2.0,
    "1",
    "below 1 the flame is starved of air and makes carbon monoxide: stop, and see to CO first",
)
# Where the current peaks: a maintenance manual says at 1.0 for all gases, a computed flame of
# methane at 0.9 to 1.0. Up to here the curve is taken as flat (judgement).
FLAT_UP_TO = 1.05
VISIBLE = 0.05  # change of air ratio below which nothing can be said (judgement)


def signal_loss(signal_now, signal_then):
    r"""Share of the flame signal lost since an earlier reading, 1 - now/then.

    Parameters
    ----------
    signal_now : float or ndarray
        Signal now, steady, in any unit whose scale starts at zero [same unit as `signal_then`]. 0
        to 10 000.
    signal_then : float or ndarray
        Signal at commissioning, or in an earlier report, at the same firing rate [same unit as
        `signal_now`]. Above 0, to 10 000.

    Returns
    -------
    float or ndarray
        Share lost [1]; negative when the signal has risen.

    Raises
    ------
    OutOfRange
        If a signal is outside its range, or has grown more than fivefold.

    Notes
    -----
    Holds for any display unit proportional to the current; a logarithmic scale hides a loss. The
    signal falls with the firing rate, another gas and another voltage too: compare like with like.
    Within a third nothing can be concluded (common practice, no source).

    Examples
    --------
    >>> round(signal_loss(3.6, 6.0), 2)   # µA
    0.4
    """
    return plain(1 - KEPT.check(_over(signal_now, signal_then)))


def yearly_signal_loss(signal_now, signal_then, elapsed):
    r"""Share of the flame signal that goes in a year, of the earlier signal, as a straight line.

    Parameters
    ----------
    signal_now : float or ndarray
        Signal now, steady, in any unit whose scale starts at zero [same unit as `signal_then`]. 0
        to 10 000.
    signal_then : float or ndarray
        Signal at commissioning, or in an earlier report, at the same firing rate [same unit as
        `signal_now`]. Above 0, to 10 000.
    elapsed : float or ndarray
        Time between the two [s]. 30 days (2 592 000) to 50 years.

    Returns
    -------
    float or ndarray
        Share lost in one year [1].

    Raises
    ------
    OutOfRange
        If an argument is outside its range.

    Notes
    -----
    Two readings cannot tell a slow fall from a step: ask what was done in between.

    Examples
    --------
    >>> round(yearly_signal_loss(3.6, 6.0, 2 * 31_557_600.0), 2)
    0.2
    """
    return plain(signal_loss(signal_now, signal_then) * YEAR / ELAPSED.check(elapsed))


def signal_reserve(signal, least_signal):
    r"""Flame signal over the least that the control accepts.

    Parameters
    ----------
    signal : float or ndarray
        Lowest steady signal, in any unit whose scale starts at zero [same unit as `least_signal`].
        0 to 10 000.
    least_signal : float or ndarray
        Limit from the control's data sheet [same unit as `signal`]. Above 0, to 10 000.

    Returns
    -------
    float or ndarray
        Ratio [1]; 1 is at the limit, below it the control stops the burner.

    Raises
    ------
    OutOfRange
        If a signal is outside its range, or the ratio is above 200.

    Notes
    -----
    The one measure that works in every display unit. Only the maker's limit makes it true.

    Examples
    --------
    >>> signal_reserve(3.0, 1.5)
    2.0
    """
    return plain(RESERVE.check(_over(signal, least_signal)))


def signal_band(signal, display_unit, least_current):
    r"""How good a flame current is: ``"none"``, ``"weak"``, ``"watch"`` or ``"solid"``.

    Parameters
    ----------
    signal : float or ndarray
        Lowest steady flame current, direct [A]. 0 to 0.0001.
    display_unit : str
        What the figure was read in, a key of `DISPLAY_UNITS` [-]. Only ``"microampere"``, by a
        meter in series or a display that its maker says is true, can be banded.
    least_current : float or ndarray
        Limit from the control's data sheet [A]. 1e-7 to 2e-5.

    Returns
    -------
    str or ndarray of str
        Band: none below 0.3 µA, weak below the control's limit, watch below 5 µA, solid above. A
        limit above 5 µA leaves no room for "watch".

    Raises
    ------
    OutOfRange
        If the unit is one that cannot be banded, or a current is outside its range.

    Notes
    -----
    Only the limit is a fact. The 5 µA is what small premix burners commonly show; a burner that
    never had more than 4 µA is sound with 4: look at `signal_loss` first.

    Examples
    --------
    >>> signal_band(3e-6, "microampere", 1e-6)
    'watch'
    """
    if not isinstance(display_unit, str) or display_unit not in DISPLAY_UNITS:
        close = nearest(display_unit, DISPLAY_UNITS) if isinstance(display_unit, str) else None
        raise OutOfRange(
            f"display unit {display_unit!r} is not known; write "
            + (repr(close) if close else f"one of {', '.join(DISPLAY_UNITS)}")
        )
    if display_unit != "microampere":
        raise OutOfRange(DISPLAY_UNITS[display_unit])
    current, least = FLAME_CURRENT.check(signal), LEAST_CURRENT.check(least_current)
    band = np.select(
        [current < NOTHING, current < least, current < COMMON], BANDS[:-1], default=BANDS[-1]
    )
    return str(band) if band.ndim == 0 else band


def mixture_trend(air_ratio_before, air_ratio_after):
    r"""Which way the flame signal should move when the mixture moves: -1 down, +1 up, 0 neither.

    Parameters
    ----------
    air_ratio_before, air_ratio_after : float or ndarray
        Air used over air needed, before and after [1]. 1 to 2.

    Returns
    -------
    float or ndarray
        Sign of the expected change [1]; 0 when the change of mixture is too small to show.

    Raises
    ------
    OutOfRange
        If an air ratio is outside 1 to 2.

    Notes
    -----
    The ionisation current peaks near exact combustion and falls on both sides; boilers run on the
    lean side, where more air means less signal. Direction only, and judgement where the curve is
    flat: no measured curve could be found that holds for any burner. How much it falls depends on
    the burner: of the ions made at a ratio of 1.2, a computed methane flame keeps a quarter at 1.4
    when it burns freely, a half when it sits on its burner at 300 kW/m² (Cantera, GRI-Mech 3.0 with
    the step CH + O). A signal that moves against the mixture has another cause: rod, lead or earth.

    Examples
    --------
    >>> mixture_trend(1.25, 1.45)
    -1.0

    References
    ----------
    [1] M. Kiefer et al., "Combustion control based on flame ionization", 25th World Gas Conference,
        Kuala Lumpur 2012, for the principle.
    """
    before = np.maximum(EXCESS_AIR.check(air_ratio_before), FLAT_UP_TO)
    change = np.maximum(EXCESS_AIR.check(air_ratio_after), FLAT_UP_TO) - before
    return plain(np.where(np.abs(change) >= VISIBLE, -np.sign(change), 0.0))


def _over(signal, reference):
    below, base = SIGNAL.check(signal), SIGNAL.check(reference)
    if not np.all(base > 0):
        raise OutOfRange(
            f"the flame signal to compare with must be above 0, got {base[base <= 0].flat[0]:.6g}; "
            "was none noted at commissioning? Then there is nothing to compare"
        )
    return below / base
