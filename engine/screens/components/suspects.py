"""The suspects as a ranked picture: bars with the words that say the same."""

import html

import streamlit as st

from engine import explain
from engine.knowledge import Knowledge
from engine.screens.components.dress import plain
from engine.visit.keeping import Visit
from engine.visit.reasons import bystanders, in_hundred, on_suspicion

FIRST = 5
NAMED = 0.01


def show(known: Knowledge, visit: Visit) -> None:
    """The five first suspects and 'none of these', the rest folded, and the person's own."""
    st.subheader("Suspects")
    rows = [(s.name, s.word, s.probability) for s in visit.view.suspects]
    nobody = visit.view.none_of_these
    pictured = [*rows[:FIRST], ("None of these", explain.in_words(nobody), nobody)]
    if visit.state.done:
        sound = visit.view.mended
        pictured.append(("What brought it is mended", explain.in_words(sound), sound))
    st.html(_picture(pictured, len(rows[:FIRST])))
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


def _picture(rows, listed) -> str:
    """The bars as HTML: drawn by any browser at once, where a chart would take longer than the
    step itself. Their lengths say what the words above them say, so readers aloud skip them."""
    items = []
    for place, (name, word, p) in enumerate(rows):
        kind = "" if place < listed else ' class="beside"'
        items.append(
            f"<li{kind}>{html.escape(name)}<br>{word}, {in_hundred(p)}"
            f'<div class="bar" aria-hidden="true"><div style="width: {p:.1%}"></div></div></li>'
        )
    return f'<ol class="suspects">{"".join(items)}</ol>'
