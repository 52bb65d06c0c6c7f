"""One value on its scale: a bar of stretches, each named, and the value with its spread on it."""

from collections.abc import Mapping

import altair as alt

from engine.readings.pictures import Scale, Stretch
from engine.screens.components.picture_labels import HANGS, LINE, SIZE, rows_below, wrapped

WIDTH = 316  # px, on a narrow screen
VALUE, SPREAD, BAR, NAMES = 8, 26, (36, 62), 84  # px from the top
GAP = 6  # px between rows of names
HATCH = 9  # px between the strokes of a stretch that is not sound
NAME = 21  # letters of a name on one line


def drawn(picture: Scale, ink: Mapping[str, str]) -> alt.LayerChart:
    """The scale; a sound stretch is filled, the others are hatched, and all are named."""
    seen = [(s, *_ends(picture, s)) for s in picture.stretches]
    seen = [(stretch, low, high) for stretch, low, high in seen if low < high]
    names, height = _names(picture, seen, ink)
    layers = [*_bar(picture, seen, ink), *names, *_value(picture, ink)]
    return alt.layer(*layers).properties(height=height)


def _ends(picture, stretch):
    low = picture.low if stretch.low is None else max(stretch.low, picture.low)
    high = picture.high if stretch.high is None else min(stretch.high, picture.high)
    return low, high


def _of(picture, rows, **more):
    """A layer on the scale: x in its unit, heights in px from the top."""
    scale = alt.Scale(domain=[picture.low, picture.high], nice=False, zero=False)
    base = alt.Chart(alt.InlineData(values=rows))
    return base.encode(
        x=alt.X("x:Q", scale=scale, axis=None), y=alt.Y("y:Q", scale=None, axis=None), **more
    )


def _bar(picture, seen, ink):
    stretches = [
        {"x": low, "x2": high, "y": BAR[0], "y2": BAR[1], "sound": stretch.sound}
        for stretch, low, high in seen
    ]
    yield _of(picture, stretches, x2=alt.X2("x2:Q"), y2=alt.Y2("y2:Q")).mark_rect(
        fill=ink["accent"], stroke=ink["ink"], fillOpacity=alt.expr("datum.sound ? 0.35 : 0"),
        strokeWidth=alt.expr("datum.sound ? 2.5 : 1.5"),
    )  # fmt: skip
    apart = HATCH * (picture.high - picture.low) / WIDTH
    strokes = [
        {"x": low + (i + 0.5) * apart, "y": BAR[0], "y2": BAR[1]}
        for stretch, low, high in seen
        if not stretch.sound
        for i in range(int((high - low) / apart))
    ]
    if strokes:
        yield _of(picture, strokes, y2=alt.Y2("y2:Q")).mark_rule(
            color=ink["faint"], strokeWidth=1.5
        )


def _value(picture, ink):
    """The value as an upright line through the bar, its spread as a bar with two ends."""
    at, spread = picture.value, picture.spread
    upright = [{"x": at, "x2": at, "y": SPREAD, "y2": BAR[1] + 3}]
    across = [{"x": at - spread, "x2": at + spread, "y": SPREAD, "y2": SPREAD}]
    ends = [
        {"x": x, "x2": x, "y": SPREAD - 5, "y2": SPREAD + 5} for x in (at - spread, at + spread)
    ]
    for rows, look in (
        (upright, {"color": ink["paper"], "strokeWidth": 8}),
        (upright + (across + ends if spread else []), {"color": ink["ink"], "strokeWidth": 2.5}),
    ):
        yield _of(picture, rows, x2=alt.X2("x2:Q"), y2=alt.Y2("y2:Q")).mark_rule(clip=True, **look)
    yield _of(picture, upright).mark_point(
        shape="diamond", size=140, filled=True, opacity=1, color=ink["ink"]
    )
    share = (at - picture.low) / (picture.high - picture.low)
    align = "left" if share < 0.15 else "right" if share > 0.85 else "center"
    yield _of(
        picture, [{"x": at, "y": VALUE, "text": f"read: {number(at)}"}], text=alt.Text("text:N")
    ).mark_text(
        color=ink["ink"], fontSize=SIZE, fontWeight="bold", baseline="middle", align=align
    )  # fmt: skip


def _names(picture, seen, ink):
    """The names below the bar with the lines on which they hang, and how high it all is."""
    texts = [(*wrapped(stretch.name, NAME), reach(stretch)) for stretch, _, _ in seen]
    middles = [(low + high) / 2 for _, low, high in seen]
    at = [WIDTH * (m - picture.low) / (picture.high - picture.low) for m in middles]
    hanging = rows_below(texts, at, WIDTH)
    tops, height = [], NAMES
    for row in range(len(texts)):
        tops.append(height)
        tall = [len(lines) for lines, name in zip(texts, hanging, strict=True) if name.row == row]
        height += LINE * max(tall) + GAP if tall else 0
    hooks, rows = [], []
    for lines, name, x in zip(texts, hanging, middles, strict=True):
        top = tops[name.row]
        down = LINE * (len(lines) - 0.5) if name.side != "center" else -LINE / 2
        hooks.append({"x": x, "y": BAR[1], "y2": top + down})
        rows += [
            {"x": x, "y": top + LINE * i, "text": line, "align": name.side,
             "dx": {"left": HANGS, "center": 0, "right": -HANGS}[name.side]}
            for i, line in enumerate(lines)
        ]  # fmt: skip
    lines = _of(picture, hooks, y2=alt.Y2("y2:Q")).mark_rule(color=ink["ink"], strokeWidth=1)
    written = _of(picture, rows, text=alt.Text("text:N")).mark_text(
        color=ink["ink"], fontSize=SIZE, baseline="middle", align=alt.expr("datum.align"),
        dx=alt.expr("datum.dx"),
    )  # fmt: skip
    return (lines, written), height


def reach(stretch: Stretch) -> str:
    """From where to where a stretch goes, in the unit of its scale."""
    if stretch.low is None and stretch.high is None:
        return "always"
    if stretch.low is None:
        return f"below {number(stretch.high)}"
    if stretch.high is None:
        return f"from {number(stretch.low)}"
    return f"{number(stretch.low)} to {number(stretch.high)}"


def number(value: float) -> str:
    """A number to three figures, written out to six decimals at most.

    Examples
    --------
    >>> number(9.0), number(0.0421), number(1013.25), number(-0.7)
    ('9', '0.0421', '1013', '−0.7')
    """
    exponent = int(f"{value:.2e}".partition("e")[2])
    text = f"{value:.{min(max(2 - exponent, 0), 6)}f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text).replace("-", "−")
