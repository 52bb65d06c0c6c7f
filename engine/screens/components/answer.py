"""The answer to a check: what one sees, or numbers with units; an odd value is questioned."""

from collections.abc import Callable
from functools import partial

import streamlit as st

from engine.belief.readings import example_of
from engine.errors import Implausible, SightportError
from engine.knowledge import Knowledge
from engine.readings.words import needs
from engine.screens.components import held, quantity
from engine.screens.components.dress import plain
from engine.visit import events as happened
from engine.visit.keeping import Visit

Make = Callable[..., object]  # outcome=, values=, sure= -> event


def ask(known: Knowledge, visit: Visit, check_id: str, make: Make | None = None) -> None:
    """Ask for a check's answer and store the event that `make` builds of it."""
    make = make or (lambda **given: happened.Found(check=check_id, **given))
    check = known.checks[check_id]
    st.subheader(plain(check.asks), anchor="answer")
    key = _key(visit, check_id)
    if check.reading is None:
        _choices(visit, check, key, make)
        return
    _numbers(known, visit, check, key, make)
    with st.expander("No figure, only what you see", key=f"{key}_seen"):
        _choices(visit, check, key, make)


def field_key(visit: Visit, check_id: str, field: str) -> str:
    """The key of the text field of one value, for whatever else can fill it."""
    return f"{_key(visit, check_id)}_{field}"


def _key(visit, check_id) -> str:
    return f"{visit.id}_{len(visit.history)}_{check_id}"


def numbers(known: Knowledge, visit: Visit, check_id: str) -> None:
    """Ask for the values of a measured check alone."""
    _numbers(
        known, visit, known.checks[check_id], _key(visit, check_id),
        lambda **given: happened.Found(check=check_id, **given),
    )  # fmt: skip


def _choices(visit, check, key, make) -> None:
    with st.container(key=f"answers_{key}"):
        for name, outcome in check.outcomes.items():
            mark = " (danger sign: everything stops)" if outcome.danger else ""
            st.button(
                f"{plain(outcome.says)}{mark}", key=f"{key}_{name}", width="stretch",
                on_click=held.enter, args=(visit, partial(make, outcome=name)),
            )  # fmt: skip
        held.refusal(visit)


def _numbers(known, visit, check, key, make) -> None:
    figure = check.reading.figure[0]
    if figure.field:
        field = check.reading.fields[figure.field]
        unit = quantity.in_use(field.quantity, field.unit)
        limits = needs(known, visit.state.facts, check, field.quantity, unit)
        if limits:
            st.write(plain(f"{limits[:1].upper()}{limits[1:]}."))
    with st.form(f"form_{key}", border=False):
        values = {
            name: quantity.ask(
                f"{key}_{name}",
                field.name + (" (if you have it)" if field.optional else ""),
                field.quantity, field.unit, field.plausible[1],
                placeholder=f"number, or such as {_example(known, visit, check, name)}",
            )
            for name, field in check.reading.fields.items()
        }  # fmt: skip
        if st.form_submit_button("Enter", key=f"{key}_enter", type="primary", width="stretch"):
            _submit(visit, check, key, make, values)
    doubt = st.session_state.get("doubted")
    if doubt and doubt[0] == key:
        _question(visit, check, make, *doubt[1:])


def _example(known, visit, check, name) -> str:
    field = check.reading.fields[name]
    unit = quantity.in_use(field.quantity, field.unit)
    return example_of(known, visit.state.facts, check, name, unit)


def _submit(visit, check, key, make, values) -> None:
    values = {name: text for name, text in values.items() if text}
    st.session_state.pop("doubted", None)
    try:
        _store(visit, check, make, values, sure=False)
    except Implausible as error:
        st.session_state["doubted"] = (key, values, str(error))
    except SightportError as error:
        st.error(held.sentence(error))


def _question(visit, check, make, values, question) -> None:
    """An odd value: the likely slip, and the way to let it stand."""
    typed = ", ".join(values.values())
    st.warning(f"**{plain(typed)}: is this right?** {held.sentence(question)}")
    with st.container(horizontal=True):
        right = st.button("It is right", key="it_is_right")
        if st.button("I correct it", key="correct_it"):
            st.session_state.pop("doubted", None)
            st.rerun()
    if right:
        try:
            _store(visit, check, make, values, sure=True)
        except SightportError as error:
            st.error(held.sentence(error))


def _store(visit, check, make, values, sure) -> None:
    held.record(visit, make(values=values, sure=sure))
    st.session_state.pop("doubted", None)
    for name, text in values.items():
        field = check.reading.fields[name]
        quantity.remember(text, field.quantity, field.unit)
    held.after_change(visit)
