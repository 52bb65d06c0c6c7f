"""The map of a complaint on the screen: picture or list, cards, and what tells causes apart."""

import base64
import html
from urllib.parse import urlencode

import streamlit as st

from engine.errors import SightportError
from engine.knowledge import Knowledge
from engine.screens.components import held, paths_cards
from engine.screens.components.dress import plain
from engine.visit.fault_map import (
    MOST_TOLD_APART,
    FaultMap,
    fault_map,
    never_together,
    numbered,
    parting,
)
from engine.visit.fault_map_picture import Drawing, draw
from engine.visit.weighing import in_hundred

WALK, MAP = "Walk a path", "Map of a complaint"
PICTURE, LIST = "Picture", "List"
MIDDLE, WIDE = 2, 3
"""Columns of the picture on a screen of that width."""

_PART, _COMPLAINT, _WITH, _CARD, _VIEW = "part", "complaint", "with", "card", "view"

_STYLE = """
<style>
.map_middle, .map_wide {display: none}
@media (min-width: 700px) {.map_middle {display: block} .map_narrow {display: none}}
@media (min-width: 1000px) {.map_wide {display: block} .map_middle {display: none}}
.map_narrow {max-width: 27rem}
.map_narrow, .map_middle, .map_wide {position: relative}
:is(.map_narrow, .map_middle, .map_wide) img {width: 100%; height: auto; display: block}
.map_tap {position: absolute; border-radius: 0.4rem}
.map_tap:hover {background: var(--line); opacity: 0.25}
</style>
"""


def switch() -> bool:
    """The two parts of the page; whether the map is the one asked for."""
    now = MAP if st.query_params.get(_PART) == "map" else WALK
    st.session_state["paths_part"] = now
    st.segmented_control(
        "What to look at", (WALK, MAP), key="paths_part", on_change=_turn_to, required=True
    )
    return now == MAP


def _turn_to() -> None:
    complaint = st.query_params.get(_COMPLAINT)
    st.query_params.clear()
    if st.session_state["paths_part"] == MAP:
        st.query_params[_PART] = "map"
        if complaint:
            st.query_params[_COMPLAINT] = complaint


def show(known: Knowledge) -> None:
    """The map that the address names, or the choice of one."""
    wanted_card = st.query_params.get(_CARD, "")
    complaint = st.query_params.get(_COMPLAINT, "")
    if not (wanted_card and complaint):
        st.write(
            "What can bring a complaint, system by system along the boiler's path, with what each "
            "cause shows. For learning: it knows nothing of one boiler, and replaces no visit."
        )
        _ask(known, complaint)
    if not complaint:
        return
    try:
        drawn = fault_map(known, complaint)
        opened = paths_cards.opened(known, complaint, wanted_card)
    except SightportError as error:
        st.error(held.sentence(error))
        if st.button("Back to the choice", key="map_again"):
            st.query_params.from_dict({_PART: "map"})
            st.rerun()
        return
    _danger(drawn, briefly=opened is not None)
    if opened:
        _card(known, drawn, opened)
        return
    _tell_apart(known, drawn)
    _everything(drawn, known)


def _ask(known, wanted: str) -> None:
    """The complaint of the address, to be chosen anew."""
    st.session_state["map_complaint"] = wanted if wanted in known.symptoms else None
    st.selectbox(
        "Complaint", tuple(known.symptoms), index=None, key="map_complaint",
        format_func=lambda name: known.symptoms[name].name, placeholder="Type or choose",
        on_change=_choose_complaint,
    )  # fmt: skip


def _choose_complaint() -> None:
    complaint = st.session_state["map_complaint"]
    st.query_params.from_dict({_PART: "map", **({_COMPLAINT: complaint} if complaint else {})})


def _danger(drawn: FaultMap, briefly: bool) -> None:
    """Of a complaint that is a danger sign: what everybody does first."""
    if drawn.danger:
        danger = drawn.danger
        lines = [] if briefly else [*danger.advice, *danger.do_not, f"Who acts: {danger.who_acts}"]
        st.error(
            f"**Danger sign: {plain(drawn.name)}. On site everything stops first.**\n"
            + "\n".join(f"- {plain(line)}" for line in lines)
        )


# ------------------------------------------------------------------ cards


def _card(known, drawn, opened) -> None:
    """One card, and the ways on from it."""
    st.write(f"**Map of: {plain(drawn.name)}.**")
    chosen = _chosen(drawn)
    with st.container(horizontal=True):
        if st.button("Back to the map", key="map_back"):
            _open(None)
        if opened.kind == "cause" and any(n.cause == opened.id for n in drawn.nodes()):
            _offer(opened.id, chosen)
    if follow := paths_cards.show(opened):
        _open(follow)


def _offer(cause: str, chosen: list[str]) -> None:
    """Take a cause among those to tell apart."""
    if cause in chosen:
        st.write("It is among the causes to tell apart on the map.")
    elif len(chosen) >= MOST_TOLD_APART:
        st.write(f"{MOST_TOLD_APART} causes are chosen on the map; take one out to add it.")
    elif st.button("Tell it apart from others", key="map_add", type="primary"):
        st.query_params[_WITH] = [*chosen, cause]
        _open(None)


