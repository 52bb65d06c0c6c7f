"""Sightport in the browser: names the pages and runs the chosen one."""

import streamlit as st

from engine.screens.components import dress

st.set_page_config(page_title="Sightport", layout="wide", initial_sidebar_state="collapsed")
dress.dress()
page = st.navigation(
    [
        st.Page("engine/screens/start.py", title="Start a visit", default=True),
        st.Page("engine/screens/visit.py", title="The visit", url_path="visit"),
        st.Page("engine/screens/ending.py", title="The end", url_path="end"),
        st.Page("engine/screens/desk.py", title="Phone desk", url_path="desk"),
        st.Page("engine/screens/visits.py", title="Visits", url_path="visits"),
        st.Page("engine/screens/readings.py", title="Readings", url_path="readings"),
        st.Page("engine/screens/paths.py", title="Fault paths", url_path="paths"),
        st.Page("engine/screens/instruments.py", title="Instruments", url_path="instruments"),
        st.Page("engine/screens/review.py", title="Review", url_path="review"),
    ],
    position="hidden",
)
with st.container(horizontal=True, key="pages"):
    st.page_link("engine/screens/start.py", label="Start a visit")
    st.page_link("engine/screens/desk.py", label="Phone desk")
    st.page_link("engine/screens/visits.py", label="Visits")
    st.page_link("engine/screens/readings.py", label="Readings")
    st.page_link("engine/screens/paths.py", label="Fault paths")
    st.page_link("engine/screens/instruments.py", label="Instruments")
    st.page_link("engine/screens/review.py", label="Review")
page.run()
