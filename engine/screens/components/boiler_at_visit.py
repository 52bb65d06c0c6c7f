"""A boiler of the records: chosen at the start of a visit, brought up to date at its end."""

import streamlit as st

from engine.errors import SightportError
from engine.knowledge import Knowledge
from engine.screens.components import held
from engine.screens.components.dress import plain
from engine.visit import known_boiler
from engine.visit.keeping import Visit
from engine.visit.known_boiler import Card

_CHOSEN = "opening_boiler"
FEW = 5
"""So many boilers are listed; the rest is found by words."""


def choose(known: Knowledge) -> Card | None:
    """Choose a boiler of the records, where there are any; the chosen one."""
    chosen = _chosen(known)
    if chosen:
        st.success(f"**Boiler of the records:** {plain(chosen.line)}. Its sheet fills the facts.")
        if chosen.unread:
            st.warning(f"Not readable on its sheet: {plain(', '.join(chosen.unread))}.")
        if st.button("Another boiler", key="opening_other_boiler"):
            forget()
            st.rerun()
        return chosen
    if not known_boiler.find(held.store(), known, most=1):
        return None
    words = st.text_input(
        "A boiler of the records: name, place or customer", key="opening_find_boiler",
        max_chars=120, autocomplete="off",
    )  # fmt: skip
    found = known_boiler.find(held.store(), known, words, FEW)
    for card in found:
        if st.button(plain(card.line), key=f"opening_boiler_{card.id}", width="stretch"):
            st.session_state[_CHOSEN] = card.id
            st.rerun()
    if not found:
        st.write("No boiler of the records has these words. Go on below without one.")
    return None


def from_address() -> None:
    """Take the boiler that the address names, as its card does."""
    number = st.query_params.get("boiler", "")
    if number.isascii() and number.isdigit() and len(number) < 10:
        st.session_state[_CHOSEN] = int(number)
        st.query_params.pop("boiler")


def forget() -> None:
    """No boiler is chosen any more."""
    st.session_state.pop(_CHOSEN, None)


def ask_name() -> dict[str, str]:
    """Name and place under which a new boiler is kept; an empty name keeps none."""
    with st.expander("Keep this boiler in the records"):
        st.write("Next time, one tap fills its facts.")
        return _name_and_place("opening_keep")


def at_the_end(known: Knowledge, visit: Visit) -> None:
    """Facts that the sheet does not say are offered to be kept; so is a boiler without a card."""
    there = known_boiler.whose(held.store(), known, visit)
    if there is None:
        _offer_card(visit)
        return
    st.subheader("The boiler in the records")
    st.write(plain(there.line))
    changes = known_boiler.changed(held.store(), known, visit)
    if not changes:
        st.write("Its sheet says what this visit knows of it.")
        return
    lines = (f"- {plain(c.name)}: {plain(c.now)} (on its sheet: {plain(c.on_sheet)})"
             for c in changes)  # fmt: skip
    st.markdown("\n".join(lines))
    if st.button("Keep this on its sheet", key="keep_on_sheet", width="stretch"):
        known_boiler.keep_changes(held.store(), known, visit)
        st.rerun()


def _offer_card(visit) -> None:
    with st.expander("Keep this boiler in the records"):
        given = _name_and_place(f"keep_{visit.id}")
        if st.button("Keep it", key="keep_boiler"):
            try:
                known_boiler.keep_as_new(held.store(), visit, **given)
            except SightportError as error:
                st.error(held.sentence(error))
            else:
                st.rerun()


def _name_and_place(key) -> dict[str, str]:
    return {
        "name": st.text_input("Its name", key=f"{key}_name", max_chars=200,
                              placeholder="such as: Boiler in the cellar"),
        "place": st.text_input("Where it hangs", key=f"{key}_place", max_chars=300,
                               placeholder="such as: Mill Lane 4"),
    }  # fmt: skip


def _chosen(known) -> Card | None:
    number = st.session_state.get(_CHOSEN)
    if number is None:
        return None
    try:
        return known_boiler.card(held.store(), known, number)
    except SightportError as error:  # taken out of the records since
        forget()
        st.error(held.sentence(error))
        return None
