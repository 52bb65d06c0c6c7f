"""What follows from the values of a sheet: danger, meaning, then numbers."""

import streamlit as st

from engine.readings.report import Report
from engine.readings.sheet import Sheet
from engine.screens.components import dress, held, pictures
from engine.screens.components.dress import plain
from engine.visit.keeping import Visit


def danger(report: Report) -> None:
    """What to do now, word for word, before anything else on the page."""
    if report.danger is None:
        return
    found = report.danger
    dress.to_the_top((found.check, found.outcome))
    with st.container(key="stop", border=True):
        st.title(f"STOP: {plain(found.headline)}")
        st.markdown("\n".join(f"{i}. {plain(text)}" for i, text in enumerate(found.advice, 1)))
        if found.do_not:
            st.write("**Do not:**")
            st.markdown("\n".join(f"- {plain(text)}" for text in found.do_not))
        st.write(f"**Who acts now:** {plain(found.who_acts)}")


def beside(report: Report, places: dict) -> None:
    """Why an entry could not be read, next to its field."""
    for name, sentence in report.unread:
        places[name].error(held.sentence(sentence))


def show(report: Report, sheet: Sheet, typed: dict[str, str], visit: Visit | None) -> None:
    """Everything that follows; where nothing does, what is missing."""
    st.header("What follows")
    _left_out(report, sheet)
    for question in report.questions:
        st.warning(f"**Is this right?** {held.sentence(question)}")
    for number, verdict in enumerate(sorted(report.verdicts, key=lambda v: v.sound)):
        _verdict(verdict, number)
    for place, sentence in enumerate(report.says):
        st.write(f"**{plain(sentence)}**" if place == 0 else plain(sentence))
    if report.empty:
        _missing(report, sheet, typed)
    for number, picture in enumerate(report.pictures):
        pictures.show(picture, f"picture_{sheet.id}_{number}")
    _figures(report)
    if report.danger is None:
        _next(report, visit)
    _sources(report)


def _left_out(report, sheet) -> None:
    names = [sheet.entry(name).label for name, _ in report.unread]
    if names:
        st.warning(f"**Left out, see beside the field:** {plain('; '.join(names))}.")


def _verdict(verdict, number) -> None:
    figure = verdict.figure
    needs = f" ({figure.needs})" if figure.needs else ""
    text = (
        f"**{plain(verdict.says)}.** {plain(figure.calculated.title)} {plain(figure.shown)}"
        f"{plain(needs)}."
    )
    if verdict.means:
        text += f"\n\n{plain(verdict.means)}"
    if verdict.doubt:
        text += f"\n\n{plain(verdict.doubt)}"
    with st.container(key=f"verdict_{number}"):
        if verdict.sound:
            with st.container(border=True):
                st.write(text)
        else:
            st.warning(f"**Mind this.** {text}")


def _missing(report, sheet, typed) -> None:
    usual = [entry.label for entry in sheet.entries if entry.usual and entry.name not in typed]
    if not typed:
        st.info(f"Enter what you have: {plain('; '.join(usual))}. What it means appears here.")
    elif usual and not report.unread:
        st.info(f"Not enough to say more yet. It would take one of: {plain('; '.join(usual))}.")
    elif not report.says and not report.unread:
        st.info("Nothing follows from this.")


def _figures(report) -> None:
    if report.figures:
        st.subheader("Worked out")
        lines = [
            f"- {plain(figure.calculated.title)}: **{plain(figure.shown)}**"
            + (f" ({plain(figure.note)})" if figure.note else "")
            for figure in report.figures
        ]
        st.markdown("\n".join(lines))
    if report.taken and not report.empty:
        st.caption(f"Taken, not measured: {plain('; '.join(report.taken))}.")
    if report.refused:
        st.subheader("Not worked out")
        st.markdown("\n".join(f"- {held.sentence(sentence)}" for sentence in report.refused))


def _next(report, visit) -> None:
    if not report.next:
        return
    st.subheader("Measure next")
    for step in report.next:
        st.write(f"**{plain(step.name)}.** Because: {held.sentence(step.why)}")
        if visit and not visit.state.end:
            st.page_link(
                held.VISIT_PAGE, label=f"Take this step in visit {visit.id}",
                query_params={"visit": str(visit.id), "step": f"check.{step.check}"},
            )  # fmt: skip


def _sources(report) -> None:
    if report.verdicts:
        with st.expander("Where limits and accuracy come from"):
            lines = [
                f"- **{plain(v.figure.calculated.title)}.** Limits: {plain(v.figure.band_source)}. "
                f"{held.sentence(v.figure.accuracy) if v.figure.accuracy else ''}"
                for v in report.verdicts
            ]
            st.markdown("\n".join(dict.fromkeys(lines)))
