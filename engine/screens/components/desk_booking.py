"""A visit booked: what to load with the chance that it is enough, and the hand-over."""

import streamlit as st

from engine.errors import SightportError
from engine.knowledge import Knowledge
from engine.screens.components import held
from engine.screens.components.dress import plain
from engine.visit import calls, load_list
from engine.visit import events as happened
from engine.visit.keeping import Visit
from engine.visit.state import live


def ask(known: Knowledge, visit: Visit) -> None:
    """The load, to be changed by hand, and the hand-over."""
    parts = _load(known, visit)
    words = st.text_area(
        "When, and what the technician must know first", key=f"book_words_{visit.id}",
        max_chars=600, height=80, placeholder="such as: Tuesday morning, key with the neighbour",
    )  # fmt: skip
    if st.button("Book the visit", key=f"book_now_{visit.id}", type="primary", width="stretch"):
        try:
            calls.book(held.store(), known, visit, parts, words)
        except SightportError as error:
            st.error(held.sentence(error))
        else:
            held.after_change(visit)


def _load(known, visit) -> list[str] | None:
    """The parts chosen; None where there is nothing to choose from."""
    loading = load_list.loading(known, visit)
    if loading is None or not loading.needs:
        st.write("No parts can be named yet.")
        return None
    proposed, every = loading.propose().load, loading.everything()
    order = [*proposed, *sorted(set(every) - set(proposed))]
    with st.container(key=f"load_{visit.id}"):
        st.write("**What to load**")
        chosen = st.multiselect(
            "Parts and gaskets; add or take out by hand", order, list(proposed),
            format_func=lambda part: f"{every[part]} × {part}",
            key=f"parts_{visit.id}_{len(visit.history)}",
        )  # fmt: skip
        for line in load_list.in_words(loading.judged(load_list.chosen(loading, chosen)))[1:]:
            st.write(plain(line))
    with st.expander("What this counts on"):
        for line in load_list.ASSUMES:
            st.write(f"- {plain(line)}")
    return chosen


def booked(known: Knowledge, visit: Visit, caller: calls.Caller) -> None:
    """What goes to the site, on the screen and on paper."""
    st.header("A visit is booked")
    words = [e.words for _, e in live(visit.history) if isinstance(e, happened.HandedOver)]
    if words and words[-1]:
        st.write(plain(words[-1]))
    st.write("The technician opens it under Visits, or by its number. Everything stands there.")
    paper(known, visit, caller)
    st.page_link(
        held.VISIT_PAGE, label="Open it as the technician sees it",
        query_params={"visit": str(visit.id)}, width="stretch",
    )  # fmt: skip
    if st.button("The caller rings again: back to the phone", key="rings_again", width="stretch"):
        held.try_add(visit, happened.HandedOver(who="caller", words="rang again"))


def paper(known: Knowledge, visit: Visit, caller: calls.Caller) -> None:
    """The hand-over as a text file."""
    st.download_button(
        "Save the hand-over", calls.hand_over_text(held.store(), known, visit, caller),
        file_name=f"hand-over-{visit.id}.txt", mime="text/plain", key="hand_over_text",
        width="stretch",
    )  # fmt: skip
