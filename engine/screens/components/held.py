"""What all pages hold: the knowledge, the store, the visit on the screen, and how to add to it."""

import gc
from collections.abc import Callable
from pathlib import Path
from typing import NoReturn

import streamlit as st
from threadpoolctl import threadpool_limits

from engine.errors import Overtaken, SightportError, Unusable
from engine.knowledge import Knowledge
from engine.records import Store, default_url
from engine.screens.components import seen
from engine.screens.components.dress import plain
from engine.visit import keeping
from engine.visit.keeping import Visit
from engine.visit.preferences import Preferences, in_units, preferences
from engine.visit.replay import Replay
from engine.visit.steps import choosable

VISIT_PAGE = "engine/screens/visit.py"
END_PAGE = "engine/screens/ending.py"
START_PAGE = "engine/screens/start.py"
BOILERS_PAGE = "engine/screens/boilers.py"
REPLAY_PAGE = "engine/screens/replay.py"
DESK_PAGE = "engine/screens/desk.py"
_SETTINGS = "settings_of_this_run"
_REFUSAL = "refused_tap"


@st.cache_resource(show_spinner="Reading the knowledge")
def _knowledge(folder: str) -> Knowledge:
    # The tables of one visit are small: sharing a product among processors takes longer than the
    # product, and keeps them from the visits of others.
    threadpool_limits(1, user_api="blas")
    knowledge = keeping.knowledge(Path(folder))
    # Streamlit looks through everything for what can be thrown away after each run: longer than
    # the run itself, if the knowledge and all modules are looked through too. They stay.
    gc.collect()
    gc.freeze()
    return knowledge


@st.cache_resource(show_spinner=False)
def _store(url: str) -> Store:
    return Store(url)


def store() -> Store:
    """The store of visits."""
    return _store(default_url())


def settings_anew() -> Preferences:
    """What fits the tool to its user, as it is kept now; once a run."""
    st.session_state[_SETTINGS] = preferences(store())
    return st.session_state[_SETTINGS]


def settings() -> Preferences:
    """What fits the tool to its user, as it was at the start of this run."""
    return st.session_state.get(_SETTINGS) or settings_anew()


def known() -> Knowledge:
    """The knowledge in the user's units; where it cannot be used, its problems are shown and the
    page ends."""
    try:
        return in_units(_knowledge(str(keeping.knowledge_folder())), settings().units)
    except Unusable as error:
        st.title("The knowledge cannot be used")
        st.write("Nothing can be advised until these places are mended:")
        for problem in error.problems:
            st.error(plain(str(problem)))
        st.stop()


def sentence(error: Exception | str) -> str:
    """A refusal as a sentence."""
    text = str(error).strip()
    text = text[:1].upper() + text[1:]
    return plain(text if text.endswith((".", "?", "!")) else f"{text}.")


def visit() -> Visit:
    """The visit named in the address; where there is none, that is said and the page ends."""
    number = st.query_params.get("visit", "")
    try:
        if not (number.isascii() and number.isdigit() and len(number) < 10):
            raise SightportError("no visit is chosen" if not number else "that is no visit number")
        return current(int(number))
    except SightportError as error:
        _no_visit(error)


def _no_visit(error) -> NoReturn:
    st.title("No visit here")
    st.error(sentence(error))
    st.page_link(START_PAGE, label="Start a visit")
    st.page_link("engine/screens/visits.py", label="Look at earlier visits")
    st.stop()


def current(number: int) -> Visit:
    """The visit as stored, worked out again only when an event was added; raises what
    `engine.visit.keeping.read` does."""
    knowledge = known()
    stamp = (default_url(), id(knowledge), number, len(store().events(number)))
    kept = st.session_state.get("held_visit")
    if kept is None or kept[0] != stamp:
        kept = (stamp, keeping.read(store(), knowledge, number))
        st.session_state["held_visit"] = kept
    return kept[1]


def record(visit: Visit, *events) -> None:
    """Store events; a refusal is raised, nothing is stored then.

    What replaces, closes or takes back is refused where somebody else entered something that the
    person had not on the screen yet; a danger sign never is.
    """
    alone = any(keeping.only_if_seen(known(), event) for event in events)
    for event in events:
        last = seen.last_seen(visit.id) if alone else None
        seen.entered(visit.id, keeping.record(store(), known(), visit.id, event, last))


def undo(visit: Visit) -> None:
    """Take the latest entry back, or say why not."""
    try:
        keeping.undo(store(), known(), visit.id, seen.last_seen(visit.id))
    except SightportError as error:
        st.error(sentence(error))
    else:
        seen.entered(visit.id, len(store().events(visit.id)))
        after_change(visit)


def shown_again(visit: Visit) -> Replay:
    """The replay of a visit, kept while the visit is on the screen; where it cannot be told, that
    is said and the page ends."""
    stamp = (default_url(), known().version, visit.id, len(visit.history))
    kept = st.session_state.get("held_replay")
    if kept is None or kept[0] != stamp:
        try:
            kept = (stamp, Replay(known(), visit.id, visit.history))
        except SightportError as error:
            _no_visit(error)
        st.session_state["held_replay"] = kept
    return kept[1]


def after_change(visit: Visit) -> None:
    """Remember what was the first suspect, forget the chosen step, and run again."""
    _remember_before(visit)
    st.rerun()


def _remember_before(visit) -> None:
    st.session_state["before_change"] = (visit.id, visit.view.suspects[:1])
    forget_choice()


def try_add(visit: Visit, *events) -> None:
    """Store events, or say why they were refused."""
    try:
        record(visit, *events)
    except SightportError as error:
        st.error(sentence(error))
    else:
        after_change(visit)


def enter(visit: Visit, make: Callable[[], object]) -> None:
    """Store the event that `make` builds, before the page is run: a button's `on_click`, so that
    a tap takes one run of the page instead of two. What was refused is told by `refusal`.

    Where something was entered elsewhere meanwhile nothing is stored: `meanwhile` says so, and
    takes a danger sign all the same.
    """
    try:
        number = keeping.record(store(), known(), visit.id, make(), len(visit.history))
    except Overtaken:
        return
    except SightportError as error:
        st.session_state[_REFUSAL] = (visit.id, sentence(error))
        return
    seen.entered(visit.id, number)
    _remember_before(visit)


def refusal(visit: Visit) -> None:
    """Why the last tap was not stored, below what was tapped."""
    number, text = st.session_state.pop(_REFUSAL, (None, ""))
    if number == visit.id:
        st.error(text)


def changed_first_suspect(visit: Visit) -> str:
    """A sentence when the last change brought another first suspect; empty otherwise."""
    number, before = st.session_state.get("before_change", (None, ()))
    now = visit.view.suspects[:1]
    if number != visit.id or not before or not now or before[0].cause == now[0].cause:
        return ""
    return f"This changes the first suspect from '{before[0].name}' to '{now[0].name}'."


def choose(visit: Visit, kind: str, name: str, cause: str | None = None) -> None:
    """Put another step than the advised one on the screen, until something is entered."""
    st.query_params["step"] = ".".join(filter(None, (kind, name, cause)))
    st.rerun()


def forget_choice() -> None:
    """Back to the advised step."""
    st.query_params.pop("step", None)


def chosen(visit: Visit) -> tuple[str, str, str | None] | None:
    """The step chosen instead of the advised one: kind, id and what it is meant to mend.

    It stands in the address as plain ids, so that it outlives a closed tab and a restart.
    """
    kind, name, cause = (*st.query_params.get("step", "").split("."), "", "")[:3]
    return (kind, name, cause or None) if choosable(known(), visit, kind, name, cause) else None
