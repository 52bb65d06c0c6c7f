"""The answer to a step that is no check: a repair done, a closing step proven, a referral."""

from functools import partial

import streamlit as st

from engine.knowledge import Knowledge
from engine.screens.components import answer, held
from engine.screens.components.dress import plain
from engine.visit import events as happened
from engine.visit.keeping import Visit
from engine.visit.reasons import parts_to_book
from engine.visit.view import Next


def ask(known: Knowledge, visit: Visit, step: Next) -> None:
    """Ask for what the step needs to be entered."""
    match step.kind:
        case "check":
            answer.ask(known, visit, step.id)
        case "action":
            st.button(
                "Done", key=f"done_{step.id}", type="primary", width="stretch",
                on_click=held.enter,
                args=(visit, partial(happened.ActionDone, action=step.id, cause=step.cause)),
            )  # fmt: skip
            held.refusal(visit)
        case "proof":
            _proof(known, visit, step.id)
        case "refer":
            _refer(known, visit)


def _proof(known, visit, closing) -> None:
    """A closing step is filled with a value, an outcome or words; never with a bare tick."""
    entry = known.closing[closing]
    if entry.check:
        check = known.checks[entry.check]
        good = ", ".join(check.outcomes[name].says for name in entry.passes)
        st.write(f"**It holds with:** {plain(good)}.")
        answer.ask(
            known, visit, entry.check,
            lambda **given: happened.Proved(closing=closing, **given),
        )  # fmt: skip
        return
    st.subheader(plain(entry.confirm), anchor="answer")
    key = f"{visit.id}_{len(visit.history)}_{closing}"
    words = st.text_input("What you saw, in your words", key=f"{key}_words", max_chars=300)
    for label, failed in (("It holds", False), ("It does not hold", True)):
        if st.button(label, key=f"{key}_{failed}", width="stretch"):
            held.try_add(visit, happened.Proved(closing=closing, words=words, failed=failed))


def _refer(known, visit) -> None:
    if visit.state.who == "caller":
        st.write("Book a visit. Everything entered here goes with it.")
    else:
        st.write(
            "Leave the boiler safe: off and isolated where anything is in doubt, everything that "
            "was opened closed and tested, the user told. What is known goes with the referral."
        )
    parts = parts_to_book(known, visit)
    if parts:
        lines = "\n".join(f"- {plain(line)}" for line in parts)
        st.write(f"**Parts that may be needed**\n{lines}")
    st.page_link(
        held.END_PAGE, label="End the visit and write to whom",
        query_params={"visit": str(visit.id)}, width="stretch",
    )  # fmt: skip
