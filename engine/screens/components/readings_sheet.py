"""One sheet: which one, the gas and the rate, its entries, and what is known of the boiler."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import streamlit as st

from engine import units
from engine.errors import SightportError
from engine.knowledge import Knowledge
from engine.knowledge.facts import fact_from_text, fact_value
from engine.knowledge.instruments import Stated
from engine.physics.fuels import FUELS
from engine.readings.answer import FOLLOWED, fact_of_fuel
from engine.readings.sheet import Entry, Sheet
from engine.readings.sheets import SHEETS
from engine.screens.components import facts, held, quantity
from engine.screens.components import readings_kept as kept
from engine.screens.components.dress import plain
from engine.units.typed_values import unit_choices, unit_of, usual_spelling, with_unit
from engine.visit import kit
from engine.visit.keeping import Visit

FEW = 4
"""Up to so many choices stand side by side; more are folded into a list."""


@dataclass
class Asked:
    """What was entered, and the place beside each entry for a word about it."""

    typed: dict[str, str] = field(default_factory=dict)
    facts: Mapping[str, object] = field(default_factory=dict)
    stated: Mapping[str, Stated] = field(default_factory=dict)
    fuel: str = ""
    rate: str = ""
    beside: dict = field(default_factory=dict)


def choose() -> Sheet:
    """Which sheet; the last one, or that of the address, stays until another is chosen."""
    names = tuple(SHEETS)
    name = st.selectbox(
        "What was measured?", names, index=names.index(kept.kept()["sheet"]),
        format_func=lambda n: SHEETS[n].title, key="readings_sheet", filter_mode=None,
    )  # fmt: skip
    if name != kept.kept()["sheet"]:
        kept.turn_to(SHEETS[name])
    return SHEETS[name]


def ask(known: Knowledge, sheet: Sheet, visit: Visit | None) -> Asked:
    """Ask for everything the sheet takes; each may be left empty."""
    asked = Asked()
    stated_facts = visit.state.facts if visit else {}
    if sheet.rates:
        asked.rate = _rate(sheet)
    if sheet.fuel:
        asked.fuel = _fuel(stated_facts)
    for entry in sheet.entries:
        if entry.usual:
            _entry(sheet, entry, asked)
    rest = [entry for entry in sheet.entries if not entry.usual]
    if rest:
        with st.expander(
            "More, if you have it", key=f"more_{sheet.id}",
            expanded=any(kept.typed(sheet).get(entry.name) for entry in rest),
        ):  # fmt: skip
            for entry in rest:
                _entry(sheet, entry, asked)
    kept.kept()["typed"][sheet.id] = asked.typed
    _clear(sheet)
    if visit:
        _boiler_of(known, sheet, visit)
        asked.facts, asked.stated = stated_facts, visit.state.instruments
    else:
        asked.facts, asked.stated = _boiler(known, sheet), kit.read(held.store(), known)
    kept.to_address(sheet)
    return asked


def _rate(sheet) -> str:
    names = tuple(sheet.rates)
    now = kept.kept()["rate"]
    chosen = st.pills(
        "Firing rate", names, default=now if now in names else names[0], required=True,
        format_func=sheet.rates.get, key=f"readings_rate_{sheet.id}",
    )  # fmt: skip
    kept.kept()["rate"] = "" if chosen == names[0] else chosen
    return chosen


def _fuel(stated_facts) -> str:
    """The gas: of the boiler's fuel only, where the visit says which."""
    burnt = stated_facts.get("fuel")
    names = [name for name in FUELS if not burnt or fact_of_fuel(name) == burnt]
    usual = burnt or "natural_gas"
    now = kept.kept()["fuel"]
    chosen = st.selectbox(
        "Gas", names, index=names.index(now if now in names else usual), filter_mode=None,
        format_func=lambda name: FUELS[name].called, key=f"readings_fuel_{burnt}",
    )  # fmt: skip
    kept.kept()["fuel"] = "" if chosen == usual else chosen
    return chosen


def _entry(sheet, entry: Entry, asked: Asked) -> None:
    with st.container(key=f"entry_{sheet.id}_{entry.name}", gap="xxsmall"):
        text = (_chosen if entry.choices else _typed)(sheet, entry)
        if entry.help:
            st.caption(plain(entry.help))
        asked.beside[entry.name] = st.container()
    if text:
        asked.typed[entry.name] = text


def _chosen(sheet, entry) -> str:
    """One of a few; the one that is taken for granted is chosen at first."""
    options = tuple(entry.choices)
    before = kept.typed(sheet).get(entry.name) or entry.assumed
    before = before if before in options else None
    key = kept.key(sheet, entry.name)
    if len(options) <= FEW:
        chosen = st.pills(
            plain(entry.label), options, default=before, format_func=entry.choices.get, key=key
        )
    else:
        chosen = st.selectbox(
            plain(entry.label), options, index=options.index(before) if before else None, key=key,
            format_func=entry.choices.get, placeholder="Choose", filter_mode=None,
        )  # fmt: skip
    return "" if chosen in (None, entry.assumed) else chosen


