"""The use case of the sheets: typed values in, everything that follows from them out."""

import re
from collections.abc import Mapping

from engine import units
from engine.belief.readings import COMPOSITION, doubt
from engine.errors import UnreadableValue, nearest
from engine.knowledge import Knowledge
from engine.knowledge.facts import fact_value
from engine.knowledge.instruments import Stated
from engine.knowledge.reading import SPREAD
from engine.physics.fuels import FUELS, fuel_named
from engine.readings.bench import Bench
from engine.readings.report import Report
from engine.readings.sheet import Sheet
from engine.readings.sheets import SHEETS
from engine.units.typed_values import unit_of, usual_spelling

FOLLOWED = ("temperature", "gauge_pressure", "power", "volume_flow")
"""Quantities whose figures and fields follow the unit that was typed: here °C, there °F.

Lengths and volumes do not: a diameter in millimetres says nothing of how metres are measured."""


OVER_RANGE = re.compile(r"\s*(?:>.*|o\.?l\.?|over.*|hi(?:gh)?|\+{2,}|-{2,})\s*", re.IGNORECASE)
"""What displays show beyond their range."""


def sheet_named(name: str) -> Sheet:
    """The sheet of that id.

    Raises
    ------
    UnreadableValue
        If there is none.
    """
    if name in SHEETS:
        return SHEETS[name]
    close = nearest(name, SHEETS)
    raise UnreadableValue(
        f"there is no sheet {name!r}; "
        + (f"write {close!r}" if close else f"use one of {', '.join(SHEETS)}")
    )


def answer(
    knowledge: Knowledge,
    sheet: str,
    typed: Mapping[str, str],
    facts: Mapping[str, object] | None = None,
    stated: Mapping[str, Stated] | None = None,
    fuel: str = "",
    rate: str = "",
) -> Report:
    """Everything that follows from the values of one sheet.

    Parameters
    ----------
    typed : mapping of entry to text
        Number with unit as typed, or the id of a choice; empty means not measured.
    facts : mapping of fact to choice or SI value
        What is known of the boiler; typical figures stand in for the rest.
    stated : mapping of instrument to accuracy
        The person's own instruments.
    fuel : str
        A composition of `engine.physics.fuels.FUELS`; by default that of the boiler's fuel.
    rate : str
        One of the sheet's rates; by default the first.

    Raises
    ------
    UnreadableValue
        If the sheet, an entry, the fuel or the rate is not known. A value that cannot be read does
        not raise: the report names it, and works with the others.
    """
    page = sheet_named(sheet)
    facts = dict(facts or {})
    stated = dict(stated or {})
    rate = rate_of(page, rate)
    composition = _fuel(knowledge, facts, fuel)
    facts |= {"fuel": fact_of_fuel(composition), COMPOSITION: composition}
    values, used, unread, over = _read(page, typed, rate)
    bench = Bench(
        knowledge, facts, stated, fuel_named(composition), rate, values,
        {entry.name: entry for entry in page.entries},
        [name for name, text in typed.items() if text.strip()], used, _spoken(page, typed),
    )  # fmt: skip
    page.work_out(bench)
    return bench.report(
        unread, (*over, *_questions(knowledge, facts, page, rate, values)), _taken(bench, page)
    )


def _spoken(page, typed) -> dict[str, str]:
    """The unit in which somebody gives the quantities that have a usual one here and there."""
    spoken = {}
    for entry in page.entries:
        typed_unit = unit_of(typed.get(entry.name, ""))
        if entry.quantity in FOLLOWED and typed_unit:
            unit = usual_spelling(entry.quantity, typed_unit)
            if unit in units.QUANTITIES[entry.quantity].usual_units:
                spoken.setdefault(entry.quantity, unit)
    if spoken.get("temperature") == "°F":
        spoken["temperature_difference"] = "°F"
    return spoken


def _taken(bench, page) -> tuple[str, ...]:
    """What figures rest on and was assumed, of the entries and of the place, in words."""
    taken = [
        f"{entry.label}: {entry.choices.get(entry.assumed, entry.assumed)}"
        for entry in page.entries
        if entry.assumed and entry.name in bench.used and not bench.typed(entry.name)
    ]
    if "altitude" in bench.used and bench.fact("altitude") is None:
        taken.append("Altitude: 150 m ± 300 m")
    return tuple(taken)


def fact_of_fuel(composition: str) -> str:
    """The fuel of a boiler's sheet that a composition belongs to."""
    return "propane" if "propane" in composition else "natural_gas"


def _fuel(knowledge, facts, fuel) -> str:
    composition = fuel or fact_value(knowledge, facts, "fuel")[0]  # compositions bear its names
    if composition not in FUELS:
        close = nearest(composition, FUELS)
        raise UnreadableValue(
            f"gas {composition!r} is not known; "
            + (f"write {close!r}" if close else f"use one of {', '.join(FUELS)}")
        )
    return composition


def rate_of(page: Sheet, rate: str) -> str:
    """The rate named, or the sheet's first.

    Raises
    ------
    UnreadableValue
        If the sheet has no such rate.
    """
    if not page.rates and not rate:
        return ""
    if rate and rate not in page.rates:
        named = f"use one of {', '.join(page.rates)}" if page.rates else "leave it out"
        raise UnreadableValue(f"sheet {page.id!r} has no rate {rate!r}; {named}")
    return rate or next(iter(page.rates))


def _read(page, typed, rate):
    """Values in SI with what is assumed, the units typed, and what could not be read."""
    for name in typed:
        if page.entry(name) is None:
            names = [entry.name for entry in page.entries]
            close = nearest(name, names)
            raise UnreadableValue(
                f"sheet {page.id!r} has no entry {name!r}; "
                + (f"write {close!r}" if close else f"it takes {', '.join(names)}")
            )
    values, used, unread, over = {}, {}, {}, []
    for entry in page.entries:
        text = typed.get(entry.name, "").strip() or entry.assumed
        if not text:
            continue
        if entry.over and OVER_RANGE.fullmatch(text):
            text = entry.over
            over.append(
                f"{entry.label}: over the range of the instrument, taken as at least {text}."
            )
        if entry.choices:
            if text in entry.choices:
                values[entry.name] = text
            else:
                unread[entry.name] = f"{text!r} is none of: {', '.join(entry.choices)}"
            continue
        try:
            middle = text.partition(SPREAD)[0] if text == entry.assumed else text
            values[entry.name] = units.parse(middle, entry.quantity, default_unit=entry.unit)
        except UnreadableValue as error:
            unread[entry.name] = str(error)
        else:
            used |= dict.fromkeys(entry.fed(rate), unit_of(text) or entry.unit)
    return values, used, unread, tuple(over)


def _questions(knowledge, facts, page, rate, values):
    """The questions that odd values deserve, as a visit would ask them."""
    by_check: dict[str, dict[str, float]] = {}
    for entry in page.entries:
        for check, field in entry.fed(rate):
            if entry.name in values:
                by_check.setdefault(check, {})[field] = values[entry.name]
    asked: dict[float, str] = {}
    for check, given in by_check.items():
        for field in given:
            question = doubt(knowledge, facts, check, field, given)
            if question:
                asked.setdefault(given[field], question)  # one value is asked about once
    return tuple(asked.values())
