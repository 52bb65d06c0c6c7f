"""The pictures of the readings, drawn with ink on paper: a plane, or one value on its scale."""

from functools import lru_cache

import altair as alt
import streamlit as st

from engine.readings.pictures import Picture, Scale
from engine.screens.components import picture_plane, picture_scale
from engine.screens.components.dress import plain
from engine.screens.components.picture_labels import SIZE

LIGHT = {"paper": "#fbfaf7", "ink": "#1b1a18", "faint": "#8d8a82", "accent": "#1f5a73"}
DARK = {"paper": "#14171a", "ink": "#f1eee7", "faint": "#7d8790", "accent": "#9fd0e6"}


def show(picture: Picture, key: str) -> None:
    """A picture; what a plane shows is said below it, too."""
    spec, numbered = _spec(picture, dark=st.context.theme.type == "dark")
    st.write(f"**{plain(picture.title)}**")
    st.vega_lite_chart(spec, theme=None, width="stretch", key=key, alt=picture.words)
    if numbered:
        st.markdown("\n".join(f"{i}. {plain(name)}" for i, name in enumerate(numbered, 1)))
    if not isinstance(picture, Scale):  # a scale says in its bar what its verdict says in words
        st.caption(plain(picture.words))


@lru_cache(maxsize=64)
def _spec(picture: Picture, dark: bool) -> tuple[dict, tuple[str, ...]]:
    """The drawing as Streamlit takes it. Altair takes its time, so what is unchanged is kept."""
    chart, numbered = draw(picture, dark)
    return chart.to_dict(validate=False), numbered


def draw(picture: Picture, dark: bool = False) -> tuple[alt.LayerChart, tuple[str, ...]]:
    """The picture, and the names of the moves that only bear a number in it."""
    ink = DARK if dark else LIGHT
    if isinstance(picture, Scale):
        chart, numbered = picture_scale.drawn(picture, ink), ()
    else:
        chart, numbered = picture_plane.drawn(picture, ink)
    chart = chart.configure(background=ink["paper"], padding=4, view=alt.ViewConfig(stroke=None))
    return chart.configure_axis(
        labelColor=ink["ink"], titleColor=ink["ink"], labelFontSize=SIZE, titleFontSize=SIZE,
        titleFontWeight="normal", gridColor=ink["faint"], gridOpacity=0.3,
        domainColor=ink["ink"], tickColor=ink["ink"], labelOverlap="greedy",
    ), numbered  # fmt: skip
