"""Refusal of values outside a calculation's valid range, in words for the person who typed them."""

from dataclasses import dataclass

import numpy as np

from engine.errors import OutOfRange

# A value may pass an edge by this share of the range's width: rounding, and the small steps of a
# numerical derivative at a reading of exactly 0, are no mistake. Such a value is used as it is.
EDGE = 1e-6


@dataclass(frozen=True)
class Range:
    """The values with which a calculation may be asked.

    Parameters
    ----------
    name : str
        What the value is, as a technician would call it.
    low, high : float
        Smallest and largest value taken, both included, in `unit`.
    unit : str
        SI unit; "1" for fractions and ratios.
    slip : str
        The likely mistake behind a refused value, as a question.

    Examples
    --------
    >>> depth = Range("depth", 0.0, 2.0, "m", "was it read in centimetres?")
    >>> float(depth.check(1.5))
    1.5
    >>> depth.check(150)
    Traceback (most recent call last):
    engine.errors.OutOfRange: depth must be 0 to 2 m, got 150; was it read in centimetres?
    """

    name: str
    low: float
    high: float
    unit: str
    slip: str

    def check(self, value) -> np.ndarray:
        """The value as floats, or OutOfRange; NaN and text are refused too."""
        values = np.asarray(value)
        if values.dtype.kind not in "iuf":
            raise OutOfRange(f"{self.name} must be a number in {self.unit}, got {value!r}")
        values = values.astype(float)
        margin = EDGE * (self.high - self.low)
        inside = (values >= self.low - margin) & (values <= self.high + margin)  # False for NaN
        if not np.all(inside):
            wrong = self._text(values[~inside].flat[0])
            unit = "" if self.unit == "1" else f" {self.unit}"
            raise OutOfRange(
                f"{self.name} must be {self._text(self.low)} to {self._text(self.high)}{unit}, "
                f"got {wrong}; {self.slip}"
            )
        return values

    def _text(self, value) -> str:
        if self.unit == "1" and np.isfinite(value):
            return f"{value:.6g} ({100 * value:.4g} %)"
        return f"{value:.6g}"


def plain(result):
    """A float for a single value, the array itself for several."""
    return float(result) if np.ndim(result) == 0 else result


def one_by_one(function, *values):
    """What a function of single numbers gives; an array of that where there are several."""
    if not any(np.ndim(value) for value in values):
        return function(*map(float, values))
    rows = np.broadcast_arrays(*values)
    found = np.empty(rows[0].shape, dtype=object)
    for place in np.ndindex(found.shape):
        found[place] = function(*(float(row[place]) for row in rows))
    return found
