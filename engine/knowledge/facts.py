"""What is known of one boiler, and what stands in for what is not.

Facts are a mapping of name to the id of a choice or an SI value. A figure of the boiler's own
sheet replaces the typical one wherever it is used; what is typical says so.
"""

from collections.abc import Collection, Mapping

from engine import units
from engine.knowledge import schema
from engine.knowledge.loading import Knowledge


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
    knowledge: Knowledge, facts: Mapping[str, object], limit: schema.Limit, quantity: str
) -> tuple[float, bool]:
    """A limit in SI, and whether a typical value stands in for the maker's."""
    if limit.fact is not None:
        return fact_value(knowledge, facts, limit.fact)
    if limit.value is not None:
        return units.parse(limit.value, quantity), False
    fuel, assumed = fact_value(knowledge, facts, "fuel")
    return units.parse(limit.by_fuel[fuel], quantity), assumed
