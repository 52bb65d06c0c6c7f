"""The boilers: whose they are, their sheets, visits and trends; and the people that are known."""

import streamlit as st

from engine.errors import SightportError
from engine.records import cards
from engine.screens.components import boiler_card, held, old_visits, people
from engine.screens.components.dress import plain

known, store = held.known(), held.store()
chosen = st.query_params.get("boiler", "")
if chosen:
    try:
        boiler_card.show(known, cards.boiler(store, int(chosen) if chosen.isdecimal() else 0))
    except SightportError as error:
        st.title("No boiler here")
        st.error(held.sentence(error))
        st.page_link(held.BOILERS_PAGE, label="Look at all boilers")
    st.stop()

st.title("Boilers")
words = st.text_input(
    "Find by name, place, customer or phone", key="boiler_words", max_chars=120,
    placeholder="such as: Mill Lane",
)  # fmt: skip
found = cards.find_boilers(store, words)
if not found:
    st.write(
        "No boiler has these words on its card. Write fewer of them."
        if words.strip()
        else "No boiler is kept yet. Write down the first one below, or keep one with its visit."
    )
for boiler in found:
    with st.container(border=True, key=f"boiler_{boiler.id}"):
        owner = cards.customer(store, boiler.customer).name if boiler.customer else ""
        st.write(
            f"**{plain(boiler.name)}.** {plain(', '.join(filter(None, [boiler.place, owner])))}"
        )
        st.page_link(
            held.BOILERS_PAGE, label="Open its card", query_params={"boiler": str(boiler.id)}
        )
boiler_card.write_new(store)
boiler_card.bring_in(store)
people.show(store)
old_visits.show(store, known)
