"""Visits of all boilers that ended long ago: what would go, and erased once that is written."""

import streamlit as st

from engine.knowledge import Knowledge
from engine.records import Store
from engine.records.store import now
from engine.screens.components.dress import plain
from engine.visit.retention import Outdated, erase_outdated, outdated

WORD = "erase"
"""What is written so that nothing goes by a slip of the finger."""

_SAID = "old_said"
_FEW = 20
"""So many names are listed."""


def show(store: Store, known: Knowledge) -> None:
    """How many are older than so many years, and the way to erase them."""
    st.header("Old visits")
    if said := st.session_state.pop(_SAID, ""):
        st.success(plain(said))
    drawer = st.expander("Visits older than so many years", key="old_visits", on_change="rerun")
    if not drawer.open:  # looking for them reads every old visit
        return
    with drawer:
        years = st.number_input("Years since the last entry", 1, 50, 10, key="old_years")
        found = outdated(store, known, years, now())
        if found.going.visits:
            _going(found)
        else:
            st.write("No ended visit is older.")
        if found.left():
            st.write(found.left())
        if found.going.visits:
            _erase(store, known, found)


def _going(found: Outdated) -> None:
    st.write(f"**This would go:** {found.counted()}.")
    st.write(
        "A boiler goes where no younger visit is kept, a person where nothing else is. "
        "What is erased is gone for good."
    )
    for title, cards in (("Boilers", found.going.boilers), ("People", found.going.customers)):
        if cards:
            more = f" and {len(cards) - _FEW} more" if len(cards) > _FEW else ""
            names = ", ".join(card.name or f"number {card.id}" for card in cards[:_FEW])
            st.write(f"{title}: {plain(names)}{more}.")


def _erase(store, known, found) -> None:
    offered = f"{found.years}_{len(found.going.visits)}"  # the word was written for these only
    typed = st.text_input(
        f"To erase all of that, write the word: {WORD}", key=f"old_word_{offered}", max_chars=20,
        autocomplete="off",
    )  # fmt: skip
    if st.button("Erase the old visits", key="old_erase"):
        if typed.strip().casefold() != WORD:
            st.error(f"Nothing is erased. Write the word {WORD} first.")
            return
        gone = erase_outdated(store, known, found.years, now())
        st.session_state[_SAID] = f"Erased: {gone.counted()}."
        st.rerun()
