"""What was entered on the sheets: kept in the session, and in the address as plain text.

A reload, a closed tab or a dead phone finds it in the address again. The text from there is taken
for nothing but what a person may have typed: unknown names are left out, and values are read by
`engine.units` like any other.
"""

import streamlit as st

from engine.physics.fuels import FUELS
from engine.readings.sheet import Sheet
from engine.readings.sheets import SHEETS
from engine.screens.components import quantity

_KEY = "readings"
FACT = "fact_"
LONGEST = 40
"""Characters that a value may have: its unit comes to it, and both must fit a visit's event."""


def kept() -> dict:
    """Entries by sheet and name as typed, the boiler's facts, the gas and the rate."""
    if _KEY not in st.session_state:
        st.session_state[_KEY] = _from_address()
    return st.session_state[_KEY]


def typed(sheet: Sheet) -> dict[str, str]:
    """What was entered on a sheet."""
    return kept()["typed"].setdefault(sheet.id, {})


def key(sheet: Sheet, name: str) -> str:
    """The key of a field; another after the sheet was emptied, so that the field forgets."""
    return f"reading_{kept()['turn']}_{sheet.id}_{name}"


def turn_to(sheet: Sheet) -> None:
    """Put another sheet on the screen; the units used on the last one are offered first there."""
    last = SHEETS[kept()["sheet"]]
    for entry in last.entries:
        text = typed(last).get(entry.name, "")
        if text and entry.quantity:
            quantity.remember(text, entry.quantity, entry.unit)
    kept()["sheet"] = sheet.id


def begin(sheet: Sheet, rate: str) -> None:
    """Put an empty sheet on the screen, at a rate: what stood there is not of this measurement."""
    kept()
    turn_to(sheet)
    if typed(sheet):
        clear(sheet)
    kept()["rate"] = "" if rate == next(iter(sheet.rates), "") else rate


def clear(sheet: Sheet) -> None:
    """Empty a sheet; once, it can be had back."""
    kept()["cleared"] = (sheet.id, typed(sheet))
    _refill(sheet, {})


def undo(sheet: Sheet) -> None:
    """What stood on the sheet before it was emptied."""
    _refill(sheet, kept()["cleared"][1])
    kept()["cleared"] = None


def can_undo(sheet: Sheet) -> bool:
    """Whether the sheet was emptied, and nothing was entered since."""
    cleared = kept()["cleared"]
    return bool(cleared and cleared[0] == sheet.id and cleared[1] and not typed(sheet))


def _refill(sheet, values):
    kept()["typed"][sheet.id] = values
    kept()["turn"] += 1


def to_address(sheet: Sheet) -> None:
    """Write what is on the screen into the address."""
    now = kept()
    said = {"visit": st.query_params.get("visit", ""), "sheet": sheet.id}
    said |= {"rate": now["rate"] if sheet.rates else "", "fuel": now["fuel"] if sheet.fuel else ""}
    said |= typed(sheet)
    said |= {f"{FACT}{name}": text for name, text in now["facts"].items()}
    said = {name: text for name, text in said.items() if text}
    if said != st.query_params.to_dict():
        st.query_params.from_dict(said)


def _from_address() -> dict:
    said = {name: text[:LONGEST] for name, text in st.query_params.to_dict().items()}
    sheet = SHEETS.get(said.get("sheet", ""), next(iter(SHEETS.values())))
    return {
        "sheet": sheet.id,
        "typed": {sheet.id: {e.name: said[e.name] for e in sheet.entries if said.get(e.name)}},
        "facts": {
            name.removeprefix(FACT): text for name, text in said.items() if name.startswith(FACT)
        },
        "fuel": said.get("fuel", "") if said.get("fuel") in FUELS else "",
        "rate": said.get("rate", "") if said.get("rate") in sheet.rates else "",
        "turn": 0,
        "cleared": None,
    }
