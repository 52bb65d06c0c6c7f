"""The values of a sheet handed to a visit: to the one the page was opened from, or to another."""

import streamlit as st

from engine.errors import SightportError
from engine.knowledge import Knowledge
from engine.readings.handing import for_visit
from engine.readings.sheet import Sheet
from engine.screens.components import held, print_out, seen
from engine.screens.components.dress import plain
from engine.visit.from_readings import hand_over, open_visits, standing
from engine.visit.keeping import Visit

_KEY = "readings_handed"
_JUST = "readings_just_handed"


def opened_from() -> Visit | None:
    """The visit named in the address; None without one."""
    return held.visit() if "visit" in st.query_params else None


def heading(visit: Visit | None) -> None:
    """Whose boiler and whose instruments count, where the page was opened from a visit."""
    if visit:
        name = f"visit {visit.id}" + (f", {visit.state.title}" if visit.state.title else "")
        st.write(f"**For {plain(name)}.** Its boiler and its instruments count here.")
        link = {"visit": str(visit.id)}
        st.page_link(held.VISIT_PAGE, label="Back to the visit", query_params=link)
        if visit.state.danger:
            st.error(f"**A danger sign stands in this visit:** {plain(visit.state.danger[0])}. "
                     "Nothing more is measured there.")  # fmt: skip


def offer(known: Knowledge, sheet: Sheet, typed: dict, rate: str, visit: Visit | None) -> None:
    """Enter the values into a visit, listing what will be entered."""
    handed = for_visit(known, sheet.id, typed, rate)
    if not handed or (visit and (visit.state.danger or visit.state.end)):
        return
    st.subheader("Into a visit")
    if visit is None:
        _which(known)
        return
    there = [one.name for one in handed if standing(visit, one)]
    waiting = [one for one in handed if not standing(visit, one)]
    if st.session_state.pop(_JUST, False) and not waiting:
        print_out.back(visit, there)
    if there:
        st.write(f"**Stands in visit {visit.id}:** {plain('; '.join(there))}.")
        st.page_link(
            held.VISIT_PAGE, label="Go on with the visit", query_params={"visit": str(visit.id)}
        )
    if not waiting:
        return
    st.markdown("\n".join(_line(known, one) for one in waiting))
    if st.button("Enter into this visit", key="readings_enter", type="primary", width="stretch"):
        _enter(known, visit, waiting)
    _outcome(known, visit, waiting)


def _line(known, one) -> str:
    fields = known.checks[one.check].reading.fields
    values = ", ".join(f"{fields[name].name} {text}" for name, text in one.values.items())
    return f"- {plain(one.name)}: {plain(values)}"


def _which(known) -> None:
    visits = {visit.id: visit for visit in open_visits(held.store(), known)}
    if visits:
        number = st.selectbox(
            "Which visit?", tuple(visits), index=None, key="readings_visit", placeholder="Choose",
            format_func=lambda n: ", ".join(
                filter(None, [f"Visit {n}", visits[n].title, *visits[n].complaints])
            ),
        )  # fmt: skip
        if number:
            st.query_params["visit"] = str(number)
            st.rerun()
    st.write("In a new visit, open Readings from there: what is entered here waits.")
    st.page_link(held.START_PAGE, label="Start a new visit")


def _enter(known, visit, handed, sure=()) -> None:
    try:
        results = hand_over(held.store(), known, visit.id, handed, sure)
    except SightportError as error:
        st.error(held.sentence(error))
        return
    said = st.session_state.setdefault(_KEY, {})
    for one, result in zip(handed, results, strict=True):
        said[visit.id, one.check] = (one, result)
        if result.event is not None:
            seen.entered(visit.id, result.event)
    if held.visit().state.danger:
        st.switch_page(held.VISIT_PAGE, query_params={"visit": str(visit.id)})
    st.session_state[_JUST] = True
    st.rerun()


def _outcome(known, visit, waiting) -> None:
    """What was asked or refused when these same values were handed over last."""
    for one in waiting:
        then, result = st.session_state.get(_KEY, {}).get((visit.id, one.check), (None, None))
        if then != one:
            continue
        if result.question:
            st.warning(f"**{plain(one.name)}: is this right?** {held.sentence(result.question)}")
            if st.button("It is right, enter it", key=f"readings_sure_{one.check}"):
                _enter(known, visit, [one], sure=(one.check,))
        elif result.refusal:
            st.error(f"{plain(one.name)}: {held.sentence(result.refusal)}")
