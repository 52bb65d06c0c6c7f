"""A new call: danger first, then the complaint; who calls stands beside it."""

import streamlit as st

from engine.errors import SightportError
from engine.knowledge import Knowledge
from engine.records.cards import boilers_of, customer, find_customers
from engine.screens.components import complaints, desk_calls, held
from engine.screens.components.dress import plain
from engine.screens.components.saying import say
from engine.visit import calls

_KEY = "desk_new"
SHOWN = 4
LEAST_LETTERS = 2


def so_far() -> dict:
    """What was said so far."""
    return st.session_state.setdefault(_KEY, {"safe": False, "customer": None})


def form(known: Knowledge) -> None:
    """Everything on one screen: whoever is in danger is asked for no name."""
    said = so_far()
    with st.container(key="danger_bar"), st.popover("Danger sign", width="stretch", key="danger"):
        st.write("**A tap on a sign that is so stops everything.**")
        _signs(known, "bar")
    questions, who = st.columns([3, 2], gap="large")
    with who:
        caller = _caller()
    with questions:
        if not said["safe"]:
            say([calls.FIRST])
            _signs(known, "asked", loud=True)
            if st.button("No to all of these", key="safe", type="primary", width="stretch"):
                said["safe"] = True
                st.rerun()
        else:
            say([calls.COMPLAINT])
            complaints.pick(known, "desk_new", lambda name: _start(known, name, caller))
            if st.button("Back to the danger signs", key="back_to_signs"):
                said["safe"] = False
                st.rerun()


def _signs(known, where, loud=False) -> None:
    with st.container(key=f"answers_{where}"):
        for name, symptom in known.symptoms.items():
            if not symptom.danger:
                continue
            asks = f"“{plain(symptom.danger.say)}” " if loud and symptom.danger.say else ""
            if st.button(
                f"{asks}Yes: **{plain(symptom.name)}**", key=f"{where}_{name}", width="stretch"
            ):
                _start(known, name)


def _caller() -> calls.Caller:
    """The fields, or the card that was taken over."""
    said = so_far()
    st.header("Who calls")
    if said["customer"] is not None:
        return _taken_over(said)
    name = st.text_input("Name", key="new_name", live=True, autocomplete="off", max_chars=200)
    number = st.text_input("Phone number", key="new_phone", live=True, autocomplete="off",
                           max_chars=60)  # fmt: skip
    address = st.text_input("Address", key="new_address", live=True, autocomplete="off",
                            max_chars=300)  # fmt: skip
    words = " ".join(filter(None, (name.strip(), number.strip(), address.strip())))
    if len(words) >= LEAST_LETTERS:
        near = find_customers(held.store(), words, SHOWN)
        if near:
            st.write("**Known already? One tap takes it over:**")
        for card in near:
            line = calls.Caller(card.name, card.phone, card.address).line()
            if st.button(plain(line), key=f"known_{card.id}", width="stretch"):
                said["customer"] = card.id
                st.rerun()
    else:
        st.caption("May stay empty. A known customer shows while you type.")
    return calls.Caller(name.strip(), number.strip(), address.strip())


def _taken_over(said) -> calls.Caller:
    card = customer(held.store(), said["customer"])
    own = boilers_of(held.store(), card.id)
    chosen = own[0].id if own else None
    caller = calls.Caller(card.name, card.phone, card.address, card.id)
    st.write(f"**{plain(caller.line())}**")
    if len(own) > 1:
        names = {b.id: ", ".join(filter(None, (b.name, b.place))) for b in own}
        chosen = st.radio("Which boiler?", tuple(names), format_func=names.get, key="new_boiler")
    elif own:
        st.write(f"Boiler: {plain(', '.join(filter(None, (own[0].name, own[0].place))))}.")
    if st.button("Somebody else", key="somebody_else"):
        said["customer"] = None
        st.rerun()
    return calls.Caller(card.name, card.phone, card.address, card.id, chosen)


def _start(known, symptom, caller=None) -> None:
    try:
        number = calls.take_call(held.store(), known, caller or _typed(), [symptom])
    except SightportError as error:
        st.error(held.sentence(error))
        return
    st.session_state.pop(_KEY, None)
    for key in ("new_name", "new_phone", "new_address", "desk_new_words"):
        st.session_state.pop(key, None)
    desk_calls.go(number)


def _typed() -> calls.Caller:
    """What stands in the fields, where a sign is tapped before they are drawn."""
    said, kept = so_far(), st.session_state
    if said["customer"] is not None:
        card = customer(held.store(), said["customer"])
        return calls.Caller(card.name, card.phone, card.address, card.id)
    fields = (kept.get(key, "").strip() for key in ("new_name", "new_phone", "new_address"))
    return calls.Caller(*fields)
