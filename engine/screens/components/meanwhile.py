"""Two people in one visit: what the other one entered since this one looked."""

import streamlit as st

from engine.knowledge import Knowledge
from engine.screens.components import held, seen
from engine.screens.components.dress import plain
from engine.visit import events as happened
from engine.visit.elsewhere import entered_since
from engine.visit.keeping import Visit


def show(known: Knowledge, visit: Visit) -> None:
    """What was entered elsewhere since the last screen; once a run, before anything is asked."""
    place = st.container(key="meanwhile")  # there also when empty, so that nothing below it jumps
    before = seen.arrive(visit.id, len(visit.history))
    lines = entered_since(known, visit, before, seen.mine(visit.id))
    if not lines:
        return
    lost = list(seen.lost_taps(visit.id, before))
    for danger in _dangers(known, lost):
        held.try_add(visit, danger)
    text = "\n".join(f"- {plain(line)}" for line in lines)
    again = "\n\nYour last tap was not stored. Answer again if it still holds." if lost else ""
    place.warning(f"**Meanwhile this was entered elsewhere**\n{text}{again}")


def _dangers(known, taps):
    """A danger sign counts, whatever came before it: its button may be gone, the sign is not."""
    for name, check in known.checks.items():
        for outcome, entry in check.outcomes.items():
            if entry.danger and f"{name}_{outcome}" in taps:
                yield happened.Found(check=name, outcome=outcome)
