"""A learner says what he would do next, before the chart shows what a visit is told."""

import streamlit as st

from engine.screens.components.dress import plain
from engine.visit import chart_guess
from engine.visit.chart_tree import Chart, Place

SHOWN = ""
"""Kept where the learner wanted to see the step without a guess."""


def _guesses() -> dict[tuple, str]:
    """What was said in this walk, by the answers that lead there."""
    asked = tuple(
        (name, tuple(st.query_params.get_all(name)))
        for name in sorted(st.query_params)
        if name != "at"
    )
    if st.session_state.get("paths_guessed_of") != asked:
        st.session_state["paths_guessed_of"] = asked
        st.session_state["paths_guessed"] = {}
    return st.session_state["paths_guessed"]


def open_guess(chart: Chart, given: tuple[str, ...]) -> tuple[str, ...]:
    """The steps to choose from; empty where nothing is asked, or it was answered."""
    if not st.query_params.get("guess") or given in _guesses():
        return ()
    choices = chart_guess.choices(chart, given)
    return choices if len(choices) > 1 else ()


def ask(choices: tuple[str, ...], given: tuple[str, ...]) -> None:
    """Ask for the next step; nothing of it is shown yet."""
    st.header("What would you do next?")
    with st.container(key="answers_guess"):
        for number, name in enumerate(choices, 1):
            if st.button(
                plain(name), key=f"paths_guess_{number}", width="stretch", shortcut=str(number)
            ):
                _say(given, name)
    if st.button("Show me", key="paths_guess_shown", shortcut="S"):
        _say(given, SHOWN)


def _say(given, name) -> None:
    _guesses()[given] = name
    st.rerun()


def judge(here: Place, given: tuple[str, ...]) -> None:
    """What was guessed here, beside what a visit is told."""
    said, told = _guesses().get(given), chart_guess.step_name(here)
    if not said:
        return
    if said == told:
        st.success(f"You said the same: {plain(told)}.")
    else:
        st.info(f"You said: {plain(said)}. A visit is told: {plain(told)}.")
