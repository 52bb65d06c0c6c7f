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
GUTTER = 36  # px that lines between discs take on their left
LINE, SIZE, HEAD, PAD = 22, 18, 40, 10  # px
LETTERS = 26  # on a line of a name
LANES = (22, 40)  # px from the left of a column to the numbers of lines between its discs

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
    boxes, nodes, spots, heights = [], [], {}, []
    indent = INDENT + (GUTTER if numbers else 0)
    for place, regions in enumerate(_in_columns(drawn.regions, columns)):
        top, left = 2.0, place * (COLUMN + GAP) + 2
        for region in regions:
            boxes.append(_box(region, left, top))
            y = top + HEAD
            for node in region.nodes:
                lines = _lines(node, node.cause in chosen)
                spot = _Spot(node, lines, left, y, left + indent, place)
                spots[node.cause] = spot
                nodes.append(_node(spot, node.cause in chosen))
                y += spot.height
            top += _height(region) + GAP
        heights.append(top)
    lines = [
        _line(spots[one], spots[other], number, lane)
        for lane, ((one, other), number) in enumerate((numbers or {}).items())
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


def _in_columns(regions, columns) -> list[list[Region]]:
    """The regions in their order, in columns of about the same height."""
    heights = [_height(region) + GAP for region in regions]
    share, found, so_far = sum(heights) / columns, [[] for _ in range(columns)], 0.0
    for region, height in zip(regions, heights, strict=True):
        found[min(int((so_far + height / 2) / share), columns - 1)].append(region)
        so_far += height
    return found


def _height(region) -> float:
    return HEAD + sum(LINE * len(_lines(node, False)) + PAD for node in region.nodes)


def _lines(node: Node, ticked: bool) -> list[str]:
    """The name, and the word for how common it is, as they stand beside the disc."""
    name = textwrap.wrap(node.name, LETTERS)
    return [f"{TICK} {name[0]}" if ticked else name[0], *name[1:], node.word]


def _box(region, left, top) -> str:
    title = html.escape(f"{region.place}  {region.name}")
    return (
        f'<rect x="{left}" y="{top}" width="{COLUMN - 2}" height="{_height(region)}" rx="6" '
        f'class="region"/><text x="{left + 12}" y="{top + 26}" class="system">{title}</text>'
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
    """A line between two discs with a number on it, in the room on the left of a column."""
    first, last = sorted((one, other), key=lambda spot: spot.x)
    middle = last.left + LANES[lane % len(LANES)]
    if first.column == last.column:
        y = (first.y + last.y) / 2
        bend = (middle - first.x / 4) / 0.75  # where a cubic has to aim to pass there
        way = f"C {bend:.1f} {first.y:.1f}, {bend:.1f} {last.y:.1f}, {last.x} {last.y:.1f}"
    else:
        y = last.y + (first.y - last.y) * LEAN
        way = f"L {middle:.1f} {y:.1f} L {last.x} {last.y:.1f}"
    return (
        f'<path d="M {first.x} {first.y:.1f} {way}" class="line"/>'
        f'<circle cx="{middle:.1f}" cy="{y:.1f}" r="13" class="badge"/>'
        f'<text x="{middle:.1f}" y="{y + 6:.1f}" class="number">{number}</text>'
    )
