"""The accuracy of one's own instruments: two fields, for visits to come or for this one."""

import streamlit as st

from engine.errors import SightportError
from engine.knowledge import Knowledge
from engine.screens.components import held
from engine.screens.components.dress import plain
from engine.visit import events as happened
from engine.visit import kit
from engine.visit.keeping import Visit
from engine.visit.kit import Tool

_SAID = "instrument_said"


def card(known: Knowledge, tool: Tool) -> None:
    """One class of instruments: what is typical, who says so, and the fields for one's own."""
    with st.container(border=True, key=f"card_{tool.id}"):
        st.write(f"**{plain(tool.name)}.** Typical: {plain(tool.typical)}.")
        st.caption(f"Source: {plain(tool.source)}.")
        if tool.note:
            st.caption(plain(tool.note))
        if tool.own:
            st.write(f"**Yours: {plain(tool.stated)}, as stated by you.**")
        name, said = st.session_state.get(_SAID, ("", ""))
        if name == tool.id:
            st.success(said)
            del st.session_state[_SAID]
        with st.expander("Change yours" if tool.own else "I know mine", key=f"mine_{tool.id}"):
            share, least = _fields(tool, f"kit_{tool.id}_{tool.of_reading}_{tool.at_least}")
            if st.button("Save", key=f"save_{tool.id}", type="primary"):
                _keep(known, tool, share, least, "Kept. Visits begun from now on reckon with it.")
            if tool.own and st.button("Back to typical", key=f"typical_{tool.id}"):
                _keep(known, tool, "", "", "Typical of its class again, in visits to come.")


def in_visit(known: Knowledge, visit: Visit) -> None:
    """One's own accuracy for this visit, also for the readings that were entered already."""
    with st.expander("The accuracy of my instruments"):
        st.write("What is stated here counts in this visit, also for past readings.")
        name = st.selectbox(
            "Which instrument", tuple(known.instruments), index=None, key="instrument_name",
            format_func=lambda n: known.instruments[n].name, placeholder="Type or choose",
        )  # fmt: skip
        if not name:
            return
        tool = kit.tool(known, name, visit.state.instruments.get(name))
        st.write(f"Now: {plain(tool.stated or f'{tool.typical}, typical of its class')}.")
        share, least = _fields(tool, f"instrument_{visit.id}_{len(visit.history)}")
        st.caption("Both empty: typical of its class.")
        if st.button("Enter it", key="instrument_enter", type="primary"):
            of_reading, at_least = kit.typed(known, name, share, least)
            held.try_add(
                visit,
                happened.InstrumentStated(
                    instrument=name, of_reading=of_reading, at_least=at_least
                ),
            )


def _fields(tool: Tool, key: str) -> tuple[str, str]:
    """Share of the reading and least figure as typed; they keep what was typed."""
    more = {"autocomplete": "off", "max_chars": kit.LONGEST}
    share = st.text_input("Share of the reading [%]", tool.of_reading, key=f"{key}_share", **more)
    least = st.text_input(f"But at least [{tool.unit}]", tool.at_least, key=f"{key}_least", **more)
    return share, least


def _keep(known, tool, share, least, said) -> None:
    """Store it, or say why not and leave the fields as they are."""
    try:
        kit.remember(held.store(), known, tool.id, share, least)
    except SightportError as error:
        st.error(held.sentence(error))
    else:
        st.session_state[_SAID] = (tool.id, said)
        st.rerun()
