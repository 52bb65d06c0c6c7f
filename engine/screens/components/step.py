"""One step on the screen: cautions, the state of the boiler, the moves."""

import streamlit as st

from engine.knowledge import Knowledge
from engine.screens.components.dress import plain
from engine.visit.keeping import Visit
from engine.visit.opened import MAKE_SO, PUT_BACK, word_to_shut
from engine.visit.view import Next, access_names
from engine.visit.weighing import against_advised, aim_words

LISTED_OPEN = 2
"""Up to so many layers are shown with their moves at once; more are folded."""


def show(known: Knowledge, visit: Visit, step: Next, advised: bool) -> None:
    """Everything to know before the answer, in the order in which it is needed."""
    st.header(plain(step.name))
    who = "Advised now" if advised else "Chosen by you"
    st.write(f"{who}." if step.kind == "refer" else f"{who}. About {round(step.minutes)} minutes.")
    if not advised and (costs := against_advised(known, visit.view, step)):
        st.write(plain(costs))
    cautions(step.cautions)
    if step.governs:
        st.caption(f"Before all of this: {plain('; '.join(step.governs))}.")
    _state(known, visit, step)
    if step.kind == "check":
        if known.checks[step.id].photograph:
            st.info(f"**Before it is gone.** {plain(known.checks[step.id].photograph)}")
        _moves(known.checks[step.id].how)
        _sheet(step)
        _instrument(known.checks[step.id])
    elif step.kind == "action":
        _action(known, visit, step)
    elif step.kind == "proof":
        _moves(known.closing[step.id].how)
        _sheet(step)
        if known.closing[step.id].check:
            _instrument(known.checks[known.closing[step.id].check])


def cautions(texts) -> None:
    """Cautions in one frame: the act in bold, its reason after it."""
    if not texts:
        return
    lines = []
    for text in texts:
        act, stop, reason = text.partition(". ")
        lines.append(f"- **{plain(act)}{stop.strip()}** {plain(reason)}")
    st.warning("**Caution, before you begin**\n" + "\n".join(lines))


def _state(known, visit, step) -> None:
    """What must be so now, and what has to be shut or opened for it first."""
    if step.access:
        names = ", ".join(access_names(known, step.access))
        st.write(f"**Must be so now:** {plain(names)}.")
    todo = [(word_to_shut(known.access[n]), n) for n in step.to_shut]
    todo += [(MAKE_SO, name) for name in step.to_open]
    if not todo:
        return
    st.write("**First, in this order:**")
    for place, (verb, name) in enumerate(todo, 1):
        entry = known.access[name]
        opening = verb == MAKE_SO
        minutes = entry.open_minutes if opening else entry.close_minutes
        label = f"{place}. {plain(entry.name)}: {verb} ({round(minutes)} min)"
        with st.expander(label, expanded=len(todo) <= LISTED_OPEN):
            _moves(entry.open_how if opening else entry.close_how)
            if verb == PUT_BACK and entry.closing:
                obliged = ", ".join(known.closing[name].name for name in entry.closing)
                st.write(f"Closing it obliges: {plain(obliged)}.")


def _instrument(check) -> None:
    if check.instrument:
        st.write(f"**With:** {plain(check.instrument)}.")
    if check.where:
        st.write(f"**Where:** {plain(check.where)}.")
    if check.mistakes:
        with st.expander("Often done wrong"):
            for mistake in check.mistakes:
                st.write(f"- {plain(mistake)}")


def _action(known, visit, step) -> None:
    action = known.actions[step.id]
    if aims := aim_words(known, visit.view, step.id):
        st.write(f"**For, with the chance that it mends it:** {plain(aims)}.")
    if action.parts:
        parts = ", ".join(f"{p.count} × {p.part}" for p in action.parts)
        st.write(f"**Have ready:** {plain(parts)}.")
    _moves(action.how)
    _sheet(step)


def _sheet(step) -> None:
    if step.sheet:
        lines = "\n".join(f"- {plain(line)}" for line in step.sheet)
        st.write(f"**From the boiler's sheet**\n{lines}")


def _moves(lines) -> None:
    if lines:
        st.markdown("\n".join(f"{i}. {plain(line)}" for i, line in enumerate(lines, 1)))
