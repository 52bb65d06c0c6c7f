"""The start of a visit in short screens: danger, complaint or service, boiler."""

import streamlit as st

from engine.errors import SightportError
from engine.knowledge import Knowledge
from engine.screens.components import (
    boiler_at_visit,
    complaints,
    facts,
    held,
    quantity,
    servicing,
)
from engine.screens.components.dress import plain
from engine.visit.known_boiler import start_at
from engine.visit.service_words import NO_COMPLAINT, opened_words
from engine.visit.starting import MAIN_FACTS, brought_along
from engine.visit.told import WHO

_KEY = "opening"


def so_far() -> dict:
    """What was said on the screens before."""
    return st.session_state.setdefault(_KEY, _from_the_start())


def _from_the_start(who: str | None = None) -> dict:
    return {"stage": "danger", "who": who, "symptoms": [], "openings": None}


def _go(stage: str) -> None:
    so_far()["stage"] = stage
    st.rerun()


def ask_danger(known: Knowledge) -> None:
    """Who holds the tool, and the danger signs; any of them ends the questions at once."""
    said = so_far()
    order = tuple(WHO)
    said["who"] = said["who"] or held.settings().who
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
    """The complaint, by its words or from a short list; or a service without one."""
    said = so_far()
    nothing_yet = not said["symptoms"] and said["openings"] is None
    if said["who"] != "caller" and nothing_yet:
        if st.button(f"**{NO_COMPLAINT}**", key="service", width="stretch"):
            _go("openings")
        st.write("Or, if something is wrong:")

    def take(name):
        if known.symptoms[name].danger:
            _begin(known, said["who"], symptoms=[name])
        if name not in said["symptoms"]:
            said["symptoms"].append(name)
        _go("boiler")

    complaints.pick(known, "opening", take)
    if not nothing_yet:
        if st.button("No further complaint", key="enough", width="stretch"):
            _go("boiler")
    elif st.button("Back", key="back_to_danger"):
        _go("danger")


def ask_openings(known: Knowledge) -> None:
    """What a service opens, and what to bring for it."""
    said = so_far()
    st.subheader(NO_COMPLAINT)
    openings = servicing.ask_openings(known, said["who"], "opening", said["openings"])
    servicing.bring(known, said["who"], {}, openings)
    with st.container(key="start_bar"):
        if st.button("Go on to the boiler", key="openings", type="primary", width="stretch"):
            said["openings"] = openings
            _go("boiler")
    if st.button("Back", key="back_to_complaint"):
        said["openings"] = None
        _go("complaint")


def ask_boiler(known: Knowledge) -> None:
    """The boiler's facts, the circumstances and the suspicion; then the visit begins."""
    said = so_far()
    names = ", ".join(known.symptoms[name].name for name in said["symptoms"])
    service = said["openings"] is not None
    if service:
        st.write(f"**{NO_COMPLAINT}.** Opened: {plain(opened_words(known, said['openings']))}.")
    if names:
        st.write(f"**Complaint:** {plain(names)}")
    with st.container(horizontal=True):
        label = "Add a complaint" if service and not names else "Add another complaint"
        if st.button(label, key="add_complaint"):
            _go("complaint")
        if st.button("Change it", key="change_complaint"):
            said.update(symptoms=[], openings=None)
            _go("complaint")
    card = boiler_at_visit.choose(known)
    sheet, key = (card.facts, f"opening_{card.id}") if card else ({}, "opening")
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
        answers[name] = facts.ask(known, name, key, chosen, sheet.get(name, ""), helped=False)
        if known.facts[name].choices and answers[name]:
            chosen[name] = answers[name]
    with st.expander("More of the boiler, and the maker's limits"):
        st.write("A figure entered here replaces the typical one everywhere.")
        for name in known.facts:
            if name not in MAIN_FACTS:
                answers[name] = facts.ask(known, name, key, chosen, sheet.get(name, ""))
    also = brought_along(known, answers, contexts)
    if also:
        st.write(f"**So here too, by what was said of the boiler:** {plain('; '.join(also))}")
    where = {"boiler": card.id} if card else boiler_at_visit.ask_name()
    title = st.text_input(
        "A name to find this visit by", card.line[:120] if card else "", key=f"{key}_title",
        max_chars=120,
        placeholder="such as: Mill Lane 4, cellar",
    )  # fmt: skip
    with st.container(key="start_bar"):
        if st.button("Start", key="begin", type="primary", width="stretch"):
            _begin(known, said["who"], title, said["symptoms"], answers, contexts, cause,
                   said["openings"], where)  # fmt: skip


def _name(known):
    return lambda cause: known.causes[cause].name


def _begin(known, who, title="", symptoms=(), answers=None, contexts=(), cause=None,
           openings=None, where=None) -> None:  # fmt: skip
    try:
        visit = start_at(
            held.store(), known, **(where or {}), who=who, title=title, symptoms=symptoms,
            facts=answers, contexts=contexts, suspected=cause, openings=openings,
        )  # fmt: skip
    except SightportError as error:
        st.error(held.sentence(error))
        return
    for name, value in (answers or {}).items():
        if known.facts[name].quantity:
            quantity.remember(value, known.facts[name].quantity, known.facts[name].unit)
    boiler_at_visit.forget()
    st.session_state[_KEY] = _from_the_start(who)
    st.switch_page(held.VISIT_PAGE, query_params={"visit": str(visit)})
