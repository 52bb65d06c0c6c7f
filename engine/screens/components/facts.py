"""The boiler's facts: a choice or a number each, always with 'don't know'."""

import streamlit as st

from engine import units
from engine.errors import SightportError
from engine.knowledge import Knowledge
from engine.knowledge.facts import fact_from_text, fact_value
from engine.screens.components import quantity
from engine.screens.components.dress import plain
from engine.screens.components.held import sentence

UNKNOWN = "Don't know"


def ask(known: Knowledge, name: str, key: str, facts: dict, typed: str = "", helped=True) -> str:
    """One fact as typed or chosen; empty for not known. A value that cannot be is said at once.

    `facts` are those known already: the typical figure of this one may hang on them.
    """
    fact = known.facts[name]
    if fact.choices is not None:
        options = (*fact.choices, UNKNOWN)
        chosen = st.pills(
            fact.ask, options, default=typed or UNKNOWN, key=f"{key}_{name}",
            format_func=lambda option: fact.choices.get(option, option),
        )  # fmt: skip
        answer = "" if chosen in (None, UNKNOWN) else chosen
    else:
        answer = quantity.ask(
            f"{key}_{name}", fact.ask, fact.quantity, fact.unit, fact.plausible[1],
            value=typed, placeholder="don't know",
        )  # fmt: skip
        if answer:
            try:
                fact_from_text(known, name, answer)
            except SightportError as error:
                st.error(sentence(error))
    if not answer:
        _stand_in(known, name, facts)
    if helped and fact.help:
        st.caption(plain(fact.help))
    return answer


def _stand_in(known, name, facts) -> None:
    """What is reckoned with while a fact is not known."""
    fact = known.facts[name]
    value, _ = fact_value(known, {k: v for k, v in facts.items() if k != name}, name)
    if value is None:
        return
    shown = fact.choices[value] if fact.choices else units.show(value, fact.quantity, fact.unit)
    st.caption(f"Until then: {plain(shown)} (typical, check the plate or manual)")
