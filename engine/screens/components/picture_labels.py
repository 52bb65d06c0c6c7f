"""Where the names in a picture go, so that they cover neither each other nor what they name.

Worked out for a narrow screen. A wider one only draws things further apart sideways, and as every
name hangs on its own place, names that are clear of each other here stay so there.
"""

import textwrap
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

SIZE = 14  # px, height of a letter
LINE = 17  # px, from line to line
WIDE = 7.2  # px, an average letter with some room

HARDLY = 3  # so many places may be covered by a name that still counts as free
HANGS = 5  # px from the line on which a name hangs to its first letter

SHARE_LEFT = {"left": 0.0, "center": 0.5, "right": 1.0}
"""Which share of a name lies left of its place, by its alignment."""

Box = tuple[float, float, float, float]  # left, top, right, bottom [px]


@dataclass(frozen=True)
class Spot:
    """A place where a name may stand: beside (x, y), moved by (dx, dy), all in px."""

    x: float
    y: float
    dx: float = 0.0
    dy: float = 0.0
    align: str = "left"


@dataclass(frozen=True)
class Placed:
    """A name in its place."""

    lines: tuple[str, ...]
    spot: Spot
    box: Box
    covers: int = 0  # places of what is drawn


def wrapped(text: str, letters: int) -> tuple[str, ...]:
    """A name on as few lines as it takes, and these as even as can be.

    Examples
    --------
    >>> wrapped("Too high or creeping up", 21)
    ('Too high or', 'creeping up')
    """
    lines = textwrap.wrap(text, letters) or [""]
    while letters > 1 and len(evener := textwrap.wrap(text, letters - 1)) == len(lines):
        letters, lines = letters - 1, evener
    return tuple(lines)


def box_of(lines: Sequence[str], spot: Spot) -> Box:
    """The ground that a name covers, up to the place on which it hangs.

    Lines are centred on the height of the spot.
    """
    width, height = WIDE * max(map(len, lines)), LINE * len(lines)
    left = spot.x + spot.dx - SHARE_LEFT[spot.align] * width
    top = spot.y + spot.dy - height / 2
    return min(left, spot.x), top, max(left + width, spot.x), top + height


def overlap(one: Box, other: Box) -> bool:
    """Whether two boxes cover common ground."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def around(x: float, y: float, lines: Sequence[str], gap: float = 9) -> tuple[Spot, ...]:
    """Places all around a point, the handiest first, then those farther out."""
    half = LINE * len(lines) / 2
    return tuple(
        Spot(x, y, dx * out, dy * (half + out), {1: "left", 0: "center", -1: "right"}[dx])
        for out in (gap, 2.5 * gap)
        for dx, dy in ((1, -1), (-1, -1), (1, 1), (-1, 1), (0, -1), (0, 1), (1, 0), (-1, 0))
    )


def place(
    names: Iterable[tuple[str, int, Callable[[tuple[str, ...]], Sequence[Spot]]]],
    drawn: Sequence[tuple[float, float]],
    width: float,
    height: float,
) -> list[Placed]:
    """Each name where it covers the least of what is drawn, and no other name if it can.

    Parameters
    ----------
    names : iterable of (text, letters on a line, function from lines to places)
        The most important first.
    drawn : sequence of (x, y)
        Points all over what is drawn [px].
    width, height : float
        Of the picture [px].
    """
    x, y = np.array(drawn).reshape(-1, 2).T
    placed: list[Placed] = []
    for text, letters, places in names:
        lines = wrapped(text, letters)
        spots = []
        for spot in places(lines):
            box = box_of(lines, spot)
            outside = box[0] < 0 or box[1] < 0 or box[2] > width or box[3] > height
            upon = sum(overlap(box, other.box) for other in placed)
            covers = int(np.sum((box[0] <= x) & (x <= box[2]) & (box[1] <= y) & (y <= box[3])))
            spots.append(
                (1000 * upon + 300 * outside + covers, len(spots), Placed(lines, spot, box, covers))
            )
        placed.append(min(spots)[2])
    return placed


def crowded(placed: Sequence[Placed], width: float, height: float) -> bool:
    """Whether some name has found no free place."""
    return any(
        name.covers > HARDLY
        or not (name.box[0] >= 0 and name.box[1] >= 0)
        or not (name.box[2] <= width and name.box[3] <= height)
        or any(overlap(name.box, other.box) for other in placed[i + 1 :])
        for i, name in enumerate(placed)
    )


@dataclass(frozen=True)
class Hung:
    """A name below a bar: its row, its side of the line by which it hangs, and its ground [px]."""

    at: float
    row: int
    side: str
    left: float
    right: float

    def clear_of(self, other: "Hung") -> bool:
        """Whether neither covers the other, or the line by which the other hangs."""
        if self.row == other.row:
            return self.right <= other.left or other.right <= self.left
        upper, lower = sorted((self, other), key=lambda name: name.row)
        return not upper.left - HANGS < lower.at < upper.right + HANGS


def rows_below(
    names: Sequence[Sequence[str]], at: Sequence[float], width: float
) -> tuple[Hung, ...]:
    """Names that hang by lines on places of a bar, in the fewest rows in which all are clear.

    Parameters
    ----------
    names : sequence of lines
        Their places from left to right.
    at : sequence of float
        Where each hangs [px].
    """
    widths = [WIDE * max(map(len, lines)) + HANGS for lines in names]

    def hung(i, row, side):
        left = at[i] - SHARE_LEFT[side] * widths[i]
        return Hung(at[i], row, side, left, left + widths[i])

    def hang(before, rows):
        """The rest of the names, or None where there is no room for them."""
        if len(before) == len(names):
            return before
        for row, side in product(range(rows), SHARE_LEFT):
            name = hung(len(before), row, side)
            inside = name.left >= -HANGS and name.right <= width + HANGS
            if inside and all(map(name.clear_of, before)):
                found = hang((*before, name), rows)
                if found is not None:
                    return found
        return None

    for rows in range(1, len(names) + 1):
        found = hang((), rows)
        if found is not None:
            return found
    return tuple(  # one a row, the leftmost lowest: a line may be crossed, but no name
        hung(i, len(names) - 1 - i, "left" if at[i] < width / 2 else "right")
        for i in range(len(names))
    )
