"""Figures, limits and sources in a technician's words."""

from collections.abc import Mapping
from itertools import pairwise

from engine import units
from engine.belief.readings import Calculated
from engine.knowledge import Knowledge, schema
from engine.knowledge.facts import band_edges, fact_value

SURE = 0.95
"""From this probability on a band is named without a doubt. Judgement."""

NEGLIGIBLE = 5e-4
"""A spread below this share of its figure is left out: three digits do not show it."""

TYPICAL = "typical figure: check the plate or manual"
ASSUMED = "as long as the manual says nothing else"


def shown(figure: Calculated, unit: str | None = None) -> str:
    """A figure to as many decimals as its spread deserves: 9.1 ± 0.3 %."""
    if 2 * figure.deviation <= NEGLIGIBLE * abs(figure.value):
        return units.show(figure.value, figure.quantity, unit)
    difference = units.difference_of(figure.quantity)
    label = unit or units.QUANTITIES[figure.quantity].usual_units[0]
    off = units.number_in(2 * figure.deviation, difference, label)
    digits = 2 if f"{off:e}"[0] == "1" else 1
    spread = units.show(2 * figure.deviation, difference, label, digits).partition(" ")[0]
    places = digits - 1 - int(f"{off:.{digits - 1}e}".partition("e")[2])  # of the last digit shown
    value = round(units.number_in(figure.value, figure.quantity, label), places)
    value = f"{value:z.{max(places, 0)}f}"
    return f"{value} ± {spread}" + ("" if label == "1" else f" {label}")


def needs(
    knowledge: Knowledge,
    facts: Mapping[str, object],
    check: schema.Check,
    quantity: str,
    unit: str | None,
) -> str:
    """What a healthy reading of this check would be, with the mark of a typical figure."""
    edges = band_edges(knowledge, facts, check, quantity)
    ends = pairwise([None, *edges, None])
    parts = []
    for band, (low, high) in zip(check.reading.bands, ends, strict=True):
        if band.outcome == check.healthy:
            parts.append(_between(*(e and rounded(e[0], quantity, unit) for e in (low, high))))
    if not any(parts):
        return ""
    own = [
        (edge, typical)
        for band, (edge, typical) in zip(check.reading.bands, edges, strict=False)
        if band.below.fact
    ]
    text = f"needs {' or '.join(filter(None, parts))}"
    limits = [rounded(edge, quantity, unit) for edge, _ in own]
    apart = [limit for limit in limits if limit not in text]
    if apart:  # our band ends before the boiler's own limit
        text += f"; limit {' and '.join(apart)}"
    if any(typical for _, typical in own):
        return f"{text}, {TYPICAL}"
    return f"{text}, entered for this boiler" if own else text


def held_against(
    knowledge: Knowledge, facts: Mapping[str, object], entry: schema.Check | schema.Action
) -> tuple[str, ...]:
    """What the boiler's sheet says that a step is held against, a line for each fact."""
    return tuple(
        f"{knowledge.facts[name].name}: {_stated(knowledge, facts, name)}" for name in entry.against
    )


def _stated(knowledge, facts, name) -> str:
    fact = knowledge.facts[name]
    value, assumed = fact_value(knowledge, facts, name)
    if value is None:
        return f"not known. {fact.help or fact.ask}"
    said = fact.choices[value] if fact.choices else rounded(value, fact.quantity, fact.unit)
    return f"{said}, {TYPICAL if fact.quantity else ASSUMED}" if assumed else said


def _between(low, high) -> str:
    if low and high:
        return f"{low} to {high}"
    return f"{low} or more" if low else f"less than {high}" if high else ""


def rounded(value: float, quantity: str, unit: str | None) -> str:
    """A limit without the zeros that say nothing: 8.5 %, not 8.50 %."""
    number, blank, label = units.show(value, quantity, unit).partition(" ")
    if "." in number:
        number = number.rstrip("0").rstrip(".")
    return f"{number}{blank}{label}"


def celsius(kelvin: float) -> str:
    """A temperature for everybody.

    Examples
    --------
    >>> celsius(327.15)
    '54 °C (129 °F)'
    """
    degrees = (units.number_in(kelvin, "temperature", unit) for unit in ("°C", "°F"))
    return "{:.0f} °C ({:.0f} °F)".format(*degrees)


def percent(share) -> str:
    """An uncertain share in per cent with twice its deviation."""
    return f"{100 * share.nominal_value:.0f} ± {200 * share.std_dev:.0f} %"


def doubt(check: schema.Check, weights: tuple[float, ...]) -> str:
    """Which outcomes the instrument cannot tell apart so near a limit; empty when it can."""
    if max(weights) >= SURE:
        return ""
    shares = sorted(zip(weights, check.outcomes.values(), strict=True), key=lambda s: -s[0])
    named = ", ".join(f"'{o.says}' {round(100 * w)} in 100" for w, o in shares if w >= 0.01)
    return f"So near a limit the instrument cannot tell for sure: {named}."


def band_sources(
    knowledge: Knowledge, facts: Mapping[str, object], check: schema.Check
) -> tuple[str, ...]:
    """Where the limits of a check's bands come from, in words.

    A limit entered for this boiler comes from its sheet; a typical one from where the typical
    figure was found, never from the plate that nobody has read.
    """
    names: list[str] = []
    for limit in _limits(check):
        if limit.fact is None:
            names += [knowledge.sources[n].name for n in check.reading.band_source if n != PLATE]
        elif facts.get(limit.fact) is not None:
            names.append(f"{knowledge.facts[limit.fact].name}, as entered for this boiler")
        else:
            stands_in = [n for n in knowledge.facts[limit.fact].source if n != PLATE]
            names += [knowledge.sources[n].name for n in stands_in]
    return tuple(dict.fromkeys(names))


PLATE = "plate_or_manual"
"""The source that says "read it off this boiler"."""


def _limits(check):
    for band in check.reading.bands:
        yield from (limit for limit in (band.start, band.below) if limit is not None)
