"""A plane drawn: lines, the field of a sound boiler, points with their spread, moves, levels."""

from collections.abc import Mapping
from itertools import pairwise

import altair as alt
import numpy as np

from engine.readings.pictures import Chart
from engine.screens.components.picture_labels import (
    LINE,
    SIZE,
    Placed,
    Spot,
    around,
    crowded,
    place,
)

WIDTH, HEIGHT = 270, 300  # px, on a narrow screen
AXES = 88  # px that both axes take off the height
NAME = 20  # letters of a name on one line
DOT = ((0, 0), (6, 0), (-6, 0), (0, 6), (0, -6))  # px, the extent of a measured point
HEAVY = 20  # places of a line weigh as much as a measured point, which must stay in sight
STEP = 6  # px between the places tried along a line
RISE, RUN = (f"scale('{s}', datum.{s}2) - scale('{s}', datum.{s})" for s in "yx")


def drawn(picture: Chart, ink: Mapping[str, str]) -> tuple[alt.LayerChart, tuple[str, ...]]:
    """The plane, and the names of its moves where there is room for numbers only."""
    ground = _Ground(picture)
    placed, numbered = _named(picture, ground)
    layers = [
        *_fields(picture, ground, ink),
        *_lines(picture, ground, ink),
        *_rules(picture, ground, ink),
        *_moves(picture, ground, ink),
        *_points(picture, ground, ink),
        *_texts(placed, ground, ink),
    ]
    return alt.layer(*layers).properties(height=HEIGHT + AXES), numbered


