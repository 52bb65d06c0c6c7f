"""Rehearse a cause: put it into boilers and follow the advice."""

import streamlit as st

from engine.knowledge import Knowledge
from engine.screens.components.dress import plain
from engine.visit import keeping, rehearsal, rehearsal_words

MOST = 10


def show(known: Knowledge) -> None:
    """The form, and what the rehearsals came to."""
    st.header("Rehearse a cause")
    st.write(
        "The cause is put into some boilers, alone and beside what often comes with it, and the "
        f"advice is followed to its end. {rehearsal_words.OWN_MODEL}"
    )
    names = {name: cause.name for name, cause in known.causes.items()}
    chosen = st.selectbox("Cause", names, format_func=names.get, index=None, key="rehearse_cause")
    visits = st.slider("Boilers for each", 1, MOST, 3, key="rehearse_visits")
    if not st.button("Rehearse", type="primary", key="rehearse"):
        return
    if chosen is None:
        st.warning("Choose a cause first.")
        return
    settings = list(rehearsal.settings(known, [chosen]))
    if not settings:
        st.info("It shows by danger signs alone: the visit stops before anything is looked for.")
        return
    progress, done = st.progress(0.0, "Following the advice"), []
    for one in rehearsal_words.rehearsed(keeping.knowledge_folder(), settings, visits):
        done.append(one)
        progress.progress(len(done) / len(settings), f"{len(done)} of {len(settings)}")
    progress.empty()
    for one in done:
        _card(known, one)
    for sentence in rehearsal_words.sentences(known, done)[:1]:
        st.write(plain(sentence))


def _card(known, one) -> None:
    cells = rehearsal_words.row(known, one)
    with st.container(border=True):
        st.write(f"**{plain(cells[0])}**, {plain(cells[1])}. {plain(cells[2])}.")
        st.write(
            f"First suspect in {cells[3]}, mended in {cells[4]}, referred in {cells[5]}, stopped "
            f"for danger in {cells[6]}, about {cells[7]} minutes."
        )