def _typed(sheet, entry) -> str:
    """A number and its unit; a unit that was typed with the number is chosen below it."""
    key = kept.key(sheet, entry.name)
    offered = _offered(entry)
    number, unit = _parted(kept.typed(sheet).get(entry.name, ""), entry, offered)
    st.session_state.setdefault(key, number)
    alone = f" ({offered[0]})" if entry.unit != "1" and not offered[1:] else ""
    label = plain(entry.label + alone)
    hint = f"taken as {entry.assumed.partition(' ±')[0]}" if entry.assumed else "number"
    st.write(label)
    with st.container(horizontal=True, gap="small"):
        text = st.text_input(
            label, key=key, label_visibility="collapsed", max_chars=kept.LONGEST,
            placeholder=hint, autocomplete="off", on_change=_part, args=(sheet, key, entry),
        )  # fmt: skip
        if entry.unit != "1" and offered[1:]:  # a count has no unit
            st.session_state.setdefault(f"{key}_unit", unit)
            unit = st.pills(
                f"Unit of: {label}", offered, key=f"{key}_unit", required=True,
                label_visibility="collapsed", wrap=True, on_change=_follow,
                args=(sheet, key, entry),
            )  # fmt: skip
    return text.strip() if entry.unit == "1" else with_unit(text, unit)


def _parted(text, entry, offered) -> tuple[str, str]:
    """What stands in the field, and the unit chosen for it."""
    unit = usual_spelling(entry.quantity, unit_of(text))
    if unit in offered:
        return text.strip().removesuffix(unit_of(text)).strip(), unit
    last = quantity.in_use(entry.quantity, entry.unit)
    return text[: kept.LONGEST], last if last in offered else offered[0]


def _offered(entry) -> tuple[str, ...]:
    """The units to choose from; a share is given in per cent, not as a plain number."""
    units_offered = unit_choices(entry.quantity, entry.unit, entry.largest)
    if entry.unit == "1":
        return units_offered
    return tuple(unit for unit in units_offered if unit != "1")


def _part(sheet, key, entry) -> None:
    """After typing: a unit typed with the number is taken out of the field, and chosen."""
    offered = _offered(entry)
    number, unit = _parted(st.session_state[key], entry, offered)
    if number != st.session_state[key].strip() and offered[1:]:
        st.session_state[key], st.session_state[f"{key}_unit"] = number, unit
        _follow(sheet, key, entry)


def _follow(sheet, key, entry) -> None:
    """The empty fields of the same quantity take the unit that was chosen for this one."""
    unit = st.session_state.get(f"{key}_unit")
    if entry.quantity not in FOLLOWED:
        return
    for other in sheet.entries:
        beside = kept.key(sheet, other.name)
        empty = not (st.session_state.get(beside) or "").strip()
        if other.quantity == entry.quantity and empty and unit in _offered(other):
            st.session_state[f"{beside}_unit"] = unit


def _clear(sheet) -> None:
    if kept.typed(sheet) and st.button("Clear", key=f"readings_clear_{sheet.id}"):
        kept.clear(sheet)
        st.rerun()
    if kept.can_undo(sheet) and st.button("Undo the clearing", key=f"readings_undo_{sheet.id}"):
        kept.undo(sheet)
        st.rerun()


def _boiler(known, sheet) -> dict[str, object]:
    """What is known of this boiler, typed here; typical figures stand in for the rest."""
    now, read = kept.kept()["facts"], {}
    names = [name for name in sheet.facts if not (sheet.fuel and name == "fuel")]
    if not names:
        return read
    with st.expander("This boiler", key=f"boiler_{sheet.id}"):
        st.write("The maker's figures replace the typical ones.")
        for name in names:
            fact = known.facts[name]
            before = now.get(name, "")[: kept.LONGEST]
            if fact.choices is not None and before not in fact.choices:
                before = ""
            text = facts.ask(known, name, "readings_fact", read, before)
            now.pop(name, None)
            if text:
                now[name] = text
                try:
                    read[name] = fact_from_text(known, name, text)
                except SightportError:
                    continue  # said beside its field
    return read


def _boiler_of(known, sheet, visit) -> None:
    """What the visit says of the boiler."""
    with st.expander("This boiler, as in the visit", key=f"boiler_{sheet.id}_{visit.id}"):
        lines = []
        for name in sheet.facts:
            fact = known.facts[name]
            value, typical = fact_value(known, visit.state.facts, name)
            if value is not None:
                shown = (fact.choices[value] if fact.choices is not None
                         else units.show(value, fact.quantity, fact.unit))  # fmt: skip
                whose = "typical, check the plate or manual" if typical else "entered in the visit"
                lines.append(f"- {plain(fact.name)}: {plain(shown)} ({whose})")
        st.markdown("\n".join(lines) or "Nothing of it is needed here.")
        st.page_link(
            held.VISIT_PAGE, label="Change it in the visit", query_params={"visit": str(visit.id)}
        )
