"""The people that are known: found by words, what is kept of them, saved as a file, and erased."""

import streamlit as st

from engine.records import Store, cards
from engine.records.erasing import erase_customer, held_of
from engine.screens.components import held
from engine.screens.components.dress import plain
from engine.visit.exchange import person_as_json

_SAID = "person_said"
FEW = 20
"""So many people are listed; the others are found by words."""


def show(store: Store) -> None:
    """Everybody whose words match, with all that is kept of each."""
    st.header("People")
    if said := st.session_state.pop(_SAID, ""):
        st.success(plain(said))
    words = st.text_input(
        "Find a person by name, address or phone", key="person_words", max_chars=120
    )
    found = cards.find_customers(store, words, FEW)
    if not found:
        st.write("Nobody of these words is kept." if words.strip() else "Nobody is kept yet.")
    for person in found:
        with st.expander(plain(person.name or f"Person {person.id}"), key=f"person_{person.id}"):
            _person(store, person)


def _person(store, person) -> None:
    kept = held_of(store, person.id)
    lines = [person.address, person.phone, person.mail, person.note]
    st.write(plain("; ".join(filter(None, lines)) or "No address and no phone."))
    st.write(
        f"Kept: this card, {len(kept.boilers)} boilers, {len(kept.visits)} visits, "
        f"{kept.photos} photos."
    )
    for visit in kept.visits:
        st.page_link(held.VISIT_PAGE, label=f"Visit {visit}", query_params={"visit": str(visit)})
    st.download_button(
        "Save all of it as a file", lambda: person_as_json(store, person.id),
        file_name=f"person-{person.id}.json", mime="application/json",
        key=f"person_file_{person.id}", on_click="ignore",
    )  # fmt: skip
    sure = st.checkbox("Yes, erase all of that", key=f"person_sure_{person.id}")
    if st.button("Erase this person", key=f"person_erase_{person.id}"):
        if not sure:
            st.error("Tick first that all of it is to be erased.")
            return
        erase_customer(store, person.id)
        st.session_state[_SAID] = "Erased: the card, boilers, visits and photos."
        st.rerun()
