"""A figure over the visits: open circles as found, filled ones as left, limits as dashed lines."""

import altair as alt
import streamlit as st

from engine.screens.components.dress import plain
from engine.screens.components.picture_labels import SIZE
from engine.screens.components.pictures import DARK, LIGHT
from engine.visit.trends import FOUND, LEFT, Trend

HEIGHT = 240


def show(trend: Trend) -> None:
    """One trend: in words, drawn where there is more than one figure, and as a table."""
    st.write(f"**{plain(trend.name)}.** {plain(trend.words)}")
    if trend.needs:
        st.caption(plain(f"{trend.needs[:1].upper()}{trend.needs[1:]}."))
    if len(trend.points) > 1:
        dark = st.context.theme.type == "dark"
        st.vega_lite_chart(
            drawn(trend, dark).to_dict(validate=False), theme=None, width="stretch",
            key=f"trend_{trend.check}", alt=f"{trend.name}. {trend.words}",
        )  # fmt: skip
    with st.expander(f"The figures: {trend.name}", key=f"figures_{trend.check}"):
        for point in trend.points:
            st.markdown(
                f"- {point.at:%Y-%m-%d}, visit {point.visit}, {point.stands}: "
                f"**{plain(point.shown)}**, {plain(point.says)}"
            )


def drawn(trend: Trend, dark: bool = False) -> alt.LayerChart:
    """The drawing; nothing in it is told by colour alone."""
    ink = DARK if dark else LIGHT
    rows = [
        {"at": f"{p.at:%Y-%m-%dT%H:%M:%S}Z", "value": p.value, "stands": p.stands}
        for p in trend.points
    ]
    numbers = [row["value"] for row in rows] + [number for _, number in trend.limits]
    room = 0.15 * (max(numbers) - min(numbers) or abs(numbers[0]) or 1)
    scale = alt.Scale(domain=[min(numbers) - room, max(numbers) + room], zero=False, nice=False)
    x = alt.X(
        "at:T",
        scale=alt.Scale(padding=14),  # px: the first point covers no figure of the other axis
        axis=alt.Axis(title=None, format="%Y-%m", tickCount=4, labelSeparation=12),
    )
    y = alt.Y("value:Q", scale=scale, axis=alt.Axis(title=f"[{trend.unit}]", tickCount=5))
    base = alt.Chart(alt.InlineData(values=rows)).encode(x=x, y=y)
    line = base.mark_line(color=ink["accent"], strokeWidth=2)
    dots = [
        base.transform_filter(alt.datum.stands == stands).mark_point(
            filled=filled,
            size=120,
            color=ink["ink"],
            fill=ink["ink"] if filled else ink["paper"],
            opacity=1,
            strokeWidth=2,
        )
        for stands, filled in ((FOUND, False), (LEFT, True))
    ]
    limits = alt.Chart(
        alt.InlineData(values=[{"value": n, "name": f"{name} {n:.3g}"} for name, n in trend.limits])
    )
    rules = limits.mark_rule(color=ink["ink"], strokeDash=[7, 4]).encode(y=y)
    said = {"align": "left", "baseline": "bottom", "dx": 2, "dy": -2, "fontSize": SIZE}
    at_the_left = {"y": y, "x": alt.value(0), "text": alt.Text("name:N")}
    halo = limits.mark_text(stroke=ink["paper"], strokeWidth=5, **said).encode(**at_the_left)
    names = limits.mark_text(color=ink["ink"], **said).encode(**at_the_left)
    layers = [line, *dots] + ([rules, halo, names] if trend.limits else [])
    chart = alt.layer(*layers).properties(height=HEIGHT)
    chart = chart.configure(background=ink["paper"], padding=4, view=alt.ViewConfig(stroke=None))
    return chart.configure_axis(
        labelColor=ink["ink"], titleColor=ink["ink"], labelFontSize=SIZE, titleFontSize=SIZE,
        titleFontWeight="normal", gridColor=ink["faint"], gridOpacity=0.3,
        domainColor=ink["ink"], tickColor=ink["ink"], labelOverlap="greedy",
    )  # fmt: skip
