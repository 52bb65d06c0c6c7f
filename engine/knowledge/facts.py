"""What is known of one boiler, and what stands in for what is not.

Facts are a mapping of name to the id of a choice or an SI value. A figure of the boiler's own
sheet replaces the typical one wherever it is used; what is typical says so.
"""

from collections.abc import Collection, Mapping
from itertools import pairwise

from engine import units
from engine.errors import OutOfRange, UnreadableValue, nearest
from engine.knowledge import schema
from engine.knowledge.entry import Limit
from engine.knowledge.loading import Knowledge
from engine.units.typed_values import example_between, usual_spelling


def applies(only_if: Mapping[str, Collection[str]], facts: Mapping[str, object]) -> bool:
    """Whether a thing can exist on this boiler; what is not known rules nothing out.

    Examples
    --------
    >>> applies({"fuel": ["propane"]}, {"fuel": "natural_gas"})
    False
    >>> applies({"fuel": ["propane"]}, {})
    True
    """
    return all(facts.get(name) is None or facts[name] in only_if[name] for name in only_if)


def circumstances(
    knowledge: Knowledge, facts: Mapping[str, object], stated: Collection[str]
) -> tuple[str, ...]:
    """The circumstances that were stated, then those that the boiler's sheet brings with it."""
    follow = (n for n, context in knowledge.contexts.items() if _holds(knowledge, context, facts))
    return tuple(dict.fromkeys((*stated, *follow)))


def _holds(knowledge, context, facts) -> bool:
    if not context.when or any(facts.get(name) is None for name in context.when):
        return False
    return all(
        units.parse(start, knowledge.facts[name].quantity)
        <= facts[name]
        < units.parse(below, knowledge.facts[name].quantity)
        for name, (start, below) in context.when.items()
    )


def fact_value(knowledge: Knowledge, facts: Mapping[str, object], name: str):
    """A fact of the boiler and whether it is only typical: (value or None, bool)."""
    if facts.get(name) is not None:
        return facts[name], False
    fact = knowledge.facts[name]
    if fact.choices is not None:
        return fact.assumed, True
    if fact.typical is None:
        return None, True
    return limit_value(knowledge, facts, fact.typical, fact.quantity)[0], True


def limit_value(
    knowledge: Knowledge, facts: Mapping[str, object], limit: Limit, quantity: str
) -> tuple[float, bool]:
    """A limit in SI, and whether a typical value stands in for the maker's."""
    if limit.fact is not None:
        return fact_value(knowledge, facts, limit.fact)
    if limit.value is not None:
        return units.parse(limit.value, quantity), False
    fuel, assumed = fact_value(knowledge, facts, "fuel")
    return units.parse(limit.by_fuel[fuel], quantity), assumed


def band_edges(
    knowledge: Knowledge, facts: Mapping[str, object], check: schema.Check, quantity: str
) -> tuple[tuple[float, bool], ...]:
    """The limits between the bands of a check, in SI, each with whether it is only typical.

    The boiler's own figure beats ours: a fixed limit that lies on the wrong side of a limit of the
    boiler gives way to it.

    Raises
    ------
    OutOfRange
        If two limits of the boiler are in the wrong order.
    """
    limits = [band.below for band in check.reading.bands[:-1]]
    edges = [limit_value(knowledge, facts, limit, quantity) for limit in limits]
    own = [place for place, limit in enumerate(limits) if limit.fact]
    for before, after in pairwise(own):
        if edges[before][0] > edges[after][0]:
            first, then = (knowledge.facts[limits[place].fact].name for place in (before, after))
            raise OutOfRange(f"'{first}' lies above '{then}'; enter both, the lower one first")
    for place, limit in enumerate(limits):
        if limit.fact:
            continue
        value = edges[place][0]
        value = max([value, *(edges[other][0] for other in own if other < place)])
        value = min([value, *(edges[other][0] for other in own if other > place)])
        edges[place] = (value, edges[place][1])
    return tuple(edges)


def fact_from_text(knowledge: Knowledge, name: str, text: str):
    """A fact as typed: the id of a choice, or an SI value.

    Raises
    ------
    UnreadableValue
        If the fact is unknown, the choice is none, or the value cannot be read or be.
    """
    fact = knowledge.facts.get(name)
    if fact is None:
        close = nearest(name, knowledge.facts)
        raise UnreadableValue(
            f"there is no fact {name!r}; " + (f"write {close!r}" if close else "see 'list facts'")
        )
    text = text.strip()
    if fact.choices is not None:
        if text not in fact.choices:
            raise UnreadableValue(
                f"{text!r} is no choice for '{fact.name}'; choose from {', '.join(fact.choices)}"
            )
        return text
    value = _parsed(knowledge, name, text)
    if fact.plausible:
        low, high = (units.parse(limit, fact.quantity) for limit in fact.plausible)
        if not low <= value <= high:
            raise UnreadableValue(
                f"'{fact.name}' {text} is outside {fact.plausible[0]} to {fact.plausible[1]}; "
                "check the unit and the decimal point"
            )
    return value


def _parsed(knowledge, name, text) -> float:
    fact = knowledge.facts[name]
    try:
        return units.parse(text, fact.quantity, default_unit=fact.unit)
    except UnreadableValue:  # said with a value that this fact may have
        example = _example(knowledge, name)
        return units.parse(text, fact.quantity, default_unit=fact.unit, example=example)


def _example(knowledge, name) -> str | None:
    fact, (typical, _) = knowledge.facts[name], fact_value(knowledge, {}, name)
    if typical is not None:
        unit = usual_spelling(fact.quantity, fact.unit)
        return units.show(typical, fact.quantity, unit, digits=2)
    if not fact.plausible:
        return None
    low, high = (units.parse(limit, fact.quantity) for limit in fact.plausible)
    return example_between(fact.quantity, fact.unit, low, high)
