"""Which chart is wanted: it stands in the address, so that it outlives a closed tab."""

from dataclasses import dataclass

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from engine.errors import SightportError, UnreadableValue
from engine.knowledge import Knowledge
from engine.screens.components import facts, held
from engine.screens.components.dress import plain
from engine.visit.chart import DEEPEST, USUAL_PLACES, Setup, compile_chart
from engine.visit.chart_tree import Chart
from engine.visit.chart_typed import facts_of
from engine.visit.starting import MAIN_FACTS
from engine.visit.told import WHO

DEPTHS = (2, 3, 4, 6, 8, DEEPEST)
SIZES = (10, 20, USUAL_PLACES, 60)
MOST_KEPT = 20
"""Charts that the server keeps, so that a tab opened again need not wait."""

_FORM_GONE = "<style>.st-key-paths_form {display: none}</style>"
"""What was on the screen before stays there, greyed, until the chart is worked out."""


@dataclass(frozen=True)
class Asked:
    """A chart as it stands in the address; `facts` each as NAME=VALUE."""

    complaint: str
    who: str
    depth: str
    places: str
    facts: tuple[str, ...]


def asked() -> Asked | None:
    """The chart that the address names; None where it names none."""
    address = st.query_params
    if not address.get("complaint"):
        return None
    return Asked(
        address["complaint"],
        address.get("who", "technician"),
        address.get("depth", str(DEEPEST)),
        address.get("places", str(USUAL_PLACES)),
        tuple(address.get_all("fact")),
    )


def form(known: Knowledge) -> None:
    """Complaint, who, size and the boiler; the chart is worked out from the address then."""
    with st.container(key="paths_form"):
        _form(known)


def _form(known) -> None:
    st.write(
        "What a visit would be told for a complaint, answer by answer, where most visits come. "
        "Walk it here to learn, or take it along on paper. It is no visit: nothing is kept."
    )
    complaint = st.selectbox(
        "Complaint", tuple(known.symptoms), index=None, key="paths_complaint",
        format_func=lambda name: known.symptoms[name].name, placeholder="Type or choose",
    )  # fmt: skip
    who = st.radio("Who makes the checks?", tuple(WHO), format_func=WHO.get, key="paths_who")
    guess = st.toggle("Let me guess each next step first", value=True, key="paths_guess_first")
    with st.expander("How much of it"):
        size = st.pills("Checks in all, at most", SIZES, default=USUAL_PLACES, key="paths_places")
        depth = st.pills("Checks in a row, at most", DEPTHS, default=DEEPEST, key="paths_depth")
        st.caption(
            "More checks reach more ends, and take longer to work out. The paper holds one sheet: "
            "of a larger chart, the checks that bring the most visits to an end."
        )
    answers: dict[str, str] = {}
    with st.expander("The boiler"):
        st.write("What is not entered stays open, and typical figures stand in.")
        for name in MAIN_FACTS:
            chosen = {n: value for n, value in answers.items() if known.facts[n].choices}
            answers[name] = facts.ask(known, name, "paths", chosen, helped=False)
            if not answers[name]:
                del answers[name]
    missing = st.empty()  # above the button, which stands low on a narrow screen
    if st.button("Work out the paths", key="paths_go", type="primary", width="stretch"):
        if complaint is None:
            missing.error("Choose a complaint first.")
            return
        st.query_params.from_dict(
            {
                "complaint": complaint, "who": who, "depth": str(depth or DEEPEST),
                "places": str(size or USUAL_PLACES), **({"guess": "first"} if guess else {}),
                "fact": [f"{name}={value}" for name, value in answers.items()],
            }
        )  # fmt: skip
        st.rerun()


@st.cache_resource(show_spinner=False)
def _kept() -> dict[tuple[str, Asked], Chart]:
    return {}


def worked_out(known: Knowledge, wanted: Asked, place: DeltaGenerator) -> Chart:
    """The chart, with its progress shown in `place` where it has to be worked out first.

    Where it cannot be, that is said and the page ends.
    """
    key, kept = (known.version, wanted), _kept()
    if key not in kept:
        try:
            chart = _compiled(known, wanted, place)
        except SightportError as error:
            place.empty()
            st.error(held.sentence(error))
            another("Choose another chart")
            st.stop()
        while len(kept) >= MOST_KEPT:
            kept.pop(next(iter(kept)), None)
        kept[key] = chart
    return kept[key]


def _compiled(known, wanted, place) -> Chart:
    depth, places = _number(wanted.depth), _number(wanted.places)
    setup = Setup((wanted.complaint,), wanted.who, facts_of(wanted.facts))
    with place.container():
        st.html(_FORM_GONE)
        st.write("Every answer is thought through as in a visit. This takes up to a minute.")
        bar = st.progress(0.0)
        if st.button("Stop it", key="paths_stop"):
            leave()

    def progress(done, of):
        bar.progress(done / places, text=f"{done} checks worked out, of {places} at most")

    chart = compile_chart(known, setup, depth, places, progress=progress)
    place.empty()
    return chart


def _number(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 4):
        raise UnreadableValue(f"{text!r} is no number of checks; write it in figures")
    return int(text)


def another(label: str) -> None:
    """A way back to the choice."""
    if st.button(plain(label), key="paths_another"):
        leave()


def leave() -> None:
    """Back to the choice."""
    st.query_params.clear()
    st.rerun()
