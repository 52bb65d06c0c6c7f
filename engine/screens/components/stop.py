"""Danger: the button that is always there, and the screen on which nothing else goes on."""

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from engine.knowledge import Knowledge
from engine.screens.components import held
from engine.screens.components.dress import plain
from engine.visit import events as happened
from engine.visit.dangers import may_go_on
from engine.visit.keeping import Visit
from engine.visit.told import danger_entry


def button(known: Knowledge, visit: Visit) -> DeltaGenerator:
    """The danger signs, one tap away from every step; the bar, for what else has to stay there."""
    bar = st.container(key="danger_bar", horizontal=True, vertical_alignment="center")
    with (
        bar,
        st.popover("Danger sign seen, heard or smelled", width="stretch", key="danger"),
    ):
        st.write("**A tap on a sign that is so stops everything.**")
        for name, symptom in known.symptoms.items():
            if symptom.danger and st.button(
                plain(symptom.name), key=f"danger_{name}", width="stretch"
            ):
                held.try_add(visit, happened.SymptomReported(symptom=name))
    return bar


def screen(known: Knowledge, visit: Visit) -> None:
    """What to say and do now, word for word."""
    name, danger = visit.state.danger
    with st.container(key="stop", border=True):
        st.title(f"STOP: {plain(name)}")
        st.markdown("\n".join(f"{i}. {plain(text)}" for i, text in enumerate(danger.advice, 1)))
        if danger.do_not:
            st.write("**Do not:**")
            st.markdown("\n".join(f"- {plain(text)}" for text in danger.do_not))
        st.write(f"**Who acts now:** {plain(danger.who_acts)}")
        entry = danger_entry(known, visit)
        if entry and entry.kind in ("Found", "Closing"):
            st.write(f"**Found:** {plain(entry.text)}")
    st.page_link(
        held.END_PAGE, label="End the visit", query_params={"visit": str(visit.id)}, width="stretch"
    )
    entry = danger_entry(known, visit)
    if entry and (confirm := may_go_on(visit.state)):
        with st.expander("It is made safe, and I go on", key=f"made_safe_part_{visit.id}"):
            _go_on(visit, entry, confirm)
    with st.expander("It was entered by mistake", key=f"mistake_part_{visit.id}"):
        take_back(known, visit)


def _go_on(visit, entry, confirm) -> None:
    """For a licensed technician: what must be so, what was measured, and on without firing."""
    st.write("The burner stays off until a repair that answers this sign is done.")
    so = st.checkbox(plain(confirm), key="made_safe_so")
    words = st.text_input(
        "What did you measure and do?", key="made_safe_words", max_chars=500,
        placeholder="such as: cock tagged, room CO 0 ppm for five minutes",
    )  # fmt: skip
    if st.button("Go on", key="made_safe", width="stretch"):
        if not so:
            st.error("Tick the sentence when it is so. Until then nothing goes on.")
        else:
            held.try_add(visit, happened.MadeSafe(event=entry.number, words=words))


def take_back(known: Knowledge, visit: Visit) -> None:
    """The way on after a sign that was entered by mistake."""
    entry = danger_entry(known, visit)
    if entry is None:
        st.write("It was worked out from several readings; take back the wrong one below.")
        return
    st.write(f"This stands in the visit: **{plain(entry.text)}**")
    why = st.text_input("What was wrong with the entry?", key="mistake_why", max_chars=200)
    if st.button("Take it back and go on", key="mistake", width="stretch"):
        if not why.strip():
            st.error("Write down what was wrong, so that the next reader understands it.")
            return
        held.try_add(
            visit,
            happened.Noted(text=f"Danger sign taken back ({entry.text}): {why}"),
            happened.TakenBack(event=entry.number),
        )
