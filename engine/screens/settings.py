"""Settings that fit a person and a company: units, look, letters, licence, company, labour rate."""

import streamlit as st

from engine.errors import SightportError
from engine.screens.components import held
from engine.visit.preferences import LOOKS, SIZES, SYSTEMS, changed, keep, preferences
from engine.visit.told import WHO

AS_WRITTEN = "As each figure is usual"
NOBODY = "Ask at every visit"

store = held.store()
before = preferences(store)
st.title("Settings")
if st.session_state.pop("settings_said", False):
    st.success("Kept. It holds from now on, on this installation.")

units = st.radio(
    "Units that are offered and shown", (None, *SYSTEMS),
    format_func=lambda name: SYSTEMS.get(name, AS_WRITTEN),
    index=(None, *SYSTEMS).index(before.units), key="set_units",
)  # fmt: skip
st.caption("Any unit can be typed at any time. What was entered keeps the unit it was entered in.")
who = st.radio(
    "Who holds this", (None, *WHO), format_func=lambda name: WHO.get(name, NOBODY),
    index=(None, *WHO).index(before.who), key="set_who",
)  # fmt: skip
look = st.radio(
    "Light or dark", tuple(LOOKS), format_func=LOOKS.get, index=tuple(LOOKS).index(before.look),
    key="set_look",
)  # fmt: skip
size = st.radio(
    "Size of letters", tuple(SIZES), format_func=SIZES.get, index=tuple(SIZES).index(before.size),
    key="set_size",
)  # fmt: skip

st.header("On the job sheet")
words = {
    field: st.text_input(label, getattr(before, field), key=f"set_{field}", max_chars=most)
    for field, label, most in (
        ("company", "Company", 200),
        ("address", "Its address", 200),
        ("phone", "Its phone", 200),
        ("licence", "Licence number", 200),
        ("currency", "Currency, such as EUR", 8),
    )
}
rate = st.number_input(
    "Labour rate for an hour, empty for none", min_value=0.0, max_value=10_000.0,
    value=before.labour_rate, step=1.0, key="set_labour_rate",
)  # fmt: skip

st.header("At the phone desk")
words["emergency"] = st.text_input(
    "Emergency numbers as they are read out to a caller", before.emergency, key="set_emergency",
    max_chars=200, placeholder="the gas emergency number and the fire brigade of your area",
)  # fmt: skip

if st.button("Keep these settings", key="set_keep", type="primary", width="stretch"):
    try:
        after = changed(
            before, units=units, who=who, look=look, size=size, labour_rate=rate, **words
        )
    except SightportError as error:
        st.error(held.sentence(error))
    else:
        keep(store, after)
        st.session_state["settings_said"] = True
        st.rerun()
st.page_link("engine/screens/instruments.py", label="The accuracy of my instruments")
st.page_link("engine/screens/review.py", label="Review of the knowledge")
