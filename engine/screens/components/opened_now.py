"""What is open now, what is worth doing before it is closed, and what closing obliges."""

import streamlit as st

from engine.knowledge import Knowledge
from engine.screens.components import held
from engine.screens.components.dress import plain
from engine.visit.keeping import Visit
from engine.visit.while_open import open_now, worth_doing


def show(known: Knowledge, visit: Visit) -> None:
    """One title, and folded what can be done while it is open; nothing where nothing is."""
    now = open_now(known, visit.state)
    if not now.innermost:
        return
    offers = worth_doing(known, visit)
    worth = f" Worth doing before you close it: {len(offers)}." if offers else ""
    label = f"**Open now:** {plain(now.line())}.{worth}"
    with st.expander(label, key=f"open_now_{visit.id}_{len(visit.history)}"):
        if offers:
            st.write("**Worth doing before you close it**")
        for offer in offers:
            name = f"open_{offer.kind}_{offer.id}"
            if st.button(plain(offer.line()), key=name, width="stretch"):
                held.choose(visit, offer.kind, offer.id, offer.cause)
        if now.with_them:
            st.write(f"**With it:** {plain(', '.join(now.with_them))}.")
        lines = "\n".join(f"- {plain(name)}" for name in now.obliges)
        st.markdown(f"**Closing it obliges**\n{lines}" if lines else "Closing it obliges nothing.")


def still_to_prove(known: Knowledge, visit: Visit) -> None:
    """What is still to be proven before leaving."""
    if visit.view.still_open:
        st.subheader("Before you leave")
        names = "\n".join(f"- {plain(known.closing[n].name)}" for n in visit.view.still_open)
        st.write(f"Still to be proven:\n{names}")
