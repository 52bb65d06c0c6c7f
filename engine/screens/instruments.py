"""Instruments: how accurate each class typically is, and how accurate one's own are."""

import streamlit as st

from engine.screens.components import held, own_accuracy
from engine.visit.kit import tools

known = held.known()
st.title("Instruments")
st.write(
    "A reading is believed as far as its instrument deserves. Where you know how accurate yours "
    "is, from its certificate or its data sheet, write it here: it replaces the typical figure in "
    "every visit begun from then on."
)
for tool in tools(held.store(), known):
    own_accuracy.card(known, tool)
