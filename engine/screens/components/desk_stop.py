"""Danger on the phone: the advice word for word, the numbers to call, and the end."""

import streamlit as st

from engine.knowledge import Knowledge
from engine.screens.components import desk_booking, held, stop
from engine.screens.components.dress import plain
from engine.visit import events as happened
from engine.visit.keeping import Visit
from engine.visit.preferences import preferences


def screen(known: Knowledge, visit: Visit) -> None:
    """What to read out now, before anything else."""
    name, danger = visit.state.danger
    advice, on = st.columns([3, 2], gap="large")
    with advice, st.container(key="stop", border=True):
        st.title(f"STOP: {plain(name)}")
        numbers = preferences(held.store()).emergency
        if numbers:
            st.write(f"**Emergency numbers:** {plain(numbers)}")
        else:
            st.write("**No emergency numbers are kept.** Enter them once, under Settings.")
        st.write("**Say now**")
        st.markdown("\n".join(f"{i}. “{plain(t)}”" for i, t in enumerate(danger.advice, 1)))
        st.markdown("\n".join(f"- “{plain(text)}”" for text in danger.do_not))
        st.write(f"**Who acts now:** {plain(danger.who_acts)}")
    with on:
        _go_on(known, visit)


def _go_on(known, visit) -> None:
    if st.button("It is said: close the call as stopped for danger", key="stopped", type="primary",
                 width="stretch"):  # fmt: skip
        words = "The advice was read out on the phone"
        held.try_add(visit, happened.Closed(end="stopped_for_danger", words=words))
    with st.expander("Book a technician as well"):
        desk_booking.ask(known, visit)
    with st.expander("It was entered by mistake"):
        stop.take_back(known, visit)
