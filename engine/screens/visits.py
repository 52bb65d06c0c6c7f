"""Earlier visits: found by words, gone on with, looked at, replayed, brought in from a file."""

import streamlit as st

from engine.screens.components import boiler_card, held
from engine.screens.components.dress import plain
from engine.visit.overview import OPEN, UNREADABLE, overview

known, store = held.known(), held.store()
st.title("Visits")
words = st.text_input(
    "Find by number, title, customer, boiler, or any words in the visit", key="visit_words",
    max_chars=120, placeholder="such as: Mill Lane flame",
)  # fmt: skip
visits = overview(store, known, words)
if not visits:
    st.write(
        "No visit holds all of these words. Write fewer of them."
        if words.strip()
        else "No visit is stored yet. The first one appears here as soon as it is started."
    )
for visit in visits:
    with st.container(border=True, key=f"visit_{visit.id}"):
        title = plain(", ".join((f"Visit {visit.id}", *filter(None, [visit.title]))))
        st.write(f"**{title}.** {plain(', '.join(visit.complaints) or 'No complaint')}.")
        st.write(f"**{visit.stands}.** Last entry {visit.last:%Y-%m-%d %H:%M} UTC.")
        label = "Go on with it" if visit.stands == OPEN else "Look at it"
        st.page_link(held.VISIT_PAGE, label=label, query_params={"visit": str(visit.id)})
        if visit.stands != UNREADABLE:
            st.page_link(held.REPLAY_PAGE, label="Replay it", query_params={"visit": str(visit.id)})
        if visit.boiler is not None:
            st.page_link(
                held.BOILERS_PAGE, label="Its boiler", query_params={"boiler": str(visit.boiler)}
            )
boiler_card.bring_in(store)
