"""A complaint chosen by its words, or from a short list by what the boiler does."""

from collections.abc import Callable

import streamlit as st

from engine.knowledge import Knowledge
from engine.screens.components.dress import plain
from engine.visit.finding_words import nearest_complaints

GROUPS = {
    "will_not_start": "Will not start",
    "starts_and_stops": "Starts and stops",
    "runs_badly": "Runs badly",
    "leaks_or_smells": "Leaks or smells",
    "found_while_servicing": "Found while servicing",
}


def pick(known: Knowledge, key: str, then: Callable[[str], None]) -> None:
    """Offer complaints; a tap on one goes on with `then`."""
    typed = st.text_input(
        "What does the boiler do? In any words", key=f"{key}_words", live=True,
        autocomplete="off", placeholder="such as: clicks a few times and gives up",
    )  # fmt: skip
    near = nearest_complaints(known, typed)
    if typed.strip() and not near:
        st.write("No complaint is near these words. Choose below.")
    for found in near:
        _button(known, found.symptom, found.saying, f"{key}_near", then)
    group = st.pills(
        "Or by what it does", tuple(GROUPS), format_func=GROUPS.get, key=f"{key}_group"
    )
    for name, symptom in known.symptoms.items():
        if symptom.group == group:
            _button(known, name, symptom.caller_says[0], f"{key}_listed", then)


def _button(known, name, saying, key, then) -> None:
    symptom = known.symptoms[name]
    label = f"**{plain(symptom.name)}**"
    if symptom.danger:
        label += " (danger sign: everything stops)"
    if saying != symptom.name:
        label += f" — {plain(saying)}"
    if st.button(label, key=f"{key}_{name}", width="stretch"):
        then(name)
