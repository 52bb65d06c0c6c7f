"""Earlier visits: go on with one, or look at it."""

import streamlit as st

from engine.screens.components import held
from engine.screens.components.dress import plain
from engine.visit import keeping

store = held.store()
st.title("Visits")
visits = keeping.listed(store)
if not visits:
    st.write("No visit is stored yet. The first one appears here as soon as it is started.")
for visit in visits:
    with st.container(border=True, key=f"visit_{visit.id}"):
        st.write(f"**Visit {visit.id}.** {plain(visit.title)}")
        st.write(
            f"Begun {visit.begun:%Y-%m-%d %H:%M}, last entry {visit.last:%Y-%m-%d %H:%M} (UTC)."
        )
        address = {"visit": str(visit.id)}
        st.page_link(held.VISIT_PAGE, label="Go on with it, or look at it", query_params=address)
