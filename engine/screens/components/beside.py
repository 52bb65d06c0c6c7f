"""Beside the step: news of the last entry, the boiler, notes and handing over."""

import streamlit as st

from engine.knowledge import Knowledge
from engine.screens.components import (
    entries,
    facts,
    held,
    meanwhile,
    opened_now,
    own_accuracy,
    quantity,
    suspects,
)
from engine.screens.components.dress import plain
from engine.visit import events as happened
from engine.visit.chart_words import to_begin
from engine.visit.keeping import Visit
from engine.visit.told import WHO, latest, minutes_spent


def show(known: Knowledge, visit: Visit) -> None:
    """Everything that stands beside the step, or below it on a narrow screen."""
    if visit.view.thought:
        suspects.show(known, visit)
    opened_now.still_to_prove(known, visit)
    entries.show(known, visit)
    boiler(known, visit)
    own_accuracy.in_visit(known, visit)
    further(known, visit)
    note_and_hand_over(visit)


def heading(known: Knowledge, visit: Visit) -> None:
    """Which visit this is, and how long it has taken."""
    name = f"Visit {visit.id}" + (f", {visit.state.title}" if visit.state.title else "")
    minutes = round(minutes_spent(known, visit))
    st.write(f"**{plain(name)}.** " + (f"About {minutes} minutes so far." if minutes else ""))
    meanwhile.show(known, visit)


def news(known: Knowledge, visit: Visit) -> None:
    """What the last entry was and what it means, with the way to undo it."""
    kind, lines = latest(known, visit)
    if not lines:
        return
    with st.container(border=True, key="news"):
        with st.container(horizontal=True, vertical_alignment="center"):
            st.markdown(f"**{kind}.** {plain(lines[0])}")
            if st.button("Undo this", key="undo"):
                held.undo(visit)
        measured = _measured(lines)
        for line in (*(lines[1:2] if measured else ()), held.changed_first_suspect(visit)):
            if line:
                st.write(plain(line))
        if measured:  # whose limits and instruments: asked for seldom, and long
            key = f"limits_{visit.id}_{len(visit.history)}"
            with st.expander("Limits and accuracy behind it", key=key):
                for line in lines[2:]:
                    st.write(plain(line))


def handed_over(visit: Visit) -> None:
    """What whoever goes on must know first, until they have entered something themselves."""
    event = visit.history[-1][1]
    if isinstance(event, happened.HandedOver) and event.words:
        st.info(f"**Handed over to you.** {plain(event.words)}")


def meant(known: Knowledge, visit: Visit) -> None:
    """What the last answer means, where it was seen and not measured: it can wait for the step."""
    _, lines = latest(known, visit)
    if lines[1:] and not _measured(lines):
        st.write(f"**What was answered last means:** {plain(lines[1])}")


def _measured(lines) -> bool:
    return len(lines) > 2


def warnings(visit: Visit) -> None:
    """Findings that do not fit, and none at all, in letters that are not overlooked."""
    if visit.view.status == "refer" or visit.view.unusual or visit.view.at_a_loss:
        with st.container(key="loud"):
            if visit.view.status == "refer":
                st.warning(plain(visit.view.headline))
            if visit.view.at_a_loss:
                st.warning(plain(visit.view.at_a_loss))
                st.page_link(
                    held.END_PAGE, label="End the visit", query_params={"visit": str(visit.id)}
                )
            for text in visit.view.unusual:
                st.warning(f"Unusual. {plain(text)}")


def first_words(known: Knowledge, visit: Visit) -> None:
    """What to ask and what to leave, before the first finding."""
    if visit.state.findings or visit.state.done or not visit.state.symptoms:
        return
    lines = to_begin(known, visit.state)
    st.info("**To begin with**\n" + "\n".join(f"- {plain(line)}" for line in lines))


def boiler(known: Knowledge, visit: Visit) -> None:
    """The facts and limits of this boiler, to be entered whenever they are found."""
    with st.expander("The boiler, and the maker's limits", key=f"boiler_part_{visit.id}"):
        st.write(
            "A figure entered here replaces the typical one everywhere, also for past readings."
        )
        name = st.selectbox(
            "Which figure", tuple(known.facts), index=None, key="fact_name",
            format_func=lambda n: known.facts[n].name, placeholder="Type or choose",
        )  # fmt: skip
        if name:
            typed = visit.state.typed_facts.get(name, "")
            key = f"fact_{visit.id}_{len(visit.history)}"
            value = facts.ask(known, name, key, dict(visit.state.facts), typed)
            if st.button("Enter it", key="fact_enter", type="primary"):
                fact = known.facts[name]
                if fact.quantity and value:
                    quantity.remember(value, fact.quantity, fact.unit)
                held.try_add(visit, happened.FactStated(fact=name, value=value))


def report(visit: Visit):
    """Store a complaint of this visit by its id."""
    return lambda name: held.try_add(visit, happened.SymptomReported(symptom=name))


def further(known: Knowledge, visit: Visit) -> None:
    """A further complaint, circumstance or suspicion that turned up on the way."""
    with st.expander(
        "Add a complaint, a circumstance or a suspicion", key=f"further_part_{visit.id}"
    ):
        kinds = (
            ("A further complaint", known.symptoms, visit.state.symptoms,
             lambda n: happened.SymptomReported(symptom=n)),
            ("A circumstance", known.contexts, visit.state.contexts,
             lambda n: happened.ContextStated(context=n)),
            ("I think it is", known.causes, visit.state.suspected,
             lambda n: happened.Suspected(cause=n)),
        )  # fmt: skip
        for label, entries, said, make in kinds:
            names = [name for name in entries if name not in said]
            pick = st.selectbox(
                label, names, index=None, format_func=lambda n, e=entries: e[n].name,
                key=f"add_{label}_{len(visit.history)}", placeholder="Type or choose",
            )  # fmt: skip
            if pick and st.button("Add it", key=f"add_now_{label}"):
                held.try_add(visit, make(pick))


def note_and_hand_over(visit: Visit) -> None:
    """A note for the record, and somebody else who goes on."""
    kept = len(visit.state.notes)
    with st.expander("Write a note", key=f"note_part_{visit.id}_{kept}"):
        text = st.text_area("Note", key=f"note_{visit.id}_{kept}", max_chars=2000)
        if st.button("Keep the note", key="keep_note"):
            if text.strip():
                held.try_add(visit, happened.Noted(text=text))
            else:
                st.error("The note is empty.")
    with st.expander(
        "Hand over to somebody else", key=f"hand_over_part_{visit.id}_{visit.state.who}"
    ):
        who = st.radio("Who goes on?", tuple(WHO), format_func=WHO.get, index=None, key="next_who")
        words = st.text_input("What they have to know first", key="next_words", max_chars=300)
        if st.button("Hand over", key="hand_over"):
            if who:
                held.try_add(visit, happened.HandedOver(who=who, words=words))
            else:
                st.error("Say who goes on.")
