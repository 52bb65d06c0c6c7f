"""What was found so far: each entry can be answered again or taken back where it stands."""

import streamlit as st

from engine.knowledge import Knowledge
from engine.screens.components import held, photos
from engine.screens.components.dress import plain
from engine.visit import events as happened
from engine.visit import keeping
from engine.visit.keeping import Visit
from engine.visit.told import told

_KEY = "touched_entry"
AT_ONCE = 6
"""So many entries are shown; the earlier ones are folded."""


def show(known: Knowledge, visit: Visit) -> None:
    """The entries, newest first."""
    st.subheader("So far, newest first")
    every, pictures = told(known, visit), photos.of(known, visit)
    for entry in every[:AT_ONCE]:
        _entry(known, visit, entry, pictures)
    if every[AT_ONCE:]:
        with st.expander("Earlier entries", key=f"earlier_{visit.id}"):
            for entry in every[AT_ONCE:]:
                _entry(known, visit, entry, pictures)
    photos.gallery(known, visit, pictures)


def _entry(known, visit, entry, pictures) -> None:
    with st.container(horizontal=True, vertical_alignment="center", key=f"entry_{entry.number}"):
        by = ", by the caller" if entry.by_caller and visit.state.who != "caller" else ""
        st.markdown(f"**{entry.kind}{by}.** {plain(entry.text)}")
        if entry.check and st.button("Change", key=f"change_{entry.number}"):
            held.choose(visit, "check", entry.check)
        if entry.step:
            photos.add_to(known, visit, entry.number)
        if st.button("Take back", key=f"back_{entry.number}"):
            st.session_state[_KEY] = (visit.id, len(visit.history), entry.number)
    photos.beside(pictures, entry.number)
    if st.session_state.get(_KEY) == (visit.id, len(visit.history), entry.number):
        _touched(known, visit, entry)


def _touched(known, visit, entry) -> None:
    """What taking an entry back would do, before it is done."""
    event = happened.TakenBack(event=entry.number)
    change = keeping.what_changes(known, visit.history, event)
    st.warning(plain(change or "Taking this back leaves the first suspect as it is."))
    with st.container(horizontal=True):
        if st.button("Yes, take it back", key=f"sure_{entry.number}", type="primary"):
            held.try_add(visit, event)
        if st.button("Leave it", key=f"leave_{entry.number}"):
            st.session_state.pop(_KEY)
            st.rerun()
