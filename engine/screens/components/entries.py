"""What was found so far: each entry can be answered again or taken back where it stands."""

import streamlit as st

from engine.knowledge import Knowledge
from engine.screens.components import held
from engine.screens.components.dress import plain
from engine.visit import events as happened
from engine.visit import keeping
from engine.visit.keeping import Visit
from engine.visit.told import told

_KEY = "touched_entry"


def show(known: Knowledge, visit: Visit) -> None:
    """The entries, newest first."""
    st.subheader("So far, newest first")
    for entry in told(known, visit):
        st.write(f"**{entry.kind}.** {plain(entry.text)}")
        touched = st.session_state.get(_KEY)
        if touched == (visit.id, len(visit.history), entry.number):
            _touched(known, visit, entry)
            continue
        with st.container(horizontal=True):
            if entry.check and st.button("Change", key=f"change_{entry.number}"):
                held.choose(visit, "check", entry.check)
            if st.button("Take back", key=f"back_{entry.number}"):
                st.session_state[_KEY] = (visit.id, len(visit.history), entry.number)
                st.rerun()


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