class _Ground:
    """The plane that the axes span, and where things lie on a narrow screen [px]."""

    def __init__(self, picture: Chart):
        self.axes = {"x": picture.x, "y": picture.y}
        self.domain = {
            side: _reach(axis, [getattr(point, side) for point in picture.points])
            for side, axis in self.axes.items()
        }

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Where a point of the plane is drawn, counted from the left and from the top."""
        return WIDTH * self._share("x", x), HEIGHT * (1 - self._share("y", y))

    def of(self, left: float, top: float) -> tuple[float, float]:
        """Which point of the plane is drawn there."""
        shares = {"x": left / WIDTH, "y": 1 - top / HEIGHT}
        return self._value("x", shares["x"]), self._value("y", shares["y"])

    def held(self, side: str, value: float | None, end: int) -> float:
        """A value held inside the axis; None is that end of it."""
        low, high = self.domain[side]
        return (low, high)[end] if value is None else min(max(value, low), high)

    def along(self, points) -> list[tuple[float, float]]:
        """Places close together all along a curve, as far as it is seen [px]."""
        ends = [self.at(*point) for point in points]
        places = [
            (float(a + (c - a) * t), float(b + (d - b) * t))
            for (a, b), (c, d) in pairwise(ends)
            for t in np.linspace(0, 1, max(2, int(np.hypot(c - a, d - b) / STEP)))
        ]
        return [(x, y) for x, y in places if 0 <= x <= WIDTH and 0 <= y <= HEIGHT]

    def coded(self, side: str, field: str = ""):
        """A field on its axis as Altair takes it; an upright axis has its title lying on top."""
        axis = self.axes[side]
        scale = alt.Scale(
            domain=list(self.domain[side]), type="log" if axis.logarithmic else "linear",
            nice=False, zero=False,
        )  # fmt: skip
        if side == "x":
            shown = alt.Axis(title=axis.title, tickCount=5)
            return alt.X(f"{field or side}:Q", scale=scale, axis=shown)
        shown = alt.Axis(
            title=axis.title, tickCount=6, titleAngle=0, titleAlign="left",
            titleAnchor="start", titleX=-32, titleY=-14,
        )  # fmt: skip
        return alt.Y(f"{field or side}:Q", scale=scale, axis=shown)

    def _share(self, side, value) -> float:
        low, high, value = self._even(side, [*self.domain[side], value])
        return float((value - low) / (high - low))

    def _value(self, side, share) -> float:
        low, high = self._even(side, self.domain[side])
        value = float(low + share * (high - low))
        return 10**value if self.axes[side].logarithmic else value

    def _even(self, side, values):
        """Numbers as they lie evenly on the axis."""
        if not self.axes[side].logarithmic:
            return values
        return np.log10(np.maximum(values, 1e-12))


def _reach(axis, values) -> tuple[float, float]:
    """The axis, longer where a measured point lies beyond it."""
    room = 0.0 if axis.logarithmic else 0.04 * (axis.high - axis.low)
    low = min([axis.low, *(value - room for value in values if value < axis.low)])
    high = max([axis.high, *(value + room for value in values if value > axis.high)])
    return low, high


def _of(values, ground):
    base = alt.Chart(alt.InlineData(values=values))
    return base.encode(x=ground.coded("x"), y=ground.coded("y"))


def _fields(picture, ground, ink):
    corners = [
        {
            "x": ground.held("x", field.x[0], 0), "x2": ground.held("x", field.x[1], 1),
            "y": ground.held("y", field.y[0], 0), "y2": ground.held("y", field.y[1], 1),
        }
        for field in picture.fields
    ]  # fmt: skip
    if corners:
        yield (
            _of(corners, ground)
            .mark_rect(fill=ink["accent"], fillOpacity=0.18, stroke=ink["accent"], strokeWidth=1.5)
            .encode(x2=alt.X2("x2:Q"), y2=alt.Y2("y2:Q"))
        )


def _lines(picture, ground, ink):
    for line in picture.lines:
        rows = [{"x": x, "y": y, "i": i} for i, (x, y) in enumerate(line.points)]
        look = {"strokeWidth": 2.5} if line.main else {"strokeWidth": 1.5, "strokeDash": [7, 5]}
        yield (
            _of(rows, ground)
            .mark_line(color=ink["ink"], clip=True, **look)
            .encode(order=alt.Order("i:Q"))
        )


def _rules(picture, ground, ink):
    for rule in picture.rules:
        rows = [{rule.across: rule.at}]
        base = alt.Chart(alt.InlineData(values=rows)).mark_rule(
            color=ink["ink"], strokeWidth=1.5, strokeDash=[2, 3], clip=True
        )
        yield base.encode(**{rule.across: ground.coded(rule.across)})


def _moves(picture, ground, ink):
    rows = [
        {"x": move.start[0], "y": move.start[1], "x2": move.end[0], "y2": move.end[1]}
        for move in picture.moves
    ]
    if rows:
        yield (
            _of(rows, ground)
            .mark_rule(color=ink["accent"], strokeWidth=4, clip=True)
            .encode(x2=alt.X2("x2:Q"), y2=alt.Y2("y2:Q"))
        )
        base = alt.Chart(alt.InlineData(values=rows)).encode(
            x=ground.coded("x", "x2"), y=ground.coded("y", "y2")
        )
        yield base.mark_point(
            shape="triangle", size=170, filled=True, color=ink["accent"], opacity=1, clip=True,
            angle=alt.expr(f"90 + 180 / PI * atan2({RISE}, {RUN})"),
        )  # fmt: skip


def _points(picture, ground, ink):
    rows = [
        {
            "x": point.x, "y": point.y,
            "left": point.x - point.x_spread, "right": point.x + point.x_spread,
            "low": point.y - point.y_spread, "high": point.y + point.y_spread,
        }
        for point in picture.points
    ]  # fmt: skip
    if not rows:
        return
    bars = {"color": ink["ink"], "strokeWidth": 2, "clip": True}
    yield (
        _of(rows, ground)
        .mark_rule(**bars)
        .encode(x=ground.coded("x", "left"), x2=alt.X2("right:Q"))
    )
    yield (
        _of(rows, ground).mark_rule(**bars).encode(y=ground.coded("y", "low"), y2=alt.Y2("high:Q"))
    )
    yield _of(rows, ground).mark_point(
        shape="circle", size=110, filled=True, opacity=1, color=ink["ink"], stroke=ink["paper"],
        strokeWidth=2,
    )  # fmt: skip


# --- names


def _named(picture, ground) -> tuple[list[Placed], tuple[str, ...]]:
    """All names in their places; moves that find no room get numbers."""
    moves = [move.name for move in picture.moves]
    for called, letters in ((moves, NAME), ([str(i) for i, _ in enumerate(moves, 1)], 2)):
        placed = place(_names(picture, ground, called, letters), _drawn(picture, ground),
                       WIDTH, HEIGHT)  # fmt: skip
        if called is moves and not crowded(placed, WIDTH, HEIGHT):
            return placed, ()
    return placed, tuple(moves)


def _names(picture, ground, moves, letters):
    for field in picture.fields:
        yield field.name, NAME, lambda lines, f=field: _by_field(f, ground, lines)
    for name, move in zip(moves, picture.moves, strict=True):
        x, y = ground.at(*move.end)
        yield name, letters, lambda lines, x=x, y=y: around(x, y, lines, 7)
    for point in picture.points:
        x, y = ground.at(point.x, point.y)
        yield point.name, NAME, lambda lines, x=x, y=y: around(x, y, lines)
    for rule in picture.rules:
        yield rule.name, NAME, lambda lines, r=rule: _by_rule(r, ground, lines)
    for line in picture.lines:
        yield line.name, NAME, lambda lines, c=line: _by_line(c, ground, lines)


def _by_field(field, ground, lines):
    """At the edges of a field, above and below it before beside and inside it."""
    left, low = ground.at(ground.held("x", field.x[0], 0), ground.held("y", field.y[0], 0))
    right, high = ground.at(ground.held("x", field.x[1], 1), ground.held("y", field.y[1], 1))
    up = LINE * len(lines) / 2 + 3
    for y, dy in ((high, -up), (low, up), (high, up), (low, -up)):
        yield Spot(left, y, 2, dy, "left")
        yield Spot(right, y, -2, dy, "right")
    for x, dx, align in ((right, 6, "left"), (left, -6, "right")):
        for y in ((low + high) / 2, low, high):
            yield Spot(x, y, dx, 0, align)


def _by_rule(rule, ground, lines):
    up = LINE * len(lines) / 2 + 2
    if rule.across == "y":
        _, y = ground.at(ground.domain["x"][0], rule.at)
        for dy in (-up, up):
            yield from (Spot(WIDTH, y, -2, dy, "right"), Spot(0, y, 4, dy, "left"),
                        Spot(WIDTH / 2, y, 0, dy, "center"))  # fmt: skip
        return
    x, _ = ground.at(rule.at, ground.domain["y"][0])
    for y in (up, HEIGHT - up, HEIGHT / 2):
        yield from (Spot(x, y, 5, 0, "left"), Spot(x, y, -5, 0, "right"))


def _by_line(line, ground, lines):
    """All along a line, on either side, from its right end on."""
    up = LINE * len(lines) / 2 + 3
    for x, y in reversed(ground.along(line.points)[::2] or [(WIDTH / 2, HEIGHT / 2)]):
        for dx, dy in ((1, -1), (-1, 1), (-1, -1), (1, 1)):
            yield Spot(x, y, 4 * dx, up * dy, "left" if dx > 0 else "right")


def _drawn(picture, ground):
    """Places all over what is drawn; a measured point counts for many."""
    middles = [ground.at(point.x, point.y) for point in picture.points]
    points = [(x + dx, y + dy) for x, y in middles for dx, dy in DOT]
    curves = [line.points for line in picture.lines]
    curves += [(move.start, move.end) for move in picture.moves]
    for point in picture.points:
        curves += [
            ((point.x - point.x_spread, point.y), (point.x + point.x_spread, point.y)),
            ((point.x, point.y - point.y_spread), (point.x, point.y + point.y_spread)),
        ]
    low, high = ground.domain["x"], ground.domain["y"]
    for rule in picture.rules:
        curves.append(
            ((low[0], rule.at), (low[1], rule.at)) if rule.across == "y"
            else ((rule.at, high[0]), (rule.at, high[1]))
        )  # fmt: skip
    return points * HEAVY + [place for curve in curves for place in ground.along(curve)]


def _texts(placed, ground, ink):
    rows = []
    for name in placed:
        x, y = ground.of(name.spot.x, name.spot.y)
        for i, line in enumerate(name.lines):
            dy = name.spot.dy + (i - (len(name.lines) - 1) / 2) * LINE
            rows.append({"x": x, "y": y, "text": line, "dx": name.spot.dx, "dy": dy,
                         "align": name.spot.align})  # fmt: skip
    halo = {"stroke": ink["paper"], "strokeWidth": 4, "strokeJoin": "round", "aria": False}
    for look in (halo, {}):
        yield _of(rows, ground).mark_text(
            color=ink["ink"], fontSize=SIZE, baseline="middle", dx=alt.expr("datum.dx"),
            dy=alt.expr("datum.dy"), align=alt.expr("datum.align"), **look,
        ).encode(text=alt.Text("text:N"))  # fmt: skip
