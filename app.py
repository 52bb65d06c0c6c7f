"""Sightport in the browser: names the pages and runs the chosen one."""

import streamlit as st

from engine.screens.components import dress, held

st.set_page_config(page_title="Sightport", layout="wide", initial_sidebar_state="collapsed")
pages = [
    st.Page("engine/screens/start.py", title="Start a visit", default=True),
    st.Page("engine/screens/visit.py", title="The visit", url_path="visit"),
    st.Page("engine/screens/ending.py", title="The end", url_path="end"),
    st.Page("engine/screens/desk.py", title="Phone desk", url_path="desk"),
    st.Page("engine/screens/visits.py", title="Visits", url_path="visits"),
    st.Page("engine/screens/replay.py", title="Replay", url_path="replay"),
    st.Page("engine/screens/boilers.py", title="Boilers", url_path="boilers"),
    st.Page("engine/screens/readings.py", title="Readings", url_path="readings"),
    st.Page("engine/screens/paths.py", title="Fault paths", url_path="paths"),
    st.Page("engine/screens/instruments.py", title="Instruments", url_path="instruments"),
    st.Page("engine/screens/review.py", title="Review", url_path="review"),
    st.Page("engine/screens/settings.py", title="Settings", url_path="settings"),
]
dress.dress(held.settings_anew(), [page.url_path for page in pages])
page = st.navigation(pages, position="hidden")
wide = st.container(horizontal=True, key="pages")
narrow = st.container(key="pages_folded")  # one row on a phone, where the links would take three
for place in (wide, narrow.popover("Other pages", width="stretch")):
    for name in ("start", "desk", "visits", "boilers", "readings", "paths", "settings"):
        place.page_link(f"engine/screens/{name}.py")
page.run()
