"""Fault paths: a complaint's chart, walked answer by answer or taken along; and its map."""

import streamlit as st

from engine.screens.components import (
    dress,
    held,
    paths_asking,
    paths_map,
    paths_picture,
    paths_walking,
)

known = held.known()
st.title("Fault paths")
if paths_map.switch():
    paths_map.show(known)
    st.stop()
asked = paths_asking.asked()
progress = st.empty()
if asked is None:
    paths_asking.form(known)
    st.stop()
chart = paths_asking.worked_out(known, asked, progress)
walked = paths_walking.walked(chart)
dress.to_the_top((asked, walked))
paths_walking.show(known, chart, walked)
paths_picture.show(chart, walked)
