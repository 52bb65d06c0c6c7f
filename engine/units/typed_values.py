"""Numbers as people type them into a field that remembers its unit."""

import math
import re

from engine import units
from engine.errors import UnreadableValue

_BARE = re.compile(r"[+\-−–]?\s*[\d.,]+(?:\s*[/⁄]\s*\d+|\s+\d+\s*[/⁄]\s*\d+)?(?:[eE][+-]?\d+)?")


HANDY = (0.1, 100_000)
"""Between these numbers the largest plausible value lies in a unit worth offering. Judgement."""


def unit_choices(quantity: str, unit: str, largest: str) -> tuple[str, ...]:
    """The units offered for a field, in the spelling shown to people.

    Only those in which the largest plausible value is a handy number: nobody gives an altitude in
    inches. A unit that is none of the usual ones stands alone.

    Examples
    --------
    >>> unit_choices("length", "m", "4500 m"), unit_choices("length", "mm", "10 mm")
    (('m', 'ft'), ('mm', 'in'))
    >>> unit_choices("duration", "year", "60 year")
    ('year',)
    """
    usual = units.QUANTITIES[quantity].usual_units
    own = _same(quantity, unit, usual)
    if own is None:
        return (unit,)
    top = units.parse(largest, quantity)
    low, high = HANDY
    return tuple(u for u in usual if u == own or low <= units.number_in(top, quantity, u) <= high)


def example_between(quantity: str, unit: str, low: float, high: float) -> str:
    """A value between two others [SI] as somebody may type it: one of the quantity's own examples
    where it fits, else about the middle on a scale of ratios.

    Examples
    --------
    >>> example_between("temperature", "degC", 273.15, 523.15)
    '60 °C'
    >>> example_between("gauge_pressure", "bar", 1e5, 4e5)
    '2.0 bar'
    """
    shown = usual_spelling(quantity, unit)
    for example in units.QUANTITIES[quantity].examples:
        own = usual_spelling(quantity, unit_of(example)) == shown
        if own and low < units.parse(example, quantity) < high:
            return example
    middle = math.sqrt(low * high) if low > 0 else 0.1 * high
    return units.show(middle, quantity, shown, digits=2)


def usual_spelling(quantity: str, unit: str) -> str:
    """The unit as `unit_choices` spells it, or as it is.

    Examples
    --------
    >>> usual_spelling("current", "uA"), usual_spelling("gauge_pressure", "in. w.c.")
    ('µA', 'inH2O')
    """
    return _same(quantity, unit, units.QUANTITIES[quantity].usual_units) or unit


def with_unit(text: str, unit: str) -> str:
    """A typed value with its unit: the one typed, else the field's; empty stays empty.

    Examples
    --------
    >>> with_unit("4.1", "inH2O"), with_unit("10 mbar", "inH2O"), with_unit("1 1/2", "in")
    ('4.1 inH2O', '10 mbar', '1 1/2 in')
    """
    text = text.strip()
    bare = _BARE.fullmatch(text) is not None and unit != "1"
    return f"{text} {unit}" if bare else text


def unit_of(text: str) -> str:
    """The unit at the end of a typed value, empty for a bare number.

    Examples
    --------
    >>> unit_of("4.1 in. w.c."), unit_of("4.1")
    ('in. w.c.', '')
    """
    number = _BARE.match(text.strip())
    return text.strip()[number.end() :].strip() if number else ""


def _same(quantity, unit, candidates) -> str | None:
    try:
        one = units.parse(f"1 {unit}", quantity)
    except UnreadableValue:
        return None
    return next((c for c in candidates if units.parse(f"1 {c}", quantity) == one), None)
