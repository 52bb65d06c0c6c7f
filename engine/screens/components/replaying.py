"""One moment of a replay on the screen, and the ways to the others."""

import html

import streamlit as st

from engine.errors import OutOfRange
from engine.knowledge import Knowledge
from engine.records import Store
from engine.screens.components import held, step
from engine.screens.components.dress import plain
from engine.visit.keeping import Visit
from engine.visit.replay import Advice, Heading, Moment, other_knowledge

_MOMENT, _HIDE = "moment", "hide"

_STYLE = """
<style>
.replay_row {padding: 0.35rem 0; font-size: 1rem; line-height: 1.4}
.replay_bar {height: 0.5rem; margin-top: 0.15rem; border: 1px solid var(--line)}
.replay_bar > div {height: 100%; background: var(--ink)}
.replay_bar.was > div {background: repeating-linear-gradient(45deg, var(--ink) 0 2px,
  transparent 2px 6px)}
</style>
"""
"""The bars only repeat what stands above them in words: hatched before, full after."""


def wanted(moments: int) -> int:
    """The moment that the address names; the first where it names none.

    Raises
    ------
    OutOfRange
        If the address names no number.
    """
    text = st.query_params.get(_MOMENT, "1")
    if not (text.isascii() and text.isdigit() and len(text) < 6):
        raise OutOfRange(f"{text!r} is no moment of this visit; it has {moments}, from 1 on")
    return int(text)


def hidden() -> bool:
    """Whether the advice is to stay folded; the address says so, also after going back in it."""
    st.session_state["replay_hide"] = st.query_params.get(_HIDE) == "yes"
    return st.toggle("Hide the advice until I ask", key="replay_hide", on_change=_remember)


def _remember() -> None:
    if st.session_state["replay_hide"]:
        st.query_params[_HIDE] = "yes"
    else:
        st.query_params.pop(_HIDE, None)


def way_back(visit: Visit) -> None:
    """Which visit this is, and back to it, or to its end where it is closed."""
    st.write(f"**{plain(', '.join(filter(None, (f'Visit {visit.id}', visit.state.title))))}.**")
    page, label = held.VISIT_PAGE, "Back to the visit"
    if visit.state.end:
        page, label = held.END_PAGE, "Back to the end of the visit"
    st.page_link(page, label=label, query_params={"visit": str(visit.id)})


def ways_on(visit: Visit, moments: int) -> None:
    """The ends of the replay, where the address names a moment that is none."""
    for label, number in (("To the first moment", 1), ("To the last moment", moments)):
        query = {"visit": str(visit.id), _MOMENT: str(number)}
        st.page_link(held.REPLAY_PAGE, label=label, query_params=query)


def turn(number: int, moments: int) -> None:
    """The buttons to and fro; the arrow keys do the same."""
    ways = (
        ("Earlier", number - 1, "Left", number > 1),
        ("Later", number + 1, "Right", number < moments),
        ("First", 1, None, number > 1),
        ("Last", moments, None, number < moments),
    )
    with st.container(horizontal=True, gap="xsmall", key="replay_turn"):
        for label, to, shortcut, possible in ways:
            if st.button(
                label, key=f"replay_{label}", shortcut=shortcut, disabled=not possible,
                type="primary" if label == "Later" else "secondary",
            ):  # fmt: skip
                _go(to)


def _go(number: int) -> None:
    st.query_params[_MOMENT] = str(number)
    st.rerun()


def show(moment: Moment, moments: int, folded: bool) -> None:
    """What happened, what was advised before it, and what it changed."""
    heading = moment.heading
    so_far = f" About {round(moment.minutes)} minutes so far." if moment.minutes else ""
    st.write(f"**Moment {heading.number} of {moments}.**{so_far}")
    st.header("How it began" if heading.number == 1 else "What happened")
    for entry in heading.entries:
        st.write(f"**{entry.kind}.** {plain(entry.text)}")
        if entry.taken_back:
            st.warning(f"Taken back later, in moment {entry.taken_back}. It does not count now.")
    if moment.advice:
        _advice(moment.advice, heading.number, folded)
    st.header("What changed" if moment.advice else "What was believed")
    _danger(moment)
    st.markdown("\n".join(f"- {plain(line)}" for line in moment.changed))
    _suspects(moment)
    _reasons(moment)


def _danger(moment: Moment) -> None:
    """Where a danger sign came up: what the visit said at once."""
    danger = moment.after.danger
    if danger and not (moment.before and moment.before.danger):
        lines = (*moment.after.cautions, f"Who acts: {danger.who_acts}")
        said = "\n".join(f"- {plain(line)}" for line in lines)
        st.error(f"**{plain(moment.after.headline)}**\n{said}")


def _advice(advice: Advice, number: int, folded: bool) -> None:
    """What was advised before; folded for a learner who guesses first, danger never."""
    if folded and not advice.stops:
        st.write("What would you do next? Open this when you have made up your mind.")
    label = "What was advised here, and why"
    key = f"replay_advice_{number}_{folded}"
    with st.expander(label, expanded=advice.stops or not folded, key=key):
        st.write(f"**{plain(advice.headline)}**")
        if advice.compared:
            st.write(plain(" ".join(advice.compared)))
        if advice.stops:
            st.markdown("\n".join(f"- {plain(line)}" for line in advice.cautions))
        else:
            step.cautions(advice.cautions)
        for line in advice.why:
            st.write(plain(line))


def _suspects(moment: Moment) -> None:
    if not moment.rows:
        st.write("No suspects are weighed here.")
        return
    st.subheader("The first suspects, before and after" if moment.before else "The first suspects")
    st.html(_STYLE + "".join(_row(row) for row in moment.rows))
    if moment.before:
        st.caption("Hatched bar: before. Full bar: after.")


def _row(row) -> str:
    bars = "".join(
        f'<div class="replay_bar {kind}" aria-hidden="true">'
        f'<div style="width: {100 * share:.1f}%"></div></div>'
        for kind, share in (("was", row.before), ("now", row.after))
        if share is not None
    )
    words = f"<strong>{html.escape(row.name)}</strong>: {html.escape(row.line())}"
    return f'<div class="replay_row"><div>{words}</div>{bars}</div>'


def _reasons(moment: Moment) -> None:
    if not (moment.speaks_for or moment.against):
        return
    with st.expander("Why the first suspect"):
        for title, lines in (("For it", moment.speaks_for), ("Against it", moment.against)):
            if lines:
                st.write(f"**{title}**\n" + "\n".join(f"- {plain(line)}" for line in lines))


def jump(headings: tuple[Heading, ...], number: int) -> None:
    """Every moment in a list; the one on the screen is marked."""
    with st.expander(f"All {len(headings)} moments"):
        for heading in headings:
            here = " (here)" if heading.number == number else ""
            label = plain(f"{heading.number}. {heading.line()}{here}")
            if st.button(label, key=f"replay_to_{heading.number}", width="stretch"):
                _go(heading.number)


def doubts(store: Store, known: Knowledge, visit: Visit) -> None:
    """That the visit was begun with other knowledge, where it was."""
    if said := other_knowledge(store, known, visit.id):
        st.info(plain(said))
