"""What a sheet shows as a picture: plain numbers and words, drawn by whoever shows them.

All numbers are in the unit named on the axis, ready to be drawn.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Axis:
    """One direction of a picture."""

    title: str  # with unit
    low: float
    high: float
    logarithmic: bool = False


@dataclass(frozen=True)
class Line:
    """A curve; `main` is the one the point should lie on."""

    name: str
    points: tuple[tuple[float, float], ...]
    main: bool = True


@dataclass(frozen=True)
class Field:
    """A stretch where the point should lie; a side that is None has no limit."""

    name: str
    x: tuple[float | None, float | None]
    y: tuple[float | None, float | None]


@dataclass(frozen=True)
class Point:
    """A measured or computed point; the spreads are two standard deviations to either side."""

    name: str
    x: float
    y: float
    x_spread: float = 0.0
    y_spread: float = 0.0


@dataclass(frozen=True)
class Move:
    """Where something would carry the point."""

    name: str
    start: tuple[float, float]
    end: tuple[float, float]


@dataclass(frozen=True)
class Rule:
    """A level to compare with; `across` is "x" for an upright line at that x."""

    name: str
    at: float
    across: str = "y"


@dataclass(frozen=True)
class Chart:
    """A plane with what lies in it; `words` says the same to who cannot see it."""

    title: str
    x: Axis
    y: Axis
    words: str
    lines: tuple[Line, ...] = ()
    fields: tuple[Field, ...] = ()
    points: tuple[Point, ...] = ()
    moves: tuple[Move, ...] = ()
    rules: tuple[Rule, ...] = ()


@dataclass(frozen=True)
class Stretch:
    """A band of a scale; an end that is None reaches on."""

    name: str
    low: float | None
    high: float | None
    sound: bool


@dataclass(frozen=True)
class Scale:
    """One value on its scale, with the bands that give it a meaning."""

    title: str  # with unit
    low: float
    high: float
    stretches: tuple[Stretch, ...]
    value: float
    spread: float  # two standard deviations
    words: str


Picture = Chart | Scale
