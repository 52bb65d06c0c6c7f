"""The phone desk: the open calls, a new one, and what to say in the one on the screen."""

import streamlit as st

from engine.errors import SightportError
from engine.screens.components import desk_call, desk_calls, desk_new, dress, held

known = held.known()
number = st.query_params.get("visit", "")
dress.to_the_top(("desk", number, st.query_params.get("new", "")))
st.title("Phone desk")
visit = None
if number:
    try:
        visit = desk_calls.numbered(number)
    except SightportError as error:
        st.error(held.sentence(error))
desk_calls.bar(known, visit)
if visit is not None:
    desk_call.show(known, visit)
elif st.query_params.get("new"):
    desk_new.form(known)
else:
    desk_calls.listing(known)
