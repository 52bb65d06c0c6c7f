"""The end of a visit: the summary, and the ways in which it can end."""

import streamlit as st

from engine.knowledge import Knowledge
from engine.screens.components import held
from engine.screens.components.dress import plain
from engine.visit import events as happened
from engine.visit.ends import ends_of
from engine.visit.exchange import visit_as_json
from engine.visit.job_sheet_kept import kept_job_sheet
from engine.visit.job_sheet_page import as_page
from engine.visit.job_sheet_paper import as_pdf
from engine.visit.job_sheet_text import as_text
from engine.visit.keeping import Visit
from engine.visit.summary import LEFT, PROVEN, Summary, refused


def show(summary: Summary) -> None:
    """The summary, in the order in which it is asked for."""
    _list("What was wrong", summary.wrong)
    _list("Speaks for it", summary.speaks_for)
    _list("Speaks against it", summary.against)
    _list("The service", summary.service)
    _list("Done", summary.done)
    _list(LEFT, summary.left)
    _list("Not done of the service", summary.left_out)
    _list("Advised", summary.advised)
    _list("Parts and gaskets", summary.parts)
    if summary.closing:
        st.header("Closing checks")
        st.markdown("\n".join(_closing(closing) for closing in summary.closing))
    if summary.compared:
        st.header("Before and after")
    for pair in summary.compared:
        st.write(
            f"- **{plain(pair.name)}.** Before: {plain(pair.before)}. Now: {plain(pair.after)}."
        )
    _list("To write down", summary.write_down)
    if summary.cautions:
        with st.expander("Cautions for all of this"):
            for text in summary.cautions:
                st.write(f"- {plain(text)}")


def _closing(closing) -> str:
    words = closing.words if closing.stands == PROVEN else " ".join((closing.words, *closing.why))
    return f"- **{plain(closing.name)}: {closing.stands}.** {plain(words.strip())}"


def _list(title, lines) -> None:
    if lines:
        st.header(title)
        st.markdown("\n".join(f"- {plain(line)}" for line in lines))


SHEETS = {
    "pdf": ("Job sheet to print (PDF)", as_pdf, "application/pdf"),
    "html": ("Job sheet for mail (HTML page)", as_page, "text/html"),
    "txt": ("Job sheet as text", as_text, "text/plain"),
}
"""Each form of the job sheet: by its file's ending the label, what makes it, and its type."""


def job_sheets(known: Knowledge, visit: Visit) -> None:
    """The job sheet in each of its forms, made once somebody asks for it."""
    st.subheader("Job sheet")
    for ending, (label, made_by, mime) in SHEETS.items():

        def made(made_by=made_by):
            return made_by(kept_job_sheet(held.store(), known, visit))

        st.download_button(
            label, made, file_name=f"visit-{visit.id}.{ending}", mime=mime,
            key=f"job_sheet_{ending}", on_click="ignore", width="stretch",
        )  # fmt: skip


def file_of(visit: Visit) -> None:
    """The visit as a file, for a colleague or an archive; written once somebody asks for it."""
    with st.expander("Save the visit as a file"):
        st.write("It can be brought in on the page of visits, here or on another computer.")
        nameless = st.checkbox(
            "Leave out title, customer, address and phone. Words typed into the visit stay.",
            key="file_nameless",
        )
        st.download_button(
            "Save the file", lambda: visit_as_json(held.store(), visit.id, nameless),
            file_name=f"visit-{visit.id}.json", mime="application/json", key="visit_file",
            on_click="ignore",
        )  # fmt: skip


def choose_end(known: Knowledge, visit: Visit) -> None:
    """The ends; one that is not possible says why."""
    st.header("How does the visit end?")
    ends = ends_of(visit.state)
    reasons = {end: refused(known, visit, end) for end in ends}
    end = st.radio(
        "The end", tuple(ends), format_func=ends.get, index=None, key="end",
        label_visibility="collapsed",
    )  # fmt: skip
    for name, reason in reasons.items():
        if reason:
            st.write(f"**{ends[name]}** is not possible: {plain(reason)}.")
    words = st.text_area(
        "Words for the record: to whom it was referred, in what state it was left",
        key="end_words", max_chars=2000,
    )  # fmt: skip
    if st.button("Close the visit", key="close", type="primary", width="stretch"):
        if end is None:
            st.error("Choose one of the ends first.")
        else:
            held.try_add(visit, happened.Closed(end=end, words=words))


def closed(visit: Visit) -> None:
    """How it ended, and the way to open it again."""
    ending = happened.ENDS[visit.state.end]
    words = f" {visit.state.end_words}" if visit.state.end_words else ""
    st.info(f"**{ending}.**{plain(words)}")
    number = next(n for n, e in reversed(visit.history) if isinstance(e, happened.Closed))
    if st.button("Open it again", key="open_again"):
        held.try_add(visit, happened.TakenBack(event=number))
