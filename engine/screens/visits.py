"""Earlier visits: go on with one, or look at it."""

import streamlit as st

from engine.screens.components import held
from engine.screens.components.dress import plain
from engine.visit.overview import OPEN, UNREADABLE, overview

known = held.known()
st.title("Visits")
visits = overview(held.store(), known)
if not visits:
    st.write("No visit is stored yet. The first one appears here as soon as it is started.")
for visit in visits:
    with st.container(border=True, key=f"visit_{visit.id}"):
        title = plain(", ".join((f"Visit {visit.id}", *filter(None, [visit.title]))))
        st.write(f"**{title}.** {plain(', '.join(visit.complaints) or 'No complaint')}.")
        st.write(f"**{visit.stands}.** Last entry {visit.last:%Y-%m-%d %H:%M} UTC.")
        label = "Go on with it" if visit.stands == OPEN else "Look at it"
        st.page_link(held.VISIT_PAGE, label=label, query_params={"visit": str(visit.id)})
        if visit.stands != UNREADABLE:
            st.page_link(held.REPLAY_PAGE, label="Replay it", query_params={"visit": str(visit.id)})
