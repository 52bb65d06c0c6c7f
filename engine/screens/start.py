"""Start a visit: danger first, then the complaint or service, then what is known of the boiler."""

import streamlit as st

from engine.screens.components import boiler_at_visit, dress, held, opening

ASKING = {
    "danger": opening.ask_danger,
    "complaint": opening.ask_complaint,
    "openings": opening.ask_openings,
    "boiler": opening.ask_boiler,
}

known = held.known()
boiler_at_visit.from_address()
stage = opening.so_far()["stage"]
dress.to_the_top(stage)
st.title("Start a visit")
ASKING[stage](known)
