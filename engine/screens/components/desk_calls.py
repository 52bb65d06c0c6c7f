"""The calls of the phone desk: one tap to another, the list, and the search."""

import streamlit as st

from engine.errors import SightportError
from engine.knowledge import Knowledge
from engine.records import default_url
from engine.screens.components import held
from engine.screens.components.dress import plain
from engine.visit import calls
from engine.visit.calls import OPEN
from engine.visit.keeping import Visit

IN_BAR = 6
"""So many calls stand in the bar; the others in the list."""

MOST_FOUND = 30
LONGEST_LABEL = 36  # letters of a waiting question in the bar


@st.cache_resource(max_entries=500, show_spinner=False)
def _standing(url, version, number, last) -> calls.Standing:
    """How a call stands, worked out again only when an entry was added."""
    return calls.standing(held.store(), held.known(), number)


def _stands(stored) -> calls.Standing:
    return _standing(default_url(), held.known().version, stored.id, stored.last)


def found(words: str = "") -> tuple[calls.Call, ...]:
    """The calls that meet the words, with how they stand."""
    return calls.calls(held.store(), _stands, words)


def numbered(number: str) -> Visit:
    """The call of a number as it stands in the address.

    Raises
    ------
    SightportError
        If there is none, or it is no number.
    """
    if not (number.isascii() and number.isdigit() and len(number) < 10):
        raise SightportError(f"{number[:20]!r} is no call number; choose a call below")
    return held.current(int(number))


def go(number: int | None = None, new: bool = False) -> None:
    """Put a call, the form of a new one or the list on the screen, and in the address."""
    where = {"visit": str(number)} if number is not None else {"new": "1"} if new else {}
    st.query_params.from_dict(where)  # at once, so that 'back' finds no place between two calls
    st.rerun()


def bar(known: Knowledge, visit: Visit | None) -> None:
    """A new call, the list, and the open calls beside the one on the screen."""
    here = visit.id if visit else None
    with st.container(horizontal=True, key="desk_bar"):
        if not st.query_params.get("new") and st.button(
            "New call", key="new_call", type="secondary" if visit else "primary"
        ):
            go(new=True)
        if (visit or st.query_params.get("new")) and st.button("All calls", key="all_calls"):
            go()
    if visit is None and not st.query_params.get("new"):
        return
    others = [c for c in found() if c.standing.stands == OPEN and c.id != here]
    if not others:
        return
    with st.container(horizontal=True, key="calls"):
        _others(others, "call")
    # On a phone each would take a row before the first word to say.
    folded = st.container(key="calls_folded")
    with folded.popover(f"Other open calls ({len(others)})", key="other_calls"):
        _others(others, "call_folded")


def _others(others, key) -> None:
    for call in others[:IN_BAR]:
        question = call.standing.waits
        if len(question) > LONGEST_LABEL:
            question = question[: LONGEST_LABEL - 1] + "…"
        label = f"**{plain(call.name)}** ({calls.since(call.minutes)}): {plain(question)}"
        if st.button(label, key=f"{key}_{call.id}"):
            go(call.id)


def listing(known: Knowledge) -> None:
    """Open calls, and the search over all of them."""
    words = st.text_input(
        "Find a call: name, address, phone number or visit number", key="desk_find", live=True,
        autocomplete="off", placeholder="such as: Mill Lane, or 12",
    )  # fmt: skip
    if words.strip():
        _list("Found", found(words), "No call has these words. Look at the spelling, or use fewer.")
        return
    every = found()
    opened = [call for call in every if call.standing.stands == OPEN]
    none = "No call is open. Start one with 'New call'." if every else (
        "No call yet. The first one appears here as soon as it is started with 'New call'."
    )  # fmt: skip
    _list("Open calls", opened, none)


def _list(title, listed, none) -> None:
    st.header(f"{title} ({len(listed)})" if listed else title)
    if not listed:
        st.write(none)
    for call in listed[:MOST_FOUND]:
        with st.container(border=True, key=f"listed_{call.id}"):
            where = call.caller.line() or call.title or calls.NOBODY
            st.write(f"**{plain(where)}.** Visit {call.id}, {calls.since(call.minutes)}.")
            stands = call.standing
            st.write(_waits(stands) if stands.stands == OPEN else f"**{plain(stands.stands)}.**")
            label = "Go on with it" if stands.stands == OPEN else "Look at it"
            if st.button(label, key=f"open_{call.id}", width="stretch"):
                go(call.id)
    if len(listed) > MOST_FOUND:
        st.write(f"{len(listed) - MOST_FOUND} more. Add a word to find yours.")


def _waits(stands) -> str:
    return f"**{plain(stands.waits)}**" if stands.danger else plain(stands.waits)
