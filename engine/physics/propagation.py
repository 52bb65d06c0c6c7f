"""What the uncertainty of readings leaves of a figure worked out from them.

To first order, as the Guide to the Expression of Uncertainty in Measurement (JCGM 100:2008) does
it in section 5: each slope times the deviation of what it belongs to, added in squares.
"""

import math
from collections.abc import Callable, Mapping

from uncertainties.core import AffineScalarFunc

from engine.errors import OutOfRange

SMALL_STEP = 1e-4
"""Share of a deviation by which a reading is moved to find the slope: far below any bend, and far
above the rounding of the figure."""


def propagate(function: Callable, arguments: Mapping[str, object]) -> tuple[float, float]:
    """Value and standard deviation of a function of uncertain arguments.

    Parameters
    ----------
    function : callable
        Takes the arguments by name and gives one number; refuses with `OutOfRange`. [any unit]
    arguments : mapping of name to float, uncertain number or anything else
        Uncertain numbers are those of `uncertainties.ufloat`, with one standard deviation [unit
        of the parameter]; all others, such as the name of a fuel, are handed on as they are.

    Returns
    -------
    value : float
        The function at the middle of every argument [unit of the result].
    deviation : float
        One standard deviation of it [unit of the result].

    Raises
    ------
    OutOfRange
        If the function refuses the middle itself, or both ways out of it.

    Notes
    -----
    One uncertain number given twice, or two made from one, move together. Where the function
    refuses the small step with which the slope is taken, a whole deviation to either side is
    taken instead, and the wider side counts. The bend of the function is ignored.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> from engine.physics.flue_gas import co2_from_o2
    >>> arguments = {"o2": ufloat(0.05, 0.001), "fuel": "natural_gas"}
    >>> value, deviation = propagate(co2_from_o2, arguments)
    >>> round(value, 4), round(deviation, 5)
    (0.09, 0.00057)

    References
    ----------
    JCGM 100:2008, Guide to the Expression of Uncertainty in Measurement, equation (10).
    """
    uncertain = {n: a for n, a in arguments.items() if isinstance(a, AffineScalarFunc)}
    fixed = {n: a for n, a in arguments.items() if n not in uncertain}

    def moved(source=None, step=0.0) -> float:
        """The figure with one independent source of doubt moved, and all that hangs on it."""
        numbers = {
            name: argument.nominal_value + step * argument.derivatives.get(source, 0.0)
            for name, argument in uncertain.items()
        }
        return float(function(**fixed, **numbers))

    value = moved()
    if not math.isfinite(value):
        raise OutOfRange("the calculation gives no finite figure for these values; check them")
    sources = {source for argument in uncertain.values() for source in argument.derivatives}
    return value, math.sqrt(sum(_change(moved, value, source) ** 2 for source in sources))


def _change(moved, value, source) -> float:
    """What one deviation of a source does to the figure."""
    deviation = source.std_dev
    step = SMALL_STEP * deviation
    try:
        return (moved(source, step) - moved(source, -step)) / (2 * SMALL_STEP)
    except OutOfRange:  # the slope cannot be told here: take the wider side
        changes = []
    for whole in (deviation, -deviation):
        try:
            changes.append(abs(moved(source, whole) - value))
        except OutOfRange:
            continue
    if not changes:
        raise OutOfRange(
            "the value lies so close to the edge of the calculation that the instrument's "
            "accuracy leaves it; measure again"
        )
    return max(changes)
