"""The start of a visit in three short screens: danger, complaint, boiler."""

import streamlit as st

from engine.errors import SightportError
from engine.knowledge import Knowledge
from engine.screens.components import complaints, facts, held, quantity
from engine.screens.components.dress import plain
from engine.visit.starting import MAIN_FACTS, brought_along, start
from engine.visit.told import WHO

_KEY = "opening"


def so_far() -> dict:
    """What was said on the screens before."""
    return st.session_state.setdefault(_KEY, {"stage": "danger", "who": None, "symptoms": []})


def _go(stage: str) -> None:
    so_far()["stage"] = stage
    st.rerun()


def ask_danger(known: Knowledge) -> None:
    """Who holds the tool, and the danger signs; any of them ends the questions at once."""
    said = so_far()
    order = tuple(WHO)
    said["who"] = st.radio(
        "Who holds this?", order, format_func=WHO.get, key="opening_who",
        index=order.index(said["who"]) if said["who"] else None,
    )  # fmt: skip
    st.header("Is any of this so?")
    for name, symptom in known.symptoms.items():
        if symptom.danger:
            label = f"**{plain(symptom.name)}.** {plain(symptom.caller_says[0])}"
            if st.button(label, key=f"danger_{name}", width="stretch"):
                _begin(known, said["who"] or "caller", symptoms=[name])
    if st.button("None of these", key="no_danger", type="primary", width="stretch"):
        if said["who"] is None:
            st.error("Say first who holds this: it decides which steps are offered.")
        else:
            _go("complaint")


def ask_complaint(known: Knowledge) -> None:
    """The complaint, by its words or from a short list."""
    said = so_far()

    def take(name):
        if known.symptoms[name].danger:
            _begin(known, said["who"], symptoms=[name])
        if name not in said["symptoms"]:
            said["symptoms"].append(name)
        _go("boiler")

    complaints.pick(known, "opening", take)
    if said["symptoms"]:
        if st.button("No further complaint", key="enough", width="stretch"):
            _go("boiler")
    elif st.button("Back", key="back_to_danger"):
        _go("danger")


def ask_boiler(known: Knowledge) -> None:
    """The boiler's facts, the circumstances and the suspicion; then the visit begins."""
    said = so_far()
    names = ", ".join(known.symptoms[name].name for name in said["symptoms"])
    st.write(f"**Complaint:** {plain(names)}")
    with st.container(horizontal=True):
        if st.button("Add another complaint", key="add_complaint"):
            _go("complaint")
        if st.button("Change it", key="change_complaint"):
            said["symptoms"] = []
            _go("complaint")
    cause = st.selectbox(
        "I think it is (leave empty if you do not know)", sorted(known.causes, key=_name(known)),
        index=None, format_func=_name(known), key="opening_suspicion", placeholder="Type or choose",
    )  # fmt: skip
    contexts = st.pills(
        "What is so here?", tuple(known.contexts), selection_mode="multi",
        format_func=lambda name: known.contexts[name].name, key="opening_contexts",
    )  # fmt: skip
    st.header("The boiler")
    answers: dict[str, str] = {}
    chosen: dict[str, str] = {}
    for name in MAIN_FACTS:
        answers[name] = facts.ask(known, name, "opening", chosen, helped=False)
        if known.facts[name].choices and answers[name]:
            chosen[name] = answers[name]
    with st.expander("More of the boiler, and the maker's limits"):
        st.write("A figure entered here replaces the typical one everywhere.")
        for name in known.facts:
            if name not in MAIN_FACTS:
                answers[name] = facts.ask(known, name, "opening", chosen)
    also = brought_along(known, answers, contexts)
    if also:
        st.write(f"**So here too, by what was said of the boiler:** {plain('; '.join(also))}")
    title = st.text_input(
        "A name to find this visit by", key="opening_title", max_chars=120,
        placeholder="such as: Mill Lane 4, cellar",
    )  # fmt: skip
    with st.container(key="start_bar"):
        if st.button("Start", key="begin", type="primary", width="stretch"):
            _begin(known, said["who"], title, said["symptoms"], answers, contexts, cause)


def _name(known):
    return lambda cause: known.causes[cause].name


def _begin(known, who, title="", symptoms=(), answers=None, contexts=(), cause=None) -> None:
    try:
        visit = start(held.store(), known, who, title, symptoms, answers, contexts, cause)
    except SightportError as error:
        st.error(held.sentence(error))
        return
    for name, value in (answers or {}).items():
        if known.facts[name].quantity:
            quantity.remember(value, known.facts[name].quantity, known.facts[name].unit)
    st.session_state[_KEY] = {"stage": "danger", "who": who, "symptoms": []}
    st.switch_page(held.VISIT_PAGE, query_params={"visit": str(visit)})
