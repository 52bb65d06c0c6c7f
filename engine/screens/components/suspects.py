"""The suspects as a ranked picture: bars with the words that say the same."""

import textwrap

import altair as alt
import pandas as pd
import streamlit as st

from engine import explain
from engine.knowledge import Knowledge
from engine.screens.components.dress import plain
from engine.visit.keeping import Visit
from engine.visit.reasons import bystanders, in_hundred, on_suspicion

FIRST = 5
NAMED = 0.01
_LINE, _BAR, _GAP, _WRAP = 22, 16, 20, 34  # pixels; letters on a line
_INK = {"light": "#1b1a18", "dark": "#f1eee7"}
_FILL = {"light": "#1f5a73", "dark": "#6fb3cf"}


def show(known: Knowledge, visit: Visit) -> None:
    """The five first suspects and 'none of these', the rest folded, and the person's own."""
    st.subheader("Suspects")
    rows = [(s.name, s.word, s.probability) for s in visit.view.suspects]
    nobody = visit.view.none_of_these
    pictured = [*rows[:FIRST], ("None of these", explain.in_words(nobody), nobody)]
    if visit.state.done:
        sound = visit.view.mended
        pictured.append(("What brought it is mended", explain.in_words(sound), sound))
    words = "; ".join(f"{name}: {word}, {in_hundred(p)}" for name, word, p in pictured)
    st.altair_chart(
        _chart(pictured, len(rows[:FIRST])), theme=None, alt=f"Suspects. {words}", width="stretch"
    )
    for line in bystanders(visit.view):
        st.write(plain(line))
    rest = [f"- {plain(name)}: {word}, {in_hundred(p)}" for name, word, p in rows[FIRST:]
            if p >= NAMED]  # fmt: skip
    if len(rows) > FIRST:
        with st.expander("The other suspects"):
            st.markdown("\n".join(rest))
            st.write(f"{len(rows) - FIRST - len(rest)} more, each under 1 in 100.")
    for cause in visit.state.suspected:
        with st.container(border=True, key=f"suspicion_{cause}"):
            for line in on_suspicion(known, visit, cause):
                st.write(plain(line))


def _chart(rows, listed) -> alt.LayerChart:
    """Names in lines above their bars, so that nothing is cut on a narrow screen."""
    look = st.context.theme.type or "light"
    table, top = [], 0
    for place, (name, word, p) in enumerate(rows):
        lines = [*textwrap.wrap(name, _WRAP), f"{word}, {in_hundred(p)}"]
        bar = top + _LINE * len(lines)
        table.append(
            {"text": "\n".join(lines), "top": top, "bar": bar, "end": bar + _BAR, "share": p,
             "zero": 0.0, "one": 1.0, "listed": place < listed}
        )  # fmt: skip
        top = bar + _BAR + _GAP
    base = alt.Chart(pd.DataFrame(table), height=top)
    y = {"scale": alt.Scale(domain=[0, top], reverse=True, nice=False, zero=False), "axis": None}
    x = {"scale": alt.Scale(domain=[0, 1]), "axis": None}
    frame = base.mark_rect(filled=False, stroke=_INK[look], strokeOpacity=0.35).encode(
        x=alt.X("zero:Q", **x), x2="one:Q", y=alt.Y("bar:Q", **y), y2="end:Q"
    )
    bars = base.mark_rect(color=_FILL[look], stroke=_INK[look]).encode(
        x=alt.X("zero:Q", **x), x2="share:Q", y=alt.Y("bar:Q", **y), y2="end:Q",
        fillOpacity=alt.condition("datum.listed", alt.value(1), alt.value(0.15)),
    )  # fmt: skip
    names = base.mark_text(
        align="left", baseline="top", lineBreak="\n", lineHeight=_LINE, fontSize=18,
        color=_INK[look],
    ).encode(x=alt.X("zero:Q", **x), y=alt.Y("top:Q", **y), text="text:N")  # fmt: skip
    return (
        (frame + bars + names)
        .configure(background="transparent", font='"Source Sans", sans-serif')
        .configure_view(stroke=None)
    )
