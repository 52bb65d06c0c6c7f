"""One step on the screen: cautions, the state of the boiler, the moves."""

import streamlit as st

from engine.knowledge import Knowledge
from engine.screens.components.dress import plain
from engine.visit.keeping import Visit
from engine.visit.opened import PUT_BACK, word_to_shut
from engine.visit.steps import by_turn
from engine.visit.view import Next, access_names
from engine.visit.weighing import against_advised, aim_words


def show(known: Knowledge, visit: Visit, step: Next, advised: bool) -> None:
    """What must be known before the answer, in the order in which it is needed."""
    st.header(plain(step.name))
    who = "Advised now" if advised else "Chosen by you"
    st.write(f"{who}." if step.kind == "refer" else f"{who}. About {round(step.minutes)} minutes.")
    _cautions(known, visit, step)
    _state(known, visit, step)
    if step.kind == "check":
        if known.checks[step.id].photograph:
            st.info(f"**Before it is gone.** {plain(known.checks[step.id].photograph)}")
        _moves(known.checks[step.id].how)
        _sheet(step)
    elif step.kind == "action":
        _action(known, step)
    elif step.kind == "proof":
        _moves(known.closing[step.id].how)
        _sheet(step)
    if check := _check_of(known, step):
        _instrument(check)


def cautions(texts) -> None:
    """Cautions in one frame: the act in bold, its reason after it."""
    if not texts:
        return
    lines = []
    for text in texts:
        act, stop, reason = text.partition(". ")
        lines.append(f"- **{plain(act)}{stop.strip()}** {plain(reason)}")
    st.warning("**Caution, before you begin**\n" + "\n".join(lines))


def _cautions(known, visit, step) -> None:
    """All at once; after a danger that was made safe those of the next act, the others folded."""
    first, later = by_turn(known, visit.state, step)
    cautions(first)
    if later:
        title = f"{len(later)} more cautions: read them before you open further"
        with st.expander(title, key=f"later_{_key(visit, step)}"):
            cautions(later)


def _key(visit, step) -> str:
    """Of this one showing of the step: a new step starts folded."""
    return f"{visit.id}_{len(visit.history)}_{step.kind}_{step.id}"


def _state(known, visit, step) -> None:
    """What must be so now, and what has to be shut or opened for it first."""
    todo = [(word_to_shut(known.access[n]), n) for n in step.to_shut]
    todo += [("", name) for name in step.to_open]
    reached = {name for verb, name in todo if not verb}
    if standing := [name for name in step.access if name not in reached]:
        st.write(f"**Must be so now:** {plain('; '.join(access_names(known, standing)))}.")
    if not todo:
        return
    named = "; ".join(known.access[name].name + (verb and f": {verb}") for verb, name in todo)
    with st.expander(f"**First:** {plain(named)}", key=f"first_{_key(visit, step)}"):
        for place, (verb, name) in enumerate(todo, 1):
            _layer(known, place, verb, name)


def _layer(known, place, verb, name) -> None:
    entry = known.access[name]
    minutes = round(entry.close_minutes if verb else entry.open_minutes)
    act = plain(entry.name) + (verb and f": {verb}")
    st.write(f"**{place}. {act} ({minutes} min)**")
    _moves(entry.close_how if verb else entry.open_how)
    if verb == PUT_BACK and entry.closing:
        obliged = ", ".join(known.closing[name].name for name in entry.closing)
        st.write(f"Closing it obliges: {plain(obliged)}.")


def after(known: Knowledge, visit: Visit, step: Next, advised: bool) -> None:
    """What may be read after the answer: what it is for and costs, common mistakes, what stands
    above it."""
    if step.kind == "action" and (aims := aim_words(known, visit.view, step.id)):
        st.write(f"**For, with the chance that it mends it:** {plain(aims)}.")
    if not advised and (costs := against_advised(known, visit.view, step)):
        st.write(plain(costs))
    if (check := _check_of(known, step)) and check.mistakes:
        with st.expander("Often done wrong", key=f"mistakes_{_key(visit, step)}"):
            for mistake in check.mistakes:
                st.write(f"- {plain(mistake)}")
    if step.governs:
        st.caption(f"These stand above every step here: {plain('; '.join(step.governs))}.")


def _check_of(known, step):
    name = step.id if step.kind == "check" else None
    if step.kind == "proof":
        name = known.closing[step.id].check
    return known.checks[name] if name else None


def _instrument(check) -> None:
    words = (("With", check.instrument), ("Where", check.where))
    if said := [f"**{title}:** {plain(text)}." for title, text in words if text]:
        st.write("  \n".join(said))


def _action(known, step) -> None:
    action = known.actions[step.id]
    if action.parts:
        parts = ", ".join(f"{p.count} × {p.part}" for p in action.parts)
        st.write(f"**Have ready:** {plain(parts)}.")
    _moves(action.how)
    _sheet(step)


def _sheet(step) -> None:
    if step.sheet:
        lines = "\n".join(f"- {plain(line)}" for line in step.sheet)
        st.write(f"**From the boiler's sheet**\n{lines}")


def _moves(lines) -> None:
    if lines:
        st.markdown("\n".join(f"{i}. {plain(line)}" for i, line in enumerate(lines, 1)))
