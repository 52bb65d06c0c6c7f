"""The map of a complaint as a drawing: systems as boxes along the way, causes as discs in them.

The area of a disc goes with how common its cause is, and the word stands beside it. Causes that are
told apart have a ring and a tick; the line between two bears the number of the check that tells
them apart best. All is drawn in ink on paper, for light and dark.
"""

import html
import textwrap
from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

from engine.visit.fault_map import FaultMap, Node, Region

COLUMN, GAP = 358, 14  # px, width of a column and the room between two
INDENT, BESIDE = 26, 24  # px from the left of a column to the discs, and from there to the names
LANE, FIRST_LANE = 14, 14  # px between lines on the left of the discs, and to the first of them
LINE, SIZE, HEAD, PAD = 22, 18, 40, 10  # px
LETTER = 10.4  # px that a letter of a name takes, with room for a tick

STAGGER = 0.08
"""Share of a line by which its number stands lower than that of the lane before."""

LEAN = 0.15
"""Share of the way down or up at which a line from another column has its number."""

RADIUS = 4.6
"""Radius of the disc of a cause of weight 1 [px]; the area goes with the weight."""

TICK = "✓"


_STYLE = """
svg {--ink: #1b1a18; --paper: #fbfaf7; --line: #8d8a82}
@media (prefers-color-scheme: dark) {svg {--ink: #f1eee7; --paper: #14171a; --line: #7d8790}}
text {font: 18px "Source Sans", "Source Sans 3", Arial, sans-serif; fill: var(--ink);
  paint-order: stroke; stroke: var(--paper); stroke-width: 4px}
.system, .chosen, .number {font-weight: 700}
.word {font-style: italic; font-weight: 400}
.region {fill: none; stroke: var(--line); stroke-width: 1.5}
.cause {fill: var(--ink)}
.ring {fill: none; stroke: var(--ink); stroke-width: 2.5}
.line {fill: none; stroke: var(--ink); stroke-width: 2; stroke-dasharray: 6 4}
.badge {fill: var(--paper); stroke: var(--ink); stroke-width: 2}
.number {text-anchor: middle}
"""


@dataclass(frozen=True)
class Target:
    """Where a cause is to be tapped; shares of the drawing's width and height."""

    cause: str
    name: str
    left: float
    top: float
    width: float
    height: float


@dataclass(frozen=True)
class Drawing:
    """A drawing as SVG, and where its causes are to be tapped."""

    svg: str
    targets: tuple[Target, ...]


@dataclass(frozen=True)
class _Spot:
    """Where a disc is, in which column, and the row that belongs to it [px]."""

    node: Node
    lines: list[str]
    left: float
    top: float
    x: float
    column: int

    @property
    def height(self) -> float:
        return LINE * len(self.lines) + PAD

    @property
    def y(self) -> float:
        return self.top + LINE * len(self.lines) / 2


def draw(
    drawn: FaultMap,
    columns: int,
    chosen: tuple[str, ...] = (),
    numbers: Mapping[tuple[str, str], int] | None = None,
) -> Drawing:
    """The map as a drawing.

    Parameters
    ----------
    drawn : FaultMap
    columns : int
        How many regions stand side by side; 1 for a narrow screen.
    chosen : tuple of str
        Causes that are told apart.
    numbers : mapping of pair of causes to int, optional
        The number of the check that tells the two apart best.
    """
    numbers = numbers or {}
    boxes, nodes, spots, heights = [], [], {}, []
    indent = INDENT + (FIRST_LANE + LANE * len(numbers) if numbers else 0)
    letters = int((COLUMN - indent - BESIDE) / LETTER)
    for place, regions in enumerate(_in_columns(drawn.regions, columns, letters)):
        top, left = 2.0, place * (COLUMN + GAP) + 2
        for region in regions:
            high = _height(region, letters)
            boxes.append(_box(region, left, top, high, indent))
            y = top + HEAD
            for node in region.nodes:
                text = _lines(node, node.cause in chosen, letters)
                spot = _Spot(node, text, left, y, left + indent, place)
                spots[node.cause] = spot
                nodes.append(_node(spot, node.cause in chosen))
                y += spot.height
            top += high + GAP
        heights.append(top)
    lines = [
        _line(spots[one], spots[other], number, lane)
        for lane, ((one, other), number) in enumerate(numbers.items())
    ]
    width, height = columns * (COLUMN + GAP) - GAP + 4, max(heights)
    inside = "".join((f"<style>{_STYLE}</style>", *boxes, *lines, *nodes))
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height:.0f}" '
        f'viewBox="0 0 {width} {height:.0f}">{inside}</svg>'
    )
    return Drawing(svg, tuple(_target(spot, width, height) for spot in spots.values()))


