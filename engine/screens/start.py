"""Start a visit: danger first, then the complaint, then what is known of the boiler."""

import streamlit as st

from engine.screens.components import held, opening

ASKING = {
    "danger": opening.ask_danger,
    "complaint": opening.ask_complaint,
    "boiler": opening.ask_boiler,
}

known = held.known()
st.title("Start a visit")
ASKING[opening.so_far()["stage"]](known)