def _open(card: tuple[str, str] | None) -> None:
    if card:
        st.query_params[_CARD] = ".".join(card)
    else:
        st.query_params.pop(_CARD, None)
    st.rerun()


# ------------------------------------------------------------------ telling causes apart


def _chosen(drawn) -> list[str]:
    """The causes to tell apart, as far as the address names causes of this map."""
    here = {node.cause for node in drawn.nodes()}
    named = dict.fromkeys(n for n in st.query_params.get_all(_WITH) if n in here)
    return list(named)[:MOST_TOLD_APART]


def _remember_chosen() -> None:
    st.query_params[_WITH] = st.session_state["map_with"]


def _tell_apart(known, drawn: FaultMap) -> None:
    """Two causes or more, and the checks that tell them apart best."""
    chosen = _chosen(drawn)
    st.session_state["map_with"] = chosen
    st.multiselect(
        "Tell causes apart: choose two to four", [node.cause for node in drawn.nodes()],
        format_func=lambda name: known.causes[name].name, key="map_with",
        max_selections=MOST_TOLD_APART, placeholder="Type or choose", on_change=_remember_chosen,
    )  # fmt: skip
    if len(chosen) < 2:
        return
    st.header("What tells them apart")
    for pair in never_together(known, chosen):
        st.write(f"No boiler can have both '{plain(pair[0])}' and '{plain(pair[1])}', by design.")
    best = parting(known, drawn.complaint, chosen)
    if not best:
        st.write("No check in the knowledge tells them apart better than a guess.")
    for number, check in enumerate(best, 1):
        with st.container(border=True, key=f"map_parting_{number}"):
            label = plain(f"{check.name} (about {round(check.minutes)} min)")
            if st.button(label, key=f"map_check_{check.check}", width="stretch"):
                _open(("check", check.check))
            st.write(check.line())
            with st.expander("How each would answer", expanded=number == 1):
                st.markdown("\n".join(_answers(known, chosen, check)))


def _answers(known, chosen, check):
    for answer in check.answers:
        chances = "; ".join(
            f"{known.causes[name].name} {in_hundred(chance)}"
            for name, chance in zip(chosen, answer.chances, strict=True)
        )
        mark = " (danger sign)" if answer.danger else ""
        yield f"- **{plain(answer.says)}{mark}:** {plain(chances)}"


# ------------------------------------------------------------------ picture and list


def _everything(drawn: FaultMap, known) -> None:
    count = len(drawn.nodes())
    st.header("The map")
    st.write(f"{count} causes in {len(drawn.regions)} systems, in the order of the boiler's path.")
    st.session_state["map_view"] = LIST if st.query_params.get(_VIEW) == "list" else PICTURE
    st.segmented_control(
        "Show it as", (PICTURE, LIST), key="map_view", on_change=_remember_view, required=True
    )
    if st.session_state["map_view"] == LIST:
        _list(drawn)
    else:
        _picture(known, drawn)


def _remember_view() -> None:
    if st.session_state["map_view"] == LIST:
        st.query_params[_VIEW] = "list"
    else:
        st.query_params.pop(_VIEW, None)


def _picture(known, drawn) -> None:
    chosen = tuple(_chosen(drawn))
    pairs, checks = numbered(known, drawn.complaint, chosen)
    st.write("The larger a disc, the more common the cause. Tap a cause to open its card.")
    if checks:
        lines = (f"- **{number}** {plain(name)}" for number, name in enumerate(checks, 1))
        st.markdown(
            "What tells two apart best, by the number on the line between them:\n"
            + "\n".join(lines)
        )
    kept = [(k, v) for k in st.query_params for v in st.query_params.get_all(k) if k != _CARD]
    pictures = (
        _tappable(draw(drawn, columns, chosen, pairs), name, kept)
        for name, columns in (("map_narrow", 1), ("map_middle", MIDDLE), ("map_wide", WIDE))
    )
    st.html(_STYLE + "".join(pictures))


def _tappable(drawing: Drawing, name: str, kept: list[tuple[str, str]]) -> str:
    """The drawing with a link over each cause; the list has the same for those who do not see."""
    source = base64.b64encode(drawing.svg.encode()).decode()
    links = "".join(
        f'<a class="map_tap" tabindex="-1" href="?{html.escape(_address(kept, spot.cause))}" '
        f'style="left: {spot.left:.3%}; top: {spot.top:.3%}; width: {spot.width:.3%}; '
        f'height: {spot.height:.3%}"></a>'
        for spot in drawing.targets
    )
    return (
        f'<div class="{name}" aria-hidden="true">'
        f'<img alt="" src="data:image/svg+xml;base64,{source}">{links}</div>'
    )


def _address(kept, cause) -> str:
    return urlencode([*kept, (_CARD, f"cause.{cause}")])


def _list(drawn) -> None:
    """The same in words, each cause a button."""
    for region in drawn.regions:
        with st.expander(f"{region.place}. {region.name}: {len(region.nodes)}", expanded=False):
            for node in region.nodes:
                label = plain(f"{node.name}: {node.word}")
                if st.button(label, key=f"map_cause_{node.cause}", width="stretch"):
                    _open(("cause", node.cause))
