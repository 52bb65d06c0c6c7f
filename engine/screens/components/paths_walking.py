"""A chart walked: one place at a time, what the last answer meant, and the way that led here."""

import streamlit as st

from engine.knowledge import Knowledge
from engine.screens.components import held, paths_asking, paths_guessing, step
from engine.screens.components.dress import plain
from engine.visit import chart_words as words
from engine.visit.chart_tree import ON, RARE, REFER, REPAIR, STOP, Answer, Chart, End, Place, Step
from engine.visit.reasons import in_hundred

LAST_KEY = 9
"""Answers that a digit of the keyboard gives."""

_AT = "at"


def walked(chart: Chart) -> tuple[str, ...]:
    """The answers given so far, as far as they are answers of this chart."""
    given = tuple(st.query_params.get_all(_AT))
    return given[: len(chart.along(given)) - 1]


def show(known: Knowledge, chart: Chart, given: tuple[str, ...]) -> None:
    """The place that the answers lead to."""
    places = chart.along(given)
    st.write(f"**{plain(' and '.join(chart.complaints))}.** {words.NO_SUBSTITUTE}")
    with st.expander("What this chart was made for"):
        for line in words.made_for(chart):
            st.write(plain(line))
    here = places[-1]
    guess = paths_guessing.open_guess(chart, given)
    if given:
        _way(chart, places, given)
        _meant(places, given)
    else:
        st.info("**To begin with**\n" + _listed([words.danger_line(chart), *chart.to_begin]))
    if guess:
        paths_guessing.ask(guess, given)
    else:
        paths_guessing.judge(here, given)
        if isinstance(here, Step):
            _step(known, here, given)
        else:
            _end(here)
    if given:
        with st.container(horizontal=True):
            if st.button("Back one answer", key="paths_back", shortcut="Left"):
                _go(given[:-1])
            if len(given) > 1 and st.button("Back to the first step", key="paths_first"):
                _go(())
            paths_asking.another("Choose another complaint")
    else:
        paths_asking.another("Choose another complaint")


def _go(given: tuple[str, ...]) -> None:
    st.query_params[_AT] = list(given)
    st.rerun()


def _way(chart: Chart, places: tuple[Place, ...], given: tuple[str, ...]) -> None:
    """The steps and answers that led here; each leads back to its step."""
    answers = "1 answer" if len(given) == 1 else f"{len(given)} answers"
    with st.expander(f"Your way so far: {answers} of at most {chart.longest()}"):
        st.write("Press one to answer it anew.")
        for number, (place, outcome) in enumerate(zip(places, given, strict=False)):
            label = f"{number + 1}. {place.name}: {_answer(place, outcome).says}"
            if st.button(plain(label), key=f"paths_way_{number}", width="stretch"):
                _go(given[:number])


def _answer(place: Step, outcome: str) -> Answer:
    return next(answer for answer in place.answers if answer.outcome == outcome)


def _meant(places: tuple[Place, ...], given: tuple[str, ...]) -> None:
    """What the last answer says, and the suspects before and after it."""
    before, after = places[-2:]
    answer = _answer(before, given[-1])
    with st.container(border=True, key="paths_meant"):
        st.write(f"**{plain(answer.says)}.** {plain(answer.means)}")
        if not after.suspects:
            return
        was = {suspect.cause: suspect.word for suspect in before.suspects}
        lines = []
        for suspect in after.suspects:
            old = was.pop(suspect.cause, "not among the first")
            change = "as before" if old == suspect.word else f"before: {old}"
            lines.append(f"{suspect.name}: {suspect.word}, {change}")
        gone = [suspect.name for suspect in before.suspects if suspect.cause in was]
        lines += [f"{name}: no longer among the first" for name in gone]
        st.write("**Suspects now**\n" + _listed(lines))


