"""A card of the map on the screen: cautions first, then its parts, with ways to other cards."""

import streamlit as st

from engine.knowledge import Knowledge
from engine.screens.components import step
from engine.screens.components.dress import plain, to_the_top
from engine.visit.fault_map_cards import Card, card


def opened(known: Knowledge, complaint: str, wanted: str) -> Card | None:
    """The card that the address names as KIND.ID; None where it names none."""
    if not wanted:
        return None
    kind, _, name = wanted.partition(".")
    return card(known, complaint, kind, name)


def show(shown: Card) -> tuple[str, str] | None:
    """The card; kind and id of another one that was asked for on it."""
    to_the_top((shown.kind, shown.id))
    st.header(plain(shown.name))
    st.write(plain(shown.about))
    step.cautions(shown.cautions)
    if shown.governs:
        st.caption(f"Before all of this: {plain('; '.join(shown.governs))}.")
    asked = None
    for place, section in enumerate(shown.sections):
        st.subheader(plain(section.title))
        texts = [line.text for line in section.lines if not line.opens]
        marks = [f"{i}." if section.numbered else "-" for i in range(1, len(texts) + 1)]
        listed = "\n".join(f"{m} {plain(t)}" for m, t in zip(marks, texts, strict=True))
        if listed:
            st.markdown(plain(texts[0]) if len(texts) == 1 else listed)
        for line in section.lines:
            if line.opens and st.button(
                plain(line.text), key=f"card_{place}_{'_'.join(line.opens)}", width="stretch"
            ):
                asked = line.opens
    return asked
