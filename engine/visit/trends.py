"""Figures of one boiler over its visits: as found and as left, with the limits they are held to."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from engine import units
from engine.errors import NotAllowed, OutOfRange
from engine.knowledge import Knowledge
from engine.knowledge.facts import band_edges
from engine.readings import words
from engine.records import Store
from engine.units.typed_values import usual_spelling
from engine.visit.keeping import folded
from engine.visit.state import State

FOUND, LEFT = "as found", "as left"

FIRST = (
    "flame_current", "flue_temperature_rise", "mixture_high_fire", "mixture_low_fire",
    "intake_air", "co_high_fire", "co_low_fire", "inlet_gas_pressure_running",
    "system_pressure_gauge",
)  # fmt: skip
"""What is looked at first from year to year. Judgement."""


@dataclass(frozen=True)
class Point:
    """One figure: when it was entered (UTC), in SI and in the trend's unit, and what it means."""

    visit: int
    at: datetime
    stands: str
    value_si: float
    value: float
    shown: str
    says: str
    healthy: bool


@dataclass(frozen=True)
class Trend:
    """The figures of one check, earliest first.

    Attributes
    ----------
    limits : tuple of (name, number)
        Ends of what is healthy, in the trend's unit.
    needs : str
        The same in words, with the mark of a typical figure; may be empty.
    words : str
        What changed from the first figure to the last.
    """

    check: str
    name: str
    unit: str
    points: tuple[Point, ...]
    limits: tuple[tuple[str, float], ...]
    needs: str
    words: str


def trends(store: Store, known: Knowledge, boiler: int) -> tuple[Trend, ...]:
    """All figures of a boiler that were read at least once, those looked at first before others.

    Visits that this knowledge cannot read are left out.
    """
    visits = []
    for visit in sorted(v.id for v in store.visits_to(boiler=boiler)):
        try:
            state = folded(store, known, visit)
        except NotAllowed:
            continue
        visits.append((visit, state, {e.number: e.at for e in store.events(visit)}))
    if not visits:
        return ()
    facts = {name: value for _, state, _ in visits for name, value in state.facts.items()}
    seen = {finding.check for _, state, _ in visits for finding in state.findings if finding.banded}
    order = [*(n for n in FIRST if n in seen), *(n for n in known.checks if n in seen - {*FIRST})]
    return tuple(_trend(known, check, visits, facts) for check in order)


def ends(state: State, check: str):
    """The first and the last banded finding of a check in one visit; (None, None) without one."""
    read = [f for f in state.findings if f.check == check and f.banded]
    return (read[0], read[-1]) if read else (None, None)


def _trend(known, check, visits, facts) -> Trend:
    entry = known.checks[check]
    figures = [
        (visit, stands, finding, times)
        for visit, state, times in visits
        for stands, finding in _named(*ends(state, check))
    ]
    figure = figures[-1][2].banded.figure
    unit = usual_spelling(
        figure.quantity, figure.unit or units.QUANTITIES[figure.quantity].usual_units[0]
    )
    points = tuple(
        _point(known, entry, visit, stands, finding, times, unit)
        for visit, stands, finding, times in figures
    )
    try:
        limits = _limits(known, facts, entry, figure.quantity, unit)
        needs = words.needs(known, facts, entry, figure.quantity, unit)
    except OutOfRange:  # the sheet's limits are in the wrong order; the visit says so
        limits, needs = (), ""
    return Trend(check, entry.name, unit, points, limits, needs, _moved(points))


def _named(first, last) -> Iterable[tuple[str, object]]:
    if first is not None:
        yield FOUND, first
        if last is not first:
            yield LEFT, last


def _point(known, entry, visit, stands, finding, times, unit) -> Point:
    figure = finding.banded.figure
    at = times.get(finding.event) or max(times.values())
    return Point(
        visit, at, stands, figure.value,
        units.number_in(figure.value, figure.quantity, unit),
        units.show(figure.value, figure.quantity, unit),
        entry.outcomes[finding.outcome].says, finding.outcome == entry.healthy,
    )  # fmt: skip


def _limits(known, facts, entry, quantity, unit) -> tuple[tuple[str, float], ...]:
    """Ends of the healthy bands, and the boiler's own limits."""
    bands = entry.reading.bands
    edges = [edge for edge, _ in band_edges(known, facts, entry, quantity)]
    ends = []
    for band, (low, high) in zip(bands, pairwise([None, *edges, None]), strict=True):
        if band.outcome == entry.healthy:
            ends += [("healthy from", low), ("healthy below", high)]
    ends += [("limit", e) for band, e in zip(bands, edges, strict=False) if band.below.fact]
    return tuple(
        (name, units.number_in(edge, quantity, unit)) for name, edge in ends if edge is not None
    )


def _moved(points) -> str:
    first, last = points[0], points[-1]
    if first.visit == last.visit:
        return f"Read in one visit so far: {last.shown}."
    since = f"since {first.at:%Y-%m-%d}"
    if first.shown == last.shown:
        return f"Unchanged {since}: {last.shown}."
    way = "Up" if last.value_si > first.value_si else "Down"
    return f"{way} from {first.shown} to {last.shown} {since}."
