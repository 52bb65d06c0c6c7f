"""A verdict on the scale of its bands."""

from collections.abc import Mapping
from itertools import pairwise

from engine import units
from engine.knowledge import Knowledge
from engine.knowledge.facts import band_edges
from engine.readings.pictures import Scale, Stretch

ROOM = 0.6
"""How much of the bands' width is shown beyond them. Judgement, for the eye."""


def scale_of(knowledge: Knowledge, facts: Mapping[str, object], verdict) -> Scale:
    """The picture of a verdict: its value with spread between the limits of the bands."""
    check = knowledge.checks[verdict.check]
    figure = verdict.figure.calculated
    unit = figure.unit or units.QUANTITIES[figure.quantity].usual_units[0]
    number = _numbers(figure.quantity, unit)
    value = number(figure.value)
    spread = 2 * units.number_in(figure.deviation, units.difference_of(figure.quantity), unit)
    limits = [number(edge) for edge, _ in band_edges(knowledge, facts, check, figure.quantity)]
    edges = [None, *limits, None]
    stretches = tuple(
        Stretch(check.outcomes[band.outcome].says, low, high, band.outcome == check.healthy)
        for band, (low, high) in zip(check.reading.bands, pairwise(edges), strict=True)
    )
    low, high = _reach(limits, value - spread, value + spread)
    label = "" if unit == "1" else f" [{unit}]"
    return Scale(
        title=f"{figure.title}{label}",
        low=low,
        high=high,
        stretches=stretches,
        value=value,
        spread=spread,
        words=f"{figure.title} {verdict.figure.shown}: {verdict.says}.",
    )


def _numbers(quantity, unit):
    return lambda value: units.number_in(value, quantity, unit)


def _reach(limits, lowest, highest) -> tuple[float, float]:
    """Both ends of the scale: all limits and the value, with some room; from 0 where it can."""
    width = (limits[-1] - limits[0]) or abs(limits[0]) or 1.0
    low = min(limits[0] - ROOM * width, lowest - 0.1 * width)
    high = max(limits[-1] + ROOM * width, highest + 0.1 * width)
    if limits[0] >= 0 and lowest >= 0:
        low = max(low, 0.0)
    return low, high
