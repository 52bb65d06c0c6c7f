"""What this person has had on the screen of each visit, and what was entered from here."""

from collections.abc import Iterator

import streamlit as st

_SHOWN = "entries_shown"  # visit -> last entry on the screen
_SEEN = "entries_seen"  # visit -> last entry on the screen when the person touched it
_MINE = "entries_mine"  # (visit, number) of what was entered here


def arrive(visit: int, last: int) -> int:
    """The screen now shows a visit up to entry `last`; up to which it did before."""
    before = _kept(_SHOWN).get(visit, last)
    _kept(_SHOWN)[visit] = last
    _kept(_SEEN)[visit] = before
    return before


def last_seen(visit: int) -> int | None:
    """The last entry on the screen when the person touched it; None where none was shown."""
    return _kept(_SEEN).get(visit)


def entered(visit: int, number: int) -> None:
    """An entry was made from here."""
    _mine().add((visit, number))
    if last_seen(visit) == number - 1:
        _kept(_SEEN)[visit] = number


def mine(visit: int) -> set[int]:
    """The numbers of what was entered from here."""
    return {number for owner, number in _mine() if owner == visit}


def lost_taps(visit: int, length: int) -> Iterator[str]:
    """Buttons tapped on a visit of `length` entries that stored nothing: the rest of their key."""
    if length + 1 in mine(visit):
        return
    start = f"{visit}_{length}_"
    for key in map(str, list(st.session_state)):
        if key.startswith((start, "done_", "undo")) and st.session_state[key] is True:
            yield key.removeprefix(start)


def _mine() -> set[tuple[int, int]]:
    return st.session_state.setdefault(_MINE, set())


def _kept(name) -> dict[int, int]:
    return st.session_state.setdefault(name, {})
