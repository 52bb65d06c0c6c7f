"""Readings: enter what an instrument shows, and see what follows; with or without a visit."""

import streamlit as st

from engine.errors import SightportError
from engine.readings.answer import answer
from engine.screens.components import held, readings_handing, readings_report, readings_sheet

known = held.known()
visit = readings_handing.opened_from()

st.title("Readings")
readings_handing.heading(visit)
sheet = readings_sheet.choose()
st.write(sheet.about)
top = st.container()
with st.container(key="to_what_follows"):
    st.markdown("[Down to what follows](#what-follows)")
left, right = st.columns([2, 3], gap="large")
with left:
    asked = readings_sheet.ask(known, sheet, visit)
try:
    report = answer(known, sheet.id, asked.typed, asked.facts, asked.stated, asked.fuel, asked.rate)
except SightportError as error:
    top.error(held.sentence(error))
    st.stop()
with top:
    readings_report.danger(report)
readings_report.beside(report, asked.beside)
with right:
    readings_report.show(report, sheet, asked.typed, visit)
    readings_handing.offer(known, sheet, asked.typed, asked.rate, visit)
