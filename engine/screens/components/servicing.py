"""The yearly service on the screen: what is opened, what to bring, the list, what it brought up."""

import streamlit as st

from engine.knowledge import Knowledge
from engine.screens.components import held
from engine.screens.components.dress import plain
from engine.visit import events as happened
from engine.visit.bring import to_bring
from engine.visit.keeping import Visit
from engine.visit.service import (
    EXTENT_WORDS,
    LOOK,
    STAGES,
    USUAL,
    WAITING,
    choosable,
    extent_of,
    following,
    openings_of,
)
from engine.visit.service_words import left_words, line, lost_by, opened_words, raised_words
from engine.visit.steps import taken
from engine.visit.view import Next

_LEAD = "lead"


def ask_openings(known: Knowledge, who: str, key: str, openings=None) -> tuple[str, ...]:
    """How far the service goes, and which layers it opens; those before them come along."""
    able = choosable(known, who)
    now = USUAL if openings is None else extent_of(known, who, openings)
    extent = st.radio(
        "How far does this service go?", tuple(EXTENT_WORDS), format_func=EXTENT_WORDS.get,
        index=tuple(EXTENT_WORDS).index(now), key=f"{key}_extent",
    )  # fmt: skip
    if extent == LOOK:
        return ()
    as_planned = extent == now and openings is not None
    preset = openings if as_planned else openings_of(known, who, extent)
    chosen = st.pills(
        "What is opened: tap to leave out or add", able, selection_mode="multi",
        default=[name for name in preset if name in able],
        format_func=lambda name: known.access[name].name, key=f"{key}_layers_{extent}",
    )  # fmt: skip
    st.write(f"**Opened in this order:** {plain(opened_words(known, chosen))}.")
    return tuple(chosen)


def bring(known: Knowledge, who: str, facts, openings) -> None:
    """The list for the van, folded."""
    with st.expander("What to bring", key="to_bring"):
        for title, lines in to_bring(known, who, facts, openings).blocks():
            st.write(f"**{title}**\n" + "\n".join(f"- {plain(text)}" for text in lines))


# ------------------------------------------------------------------ in the visit


def leads(visit: Visit) -> bool:
    """Whether the list goes on although a complaint stands, by the person's word; a further
    complaint is looked into first."""
    chosen = st.query_params.get(_LEAD, "")
    return visit.state.service is not None and chosen == str(len(visit.state.symptoms))


def advised(known: Knowledge, visit: Visit) -> Next | None:
    """The step on the screen: the next of the list where that leads, else the advised one."""
    item = following(visit.view.service) if leads(visit) else None
    return taken(known, visit, item.kind, item.id, item.cause) if item else visit.view.next


def brought_up(known: Knowledge, visit: Visit) -> None:
    """What was found on the way and is looked into, with the way to the list and back."""
    if visit.state.service is None or not visit.state.symptoms:
        return
    item = following(visit.view.service)
    with st.container(border=True, key="brought_up"):
        for text in raised_words(known, visit):
            st.write(f"**Found on the way:** {plain(text)}.")
        first = ", ".join(f"{s.name} ({s.word})" for s in visit.view.suspects[:3])
        if first:
            st.write(f"**First suspects:** {plain(first)}.")
        if leads(visit):
            if st.button("Look into what was found", key="look_into", width="stretch"):
                st.query_params.pop(_LEAD, None)
                held.forget_choice()
                st.rerun()
        elif item and st.button(
            f"Go on with the service list: {plain(item.name)}", key="on_with_list", width="stretch"
        ):
            st.query_params[_LEAD] = str(len(visit.state.symptoms))
            held.forget_choice()
            st.rerun()


def mind_as_found(known: Knowledge, visit: Visit, step: Next) -> None:
    """What can no longer be read as found once this step is done; the person decides."""
    if lost := lost_by(known, visit, step):
        st.warning(f"**Read these first, or they are lost as found:** {plain('; '.join(lost))}.")


def later(visit: Visit, step: Next) -> None:
    """Put an item of the list behind the others of its stage."""
    listed = any(
        (item.kind, item.id) == (step.kind, step.id) and item.stands in WAITING
        for item in visit.view.service
    )
    if listed and st.button("Later, after the others", key=f"later_{len(visit.history)}_{step.id}"):
        held.try_add(visit, happened.Postponed(step=step.id))


def show_list(known: Knowledge, visit: Visit) -> None:
    """The list, folded, each waiting item one tap away; what to bring and what is opened."""
    if visit.state.service is None:
        return
    items = visit.view.service
    with st.expander(f"The service list: {left_words(items)}", key=f"list_{visit.id}"):
        for stage, title in STAGES.items():
            mine = [item for item in items if item.stage == stage]
            if not mine:
                continue
            st.subheader(title)
            for item in mine:
                if item.stands in WAITING:
                    key = f"item_{stage}_{item.kind}_{item.id}"
                    if st.button(plain(line(item)), key=key, width="stretch"):
                        held.choose(visit, item.kind, item.id, item.cause)
                else:
                    st.write(f"- {plain(line(item))}")
    bring(known, visit.state.who, visit.state.facts, visit.state.service)
    key = f"openings_{visit.id}_{len(visit.history)}"
    with st.expander("Change what is opened", key=f"{key}_part"):
        chosen = ask_openings(known, visit.state.who, key, visit.state.service)
        if st.button("Plan it so", key=f"{key}_enter", type="primary"):
            held.try_add(visit, happened.ServicePlanned(openings=chosen))
