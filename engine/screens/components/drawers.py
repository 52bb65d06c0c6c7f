"""Drawers under a step: why it, what else could be done, what cannot be done here."""

import streamlit as st

from engine.knowledge import Knowledge
from engine.screens.components import held
from engine.screens.components.dress import plain
from engine.visit import events as happened
from engine.visit.keeping import Visit
from engine.visit.reasons import leads_to, why
from engine.visit.steps import all_others, ranked
from engine.visit.view import Next


def set_aside(visit: Visit, step: Next) -> None:
    """'Don't know', and 'cannot do it' with a reason: neither changes the suspects."""
    key = f"{visit.id}_{len(visit.history)}_{step.id}"
    with st.container(horizontal=True):
        if step.kind == "check" and st.button("Don't know", key=f"{key}_unknown"):
            held.try_add(visit, happened.Skipped(step=step.id, reason="don't know"))
        with st.popover("Cannot do it", key=f"{key}_cannot"):
            reason = st.text_input("Why not?", key=f"{key}_reason", max_chars=200)
            if st.button("Set it aside", key=f"{key}_aside"):
                held.try_add(visit, happened.Skipped(step=step.id, reason=reason))


def why_this(known: Knowledge, visit: Visit, step: Next) -> None:
    """What the step separates, costs and saves, and what each answer would lead to."""
    drawer = _drawer("Why this", f"why_{visit.id}_{len(visit.history)}_{step.id}")
    if not drawer.open:
        return
    with drawer:
        for line in why(known, visit, step):
            st.write(plain(line))
        if step.kind == "check":
            st.write("**What each answer would lead to**")
            for answer, line in leads_to(known, visit, step.id):
                st.write(f"- **{plain(answer)}**, {plain(line)}")


def other_steps(known: Knowledge, visit: Visit, shown: Next | None) -> None:
    """The other steps, best first; any of them can be taken now."""
    step = shown.id if shown else ""
    drawer = _drawer("Other steps", f"others_{visit.id}_{len(visit.history)}_{step}")
    if not drawer.open:
        return
    offers = ranked(known, visit)
    with drawer:
        for offer in offers:
            if shown and (offer.kind, offer.id) == (shown.kind, shown.id):
                continue
            if st.button(
                plain(offer.line()),
                key=f"take_{offer.kind}_{offer.id}_{offer.cause}",
                width="stretch",
            ):
                held.choose(visit, offer.kind, offer.id, offer.cause)
        others = all_others(known, visit.state, offers)
        pick = st.selectbox(
            "Any other check or repair", others, index=None, key="any_other",
            format_func=lambda offer: offer.line(), placeholder="Type or choose",
        )  # fmt: skip
        if pick and st.button("Show it", key="show_other"):
            held.choose(visit, pick.kind, pick.id)


def _drawer(label, key):
    """A drawer that is filled once it is opened: what is in it takes longer than the step."""
    return st.expander(label, key=key, on_change="rerun")
