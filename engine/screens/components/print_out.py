"""The whole print-out of an analyser in place of one check's values, and the way back."""

import streamlit as st

from engine.knowledge import Knowledge
from engine.readings.handing import print_out_of
from engine.readings.sheets import SHEETS
from engine.screens.components import held, readings_kept
from engine.screens.components.dress import plain
from engine.visit.keeping import Visit
from engine.visit.view import Next

_FOR = "print_out_for"  # the visit that waits for it
_ENTERED = "print_out_entered"  # the visit, its length then, and the names of the checks
READINGS_PAGE = "engine/screens/readings.py"


def offer(known: Knowledge, visit: Visit, step: Next) -> None:
    """One form for all values, where the step on the screen reads one of them."""
    check = step.id if step.kind == "check" else None
    if step.kind == "proof":
        check = known.closing[step.id].check
    found = print_out_of(check) if check else None
    if found and st.button("Enter the whole print-out", key="print_out", width="stretch"):
        sheet, rate = found
        readings_kept.begin(SHEETS[sheet], rate)
        st.session_state[_FOR] = visit.id
        st.switch_page(READINGS_PAGE, query_params={"visit": str(visit.id)})


def back(visit: Visit, names: list[str]) -> None:
    """Back to the visit, if it waits for a print-out: these checks were answered by it."""
    if st.session_state.get(_FOR) != visit.id:
        return
    del st.session_state[_FOR]
    now = held.visit()
    st.session_state[_ENTERED] = (visit.id, len(now.history), names)
    st.switch_page(held.VISIT_PAGE, query_params={"visit": str(visit.id)})


def entered(visit: Visit) -> None:
    """Which checks the print-out has answered, until something else is entered."""
    number, length, names = st.session_state.get(_ENTERED, (None, 0, ()))
    if (number, length) == (visit.id, len(visit.history)):
        st.success(f"**Answered by the print-out:** {plain('; '.join(names))}.")
