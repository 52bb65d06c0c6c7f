"""The end of a visit: what was wrong, what is proven, what to write down, and how it ends."""

import streamlit as st

from engine.screens.components import beside, boiler_at_visit, closing, held, photos
from engine.visit.summary import summarise

known = held.known()
visit = held.visit()

st.title("The end")
beside.heading(known, visit)
st.page_link(held.VISIT_PAGE, label="Back to the visit", query_params={"visit": str(visit.id)})
st.page_link(held.REPLAY_PAGE, label="Replay it", query_params={"visit": str(visit.id)})
if visit.state.end:
    closing.closed(visit)
closing.show(summarise(known, visit))
photos.all_of(known, visit)
closing.job_sheets(known, visit)
boiler_at_visit.at_the_end(known, visit)
closing.file_of(visit)
if not visit.state.end:
    closing.choose_end(known, visit)
