"""The whole chart at once: its picture, and what can be taken along."""

from datetime import date

import streamlit as st

from engine.visit import chart_words as words
from engine.visit.chart_paper import as_pdf
from engine.visit.chart_picture import YOU_ARE_HERE, as_dot
from engine.visit.chart_text import as_text
from engine.visit.chart_tree import RARE, Chart

_STYLE = """
<style>
.st-key-paths_picture {overflow: auto; max-height: 85vh; display: block}
.st-key-paths_picture [data-testid="stElementContainer"],
.st-key-paths_picture [data-testid="stFullScreenFrame"],
.st-key-paths_picture [data-testid="stFullScreenFrame"] > div,
.st-key-paths_picture [data-testid="stGraphVizChart"] {width: max-content; max-width: none}
.st-key-paths_picture svg {max-width: none}
</style>
"""
"""The picture keeps its size on a narrow screen and is moved about in its own frame."""

_TO_THE_MARK = """
<script>/* STAMP */
clearInterval(window.pathsPicture);
window.pathsPicture = setInterval(() => {
  const frame = document.querySelector(".st-key-paths_picture");
  if (!frame) return clearInterval(window.pathsPicture);
  const mark = [...frame.querySelectorAll("text")].find(e => e.textContent.includes("MARK"));
  const box = mark && mark.getBoundingClientRect();
  if (!box || !box.width) return;
  const edge = frame.getBoundingClientRect();
  frame.scrollLeft += box.left - edge.left - 40;
  frame.scrollTop += box.top - edge.top - edge.height / 3;
  clearInterval(window.pathsPicture);
}, 700)
</script>
"""
"""Waits until the picture is drawn and its drawer open, then moves it to where one stands."""


def show(chart: Chart, given: tuple[str, ...]) -> None:
    """Picture and files of a chart; the place one stands at is marked in the picture."""
    with st.expander("The whole picture"):
        st.write(
            "Round boxes are checks, double ones repairs, octagons stops; a thick frame marks "
            f"where you are. {words.KINDS[RARE]}: {words.too_rare(chart.least_chance).lower()}."
        )
        st.html(_STYLE)
        with st.container(key="paths_picture"):
            st.graphviz_chart(as_dot(chart, given), alt=words.title(chart))
        script = _TO_THE_MARK.replace("MARK", YOU_ARE_HERE).replace("STAMP", " ".join(given))
        st.html(script, unsafe_allow_javascript=True)
    name = f"fault-paths-{'-'.join(chart.setup.symptoms)}"
    with st.container(horizontal=True):
        st.download_button(
            "PDF for the toolbox", lambda: as_pdf(chart, date.today()), f"{name}.pdf",
            "application/pdf", key="paths_pdf", on_click="ignore",
        )  # fmt: skip
        st.download_button(
            "The same as text", as_text(chart), f"{name}.txt", "text/plain", key="paths_text",
            on_click="ignore",
        )  # fmt: skip
