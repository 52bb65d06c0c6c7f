"""The visit: one step a screen; below it the suspects and what was found."""

import streamlit as st

from engine.screens.components import (
    beside,
    complaints,
    doing,
    drawers,
    dress,
    held,
    opened_now,
    photos,
    print_out,
    servicing,
    step,
    stop,
    timer,
)
from engine.visit.steps import taken

known = held.known()
visit = held.visit()
choice = held.chosen(visit)

dress.to_the_top((visit.id, len(visit.history), choice))
beside.heading(known, visit)
if visit.state.end:
    st.switch_page(held.END_PAGE, query_params={"visit": str(visit.id)})
if visit.state.danger:
    stop.screen(known, visit)
    beside.note_and_hand_over(visit)
    st.stop()
bar = stop.button(known, visit)

if not visit.state.symptoms and visit.state.service is None:
    st.header("Say what the boiler does")
    complaints.pick(known, "visit", beside.report(visit))
    st.stop()

left, right = st.columns([3, 2], gap="large")
with left:
    print_out.entered(visit)
    beside.handed_over(visit)
    beside.news(known, visit)
    servicing.brought_up(known, visit)
    beside.warnings(visit)
    beside.first_words(known, visit)
    opened_now.show(known, visit)
    shown = taken(known, visit, *choice) if choice else servicing.advised(known, visit)
    if shown:
        servicing.mind_as_found(known, visit, shown)
        if shown.kind in ("check", "proof"):
            bar.markdown("[Answer ↓](#answer)")
        step.show(known, visit, shown, advised=not choice)
        timer.show(known, visit, shown)
        doing.ask(known, visit, shown)
        print_out.offer(known, visit, shown)
        if shown.kind in ("check", "action"):
            drawers.set_aside(visit, shown)
        if shown.kind != "refer":
            photos.at_step(known, visit, shown.id)
        servicing.later(visit, shown)
        if choice and st.button("Back to the advised step", key="advised"):
            held.forget_choice()
            st.rerun()
        step.after(known, visit, shown, advised=not choice)
        beside.meant(known, visit)
        drawers.why_this(known, visit, shown)
    else:
        st.header(visit.view.headline)
        st.page_link(
            held.END_PAGE, label="End the visit", query_params={"visit": str(visit.id)},
            width="stretch",
        )  # fmt: skip
    servicing.show_list(known, visit)
    drawers.other_steps(known, visit, shown)
    st.page_link(
        "engine/screens/readings.py", label="Readings for this visit",
        query_params={"visit": str(visit.id)},
    )  # fmt: skip
    if shown:
        st.page_link(held.END_PAGE, label="End the visit", query_params={"visit": str(visit.id)})
with right:
    beside.show(known, visit)