def _target(spot, width, height) -> Target:
    return Target(
        spot.node.cause, spot.node.name, spot.left / width, (spot.top - PAD / 2) / height,
        (COLUMN - 4) / width, spot.height / height,
    )  # fmt: skip


def _in_columns(regions, columns, letters) -> list[list[Region]]:
    """The regions in their order, in columns of about the same height."""
    heights = [_height(region, letters) + GAP for region in regions]
    share, found, so_far = sum(heights) / columns, [[] for _ in range(columns)], 0.0
    for region, height in zip(regions, heights, strict=True):
        found[min(int((so_far + height / 2) / share), columns - 1)].append(region)
        so_far += height
    return found


def _height(region, letters) -> float:
    return HEAD + sum(LINE * len(_lines(node, False, letters)) + PAD for node in region.nodes)


def _lines(node: Node, ticked: bool, letters: int) -> list[str]:
    """The name, and the word for how common it is, as they stand beside the disc."""
    name = textwrap.wrap(node.name, letters)
    return [f"{TICK} {name[0]}" if ticked else name[0], *name[1:], node.word]


def _box(region, left, top, height, indent) -> str:
    title = html.escape(f"{region.place}  {region.name}")
    return (
        f'<rect x="{left}" y="{top}" width="{COLUMN - 2}" height="{height}" rx="6" '
        'class="region"/>'
        f'<text x="{left + indent - 14}" y="{top + 26}" class="system">{title}</text>'
    )


def _node(spot: _Spot, ticked: bool) -> str:
    """Disc, name and word."""
    radius = RADIUS * sqrt(spot.node.weight)
    disc = f'<circle cx="{spot.x}" cy="{spot.y:.1f}" r="{radius:.2f}" class="cause"/>'
    if ticked:
        disc += f'<circle cx="{spot.x}" cy="{spot.y:.1f}" r="{radius + 4:.2f}" class="ring"/>'
    kinds = ["chosen" if ticked else "name"] * (len(spot.lines) - 1) + ["word"]
    return disc + "".join(
        f'<text x="{spot.x + BESIDE}" y="{spot.top + LINE * place + SIZE - 2:.1f}" '
        f'class="{kind}">{html.escape(line)}</text>'
        for place, (line, kind) in enumerate(zip(spot.lines, kinds, strict=True))
    )


def _line(one: _Spot, other: _Spot, number: int, lane: int) -> str:
    """A line between two discs with a number on it, in a lane of its own on the left of a column.

    From another column it comes straight, and ends in the lane.
    """
    first, last = sorted((one, other), key=lambda spot: (spot.x, spot.y))
    x = last.left + FIRST_LANE + LANE * lane
    start, end = first.y, last.y
    if first.column == last.column:
        way = f"L {x} {start:.1f} L {x} {end:.1f}"
        share = 0.5 + STAGGER * (lane - 1)  # numbers of lanes side by side need room
    else:
        way, share = f"L {x} {end + (start - end) * LEAN:.1f}", 1 - LEAN
    y = start + (end - start) * share
    return (
        f'<path d="M {first.x} {start:.1f} {way} L {last.x} {end:.1f}" class="line"/>'
        f'<circle cx="{x}" cy="{y:.1f}" r="12" class="badge"/>'
        f'<text x="{x}" y="{y + 6:.1f}" class="number">{number}</text>'
    )