def _step(known: Knowledge, place: Step, given: tuple[str, ...]) -> None:
    st.header(plain(f"{place.number}  {place.name}"))
    st.write(f"About {round(place.minutes)} minutes. {_reached(place)}")
    _before(place)
    check = known.checks[place.check]
    if check.how or check.instrument or check.where:
        with st.expander("How it is done"):
            st.markdown("\n".join(f"{i}. {plain(text)}" for i, text in enumerate(check.how, 1)))
            for title, text in (("With", check.instrument), ("Where", check.where)):
                if text:
                    st.write(f"**{title}:** {plain(text)}.")
    if not given and place.suspects:
        st.write("**Suspects**\n" + _listed([f"{s.name}: {s.word}" for s in place.suspects]))
    st.subheader(plain(place.asks))
    if place.figure:
        st.write(f"{plain(place.figure)}:")
    with st.container(key=f"answers_{place.number}"):
        for number, answer in enumerate(place.answers, 1):
            mark = " (danger sign: everything stops)" if answer.danger else ""
            label = plain(f"{words.answer_words(answer)}{mark}")
            key = f"paths_{place.number}_{answer.outcome}"
            shortcut = str(number) if number <= LAST_KEY else None
            if st.button(label, key=key, width="stretch", shortcut=shortcut):
                _go((*given, answer.outcome))
    if any(answer.typical for answer in place.answers):
        st.caption(f"{plain(words.TYPICAL_SIGN)} Typical figure: check the plate or manual.")
    with st.expander("How often each answer comes"):
        lines = [f"{answer.says}: {in_hundred(answer.chance)}" for answer in place.answers]
        st.write(_listed(lines))
        st.write(words.NO_STATISTICS)


def _reached(place: Place) -> str:
    return f"Visits that come here: {in_hundred(place.reach)}."


def _before(place: Place) -> None:
    """Cautions, what they defer to, and what has to be shut, opened or running first."""
    step.cautions(place.cautions)
    if place.governs:
        st.caption(f"Before all of this: {plain('; '.join(place.governs))}.")
    if place.first:
        moves = "\n".join(f"{i}. {plain(text)}" for i, text in enumerate(place.first, 1))
        st.write(f"**First, in this order:**\n{moves}")


def _end(place: End) -> None:
    if place.kind == STOP:
        _stop(place)
        return
    if place.kind in (ON, RARE):
        _goes_on(place)
    else:
        st.header(plain(place.says))
        st.write(f"The path ends here. {_reached(place)}")
        _before(place)
    if place.kind == REPAIR:
        st.write(f"**For:** {plain(place.aim)}.")
    if place.bring:
        st.write(f"**Have ready:** {plain(', '.join(place.bring))}.")
    if place.prove:
        title = "Then prove" if place.kind == REPAIR else "Before leaving, prove"
        st.write(f"**{title}**\n{_listed(place.prove)}")
    if place.kind not in (REPAIR, REFER):
        st.page_link(held.START_PAGE, label="Start a visit")


def _goes_on(place: End) -> None:
    """Only the chart ends here: what is known, and what to look at next."""
    st.header("The chart ends here, the search does not")
    reason = "" if place.kind == RARE else f"{place.says}: {words.GO_ON}."
    st.write(plain(reason or f"{place.says}."))
    if place.suspects:
        st.write(f"**What is likeliest now:** {plain(words.suspects_words(place.suspects))}.")
    if place.onward:
        _before(place)
        st.write(f"**Next check:** {plain(place.onward)}.")


def _stop(place: End) -> None:
    with st.container(key="stop", border=True):
        st.title(plain(place.says.replace("Stop:", "STOP:", 1)))
        st.markdown("\n".join(f"{i}. {plain(text)}" for i, text in enumerate(place.do, 1)))
        if place.do_not:
            st.write(f"**Do not:**\n{_listed(place.do_not)}")
        st.write(f"**Who acts now:** {plain(place.who_acts)}")


def _listed(lines) -> str:
    return "\n".join(f"- {plain(line)}" for line in lines)
