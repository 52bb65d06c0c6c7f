"""One call: what to say word for word, what the caller answers, and how it ends."""

import streamlit as st

from engine.errors import SightportError
from engine.knowledge import Knowledge
from engine.screens.components import (
    answer,
    beside,
    closing,
    complaints,
    desk_booking,
    desk_stop,
    drawers,
    entries,
    held,
    stop,
)  # fmt: skip
from engine.screens.components.dress import plain
from engine.screens.components.saying import say
from engine.visit import calls, phone
from engine.visit import events as happened
from engine.visit.calls import BOOKED, OPEN
from engine.visit.finding_words import nearest_outcomes
from engine.visit.keeping import Visit
from engine.visit.steps import taken
from engine.visit.view import Next


def show(known: Knowledge, visit: Visit) -> None:
    """The call on the screen, in the order in which it is spoken; the record stands beside it."""
    caller = calls.caller_of(held.store(), held.store().visit(visit.id))
    stands = calls.standing_of(known, visit).stands
    if stands == OPEN and not visit.state.danger:
        stop.button(known, visit)
    st.write(f"**{plain(caller.line() or visit.state.title or calls.NOBODY)}.** Visit {visit.id}.")
    if visit.state.danger and stands == OPEN:
        desk_stop.screen(known, visit)
        return
    step = None
    if stands == OPEN and visit.state.symptoms:
        step = _talk(known, visit)
    further, record = st.columns([3, 2], gap="large")
    with further:
        if visit.state.end:
            closing.closed(visit)
            desk_booking.paper(known, visit, caller)
        elif stands == BOOKED:
            desk_booking.booked(known, visit, caller)
        elif not visit.state.symptoms:
            say([calls.COMPLAINT])
            complaints.pick(known, f"desk_{visit.id}", beside.report(visit))
        else:
            _further(known, visit, step)
    with record:
        entries.show(known, visit)
        if stands == OPEN:
            beside.further(known, visit)
            _note(visit)


def _talk(known, visit) -> Next | None:
    """What to say on the left, what may be answered on the right; the step that is shown."""
    choice = held.chosen(visit)
    step = taken(known, visit, *choice) if choice else visit.view.next
    words, answers = st.columns([1, 1], gap="large")
    if step is None:
        with words:
            _mended(visit)
    elif step.kind == "refer":
        with words:
            st.header("Book a visit")
            st.write("On the phone nothing more is worth asking. What is known goes with it.")
    else:
        with words:
            script = phone.script(known, step)
            st.header(plain(step.name))
            say(script.warn, "Warn first", key="say_warn")
            say(script.say)
        with answers:
            _answers(known, visit, step)
    with answers:
        if choice and st.button("Back to the advised question", key="advised"):
            held.forget_choice()
            st.rerun()
        beside.news(known, visit)
        beside.meant(known, visit)
    return step


def _further(known, visit, step) -> None:
    refers = step is not None and step.kind == "refer"
    with st.expander("Book a visit", expanded=refers, key=f"book_{visit.id}_{refers}"):
        desk_booking.ask(known, visit)
    if step is not None and step.kind in ("check", "action"):
        drawers.why_this(known, visit, step)
    drawers.other_steps(known, visit, step)
    st.page_link(
        held.END_PAGE, label="End the call in another way", query_params={"visit": str(visit.id)}
    )


def _mended(visit) -> None:
    """All is proven: the words to end with, and the end."""
    say([calls.MENDED])
    if st.button("Close the call: mended and proven", key="close_mended", type="primary",
                 width="stretch"):  # fmt: skip
        held.try_add(visit, happened.Closed(end="mended_and_proven", words="By phone"))


def _answers(known, visit, step) -> None:
    if step.kind == "check":
        _replies(known, visit, step.id)
    elif step.kind == "action":
        if st.button("The caller has done it", key=f"done_{step.id}", type="primary",
                     width="stretch"):  # fmt: skip
            held.try_add(visit, happened.ActionDone(action=step.id, cause=step.cause))
    else:
        _proof(known, visit, step.id)
    if step.kind in ("check", "action"):
        drawers.set_aside(visit, step)


def _replies(known, visit, check_id) -> None:
    """The answers in the caller's words; a number where the caller reads one."""
    check, key = known.checks[check_id], f"desk_{visit.id}_{len(visit.history)}_{check_id}"
    st.write("**The caller answers**")
    if check.reading:
        answer.numbers(known, visit, check_id)
        st.write("**Or without a number**")
    every = {reply.outcome: reply for reply in phone.replies(known, check_id)}
    with st.container(key=f"answers_{key}"):
        for reply in every.values():
            _reply(known, visit, check_id, reply, f"{key}_{reply.outcome}")
    said = st.text_input(
        "Or type what the caller says, and the nearest answer is found", key=f"{key}_said",
        live=True, autocomplete="off", max_chars=300,
    )  # fmt: skip
    if not said.strip():
        return
    near = nearest_outcomes(check, said)
    none = "No answer is near these words. Ask again in other words, or take one above."
    st.write("**Nearest, tap the one that is meant:**" if near else none)
    with st.container(key=f"answers_{key}_near"):
        for found in near:
            _reply(
                known, visit, check_id, every[found.outcome], f"{key}_near_{found.outcome}", said
            )


def _reply(known, visit, check_id, reply, key, said="") -> None:
    mark = " **(danger sign: everything stops)**" if reply.danger else ""
    trade = f" — {plain(reply.says)}" if reply.says != reply.words else ""
    if st.button(f"**“{plain(reply.words)}”**{trade}{mark}", key=key, width="stretch"):
        try:
            calls.answered(held.store(), known, visit, check_id, reply.outcome, said)
        except SightportError as error:
            st.error(held.sentence(error))
        else:
            held.after_change(visit)


def _proof(known, visit, name) -> None:
    """Whether it holds: by the check behind it, or by what the caller says, in his words."""
    entry = known.closing[name]
    if entry.check:
        answer.ask(
            known, visit, entry.check, lambda **given: happened.Proved(closing=name, **given)
        )
        return
    st.write(f"**It holds when this is so:** {plain(entry.confirm)}")
    key = f"desk_{visit.id}_{len(visit.history)}_{name}"
    words = st.text_input("What the caller says, in their words", key=f"{key}_words", max_chars=300)
    for label, failed in (("It holds", False), ("It does not hold", True)):
        if st.button(label, key=f"{key}_{failed}", width="stretch"):
            held.try_add(visit, happened.Proved(closing=name, words=words, failed=failed))


def _note(visit) -> None:
    kept = len(visit.state.notes)
    with st.expander("Write a note", key=f"desk_note_part_{visit.id}_{kept}"):
        text = st.text_area("Note", key=f"desk_note_{visit.id}_{kept}", max_chars=2000)
        if st.button("Keep the note", key="desk_keep_note"):
            if text.strip():
                held.try_add(visit, happened.Noted(text=text))
            else:
                st.error("The note is empty.")
