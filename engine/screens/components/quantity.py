"""A number field in which any unit may be typed, and which remembers the unit."""

import streamlit as st

from engine import units
from engine.units.typed_values import unit_choices, unit_of, usual_spelling, with_unit

_REMEMBERED = "units_used"


def ask(key: str, label: str, quantity: str, unit: str, largest: str, **more) -> str:
    """A typed value with its unit, empty when nothing was typed."""
    offered = unit_choices(quantity, unit, largest)
    last = in_use(quantity, unit)
    if last not in offered:
        offered = (*offered, last)
    text = st.text_input(label, key=key, autocomplete="off", max_chars=units.LONGEST, **more)
    if len(offered) == 1:
        return with_unit(text, offered[0])
    chosen = st.pills(
        f"Unit of: {label}", offered, default=last, key=f"{key}_unit_{last}",
        label_visibility="collapsed", format_func=lambda u: "plain number" if u == "1" else u,
    )  # fmt: skip
    return with_unit(text, chosen or last)


def remember(typed: str, quantity: str, unit: str) -> None:
    """Offer the unit of an accepted value first, next time."""
    spelled = unit_of(typed)
    if spelled:
        _used()[(quantity, unit)] = usual_spelling(quantity, spelled)


def in_use(quantity: str, unit: str) -> str:
    """The unit that was used last for such a field, or the field's own."""
    return _used().get((quantity, unit), usual_spelling(quantity, unit))


def _used() -> dict:
    return st.session_state.setdefault(_REMEMBERED, {})
