"""A measured value as soft evidence: the figure behind it, its uncertainty, and its bands.

The accuracy of the instrument is carried through the named calculation to first order, so a value
at a band's edge does not swing the verdict.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import uncertainties

from engine import units
from engine.errors import Implausible, OutOfRange, UnreadableValue
from engine.knowledge import Knowledge
from engine.knowledge.facts import band_edges, fact_value, limit_value
from engine.knowledge.instruments import (
    ACCURACY_IS_SIGMAS,
    NONE_STATED,
    Stated,
    deviation,
    typical_deviation,
)
from engine.knowledge.reading import OR, SPREAD
from engine.knowledge.schema import Check
from engine.physics.propagation import propagate
from engine.units.typed_values import example_between, usual_spelling

ROUNDING = 1e-9
"""Share of a limit that the arithmetic of a calculation may lose."""

COMPOSITION = "composition"
"""The gas itself may stand among the facts, a name in `physics.fuels.FUELS`: calculations take it,
limits go by the fuel."""


@dataclass(frozen=True)
class Calculated:
    """A figure worked out from readings, in SI, with one standard deviation.

    `instruments` are those it was read with.
    """

    name: str
    title: str
    quantity: str
    value: float
    deviation: float
    unit: str | None
    instruments: tuple[str, ...] = ()

    def shown(self) -> str:
        """The figure with its unit, and twice its deviation."""
        text = units.show(self.value, self.quantity, self.unit)
        if not self.deviation:
            return text
        spread = units.show(
            2 * self.deviation, units.difference_of(self.quantity), self.unit, digits=2
        )
        return f"{text} ± {spread}"


@dataclass(frozen=True)
class Banded:
    """What a reading says: the banded figure and the probability of each outcome."""

    outcome: str
    weights: tuple[float, ...]
    figure: Calculated
    reports: tuple[Calculated, ...]


def read_values(
    knowledge: Knowledge,
    facts: Mapping[str, object],
    check_id: str,
    typed: Mapping[str, str],
    sure: bool = False,
) -> dict[str, float]:
    """Typed values of a check's fields, in SI.

    Raises
    ------
    UnreadableValue
        If a field is unknown, missing, or cannot be read.
    Implausible
        If a value deserves a question and the person has not said to be `sure`.
    """
    check = knowledge.checks[check_id]
    if check.reading is None or not check.reading.fields:
        raise UnreadableValue(
            f"'{check.name}' is not a number; answer one of: {', '.join(check.outcomes)}"
        )
    fields = check.reading.fields
    for name in typed:
        if name not in fields:
            raise UnreadableValue(
                f"'{check.name}' has no value called {name!r}; it takes {', '.join(fields)}"
            )
    values = {}
    for name, field in fields.items():
        if typed.get(name, "").strip():
            values[name] = _parsed(knowledge, facts, check, name, typed[name])
        elif not field.optional:
            raise UnreadableValue(f"{field.name} is missing; write it as '… {field.unit}'")
    if not values:
        raise UnreadableValue(
            f"'{check.name}' needs at least one of: "
            f"{', '.join(field.name for field in fields.values())}"
        )
    if not sure:
        for name in values:
            question = doubt(knowledge, facts, check_id, name, values)
            if question:
                raise Implausible(question)
    return values


def _parsed(knowledge, facts, check, name, text) -> float:
    field = check.reading.fields[name]
    try:
        return units.parse(text, field.quantity, default_unit=field.unit)
    except UnreadableValue:  # said with a value that this field may have
        example = example_of(knowledge, facts, check, name)
        return units.parse(text, field.quantity, default_unit=field.unit, example=example)


def example_of(
    knowledge: Knowledge,
    facts: Mapping[str, object],
    check: Check,
    name: str,
    unit: str | None = None,
) -> str:
    """A value that a field of a check may have, as somebody may type it; one that is in order,
    where the field itself is what is banded.

    Parameters
    ----------
    unit : str, optional
        The field's own by default.

    Examples
    --------
    >>> from engine.visit.keeping import knowledge
    >>> gauge = knowledge().checks["system_pressure_gauge"]
    >>> [example_of(knowledge(), {}, gauge, "pressure", unit) for unit in ("bar", "psi")]
    ['1.6 bar', '22 psi']
    """
    reading, field = check.reading, check.reading.fields[name]
    unit = usual_spelling(field.quantity, unit or field.unit)
    low, high = (units.parse(text, field.quantity) for text in field.plausible)
    stands_in = _where_none_is_measured(reading, name)
    if stands_in:
        return units.show(units.parse(stands_in, field.quantity), field.quantity, unit, digits=2)
    if reading.figure[0].field != name:
        return example_between(field.quantity, unit, low, high)
    sound = next(band for band in reading.bands if band.outcome == next(iter(check.outcomes)))
    start, below = (
        limit and limit_value(knowledge, facts, limit, field.quantity)[0]
        for limit in (sound.start, sound.below)
    )
    if start is not None and below is not None:
        return units.show(0.5 * (start + below), field.quantity, unit, digits=2)
    if start is not None:
        low, high = start, min(high, 2 * start)
    elif below is not None:
        high = below
    return example_between(field.quantity, unit, low, high)


def _where_none_is_measured(reading, name) -> str:
    """What a calculation takes where this field is left empty; empty where it needs the field."""
    figures = (*reading.figure, *reading.reports)
    origins = (text for figure in figures for text in figure.inputs.values())
    return next(
        (
            value.partition(SPREAD)[0]
            for source, _, value in (origin.partition(OR) for origin in origins)
            if source == f"this.{name}" and value
        ),
        "",
    )


def doubt(
    knowledge: Knowledge,
    facts: Mapping[str, object],
    check_id: str,
    name: str,
    values: Mapping[str, float],
) -> str | None:
    """The question one of the values deserves, with the likely slip named; None for none."""
    reading = knowledge.checks[check_id].reading
    field, value = reading.fields[name], values[name]
    shown = units.show(value, field.quantity, usual_spelling(field.quantity, field.unit))
    low, high = (units.parse(text, field.quantity) for text in field.plausible)
    plausible = low <= value <= high
    for slip in reading.slips:
        if slip.field != name or slip.unless in values:
            continue
        start = slip.start and limit_value(knowledge, facts, slip.start, field.quantity)[0]
        below = slip.below and limit_value(knowledge, facts, slip.below, field.quantity)[0]
        if (start is None or value >= start) and (below is None or value < below):
            more = "" if plausible else f" {_likely_slips(value, field, low, high)}"
            return f"{field.name} {shown}? {slip.says}{more}"
    if plausible:
        return None
    slips = _likely_slips(value, field, low, high)
    return (
        f"{field.name} {shown}? This is usually between {_spelled(low, field)} and "
        f"{_spelled(high, field)}. {slips}"
    )


def _spelled(value, field) -> str:
    unit = usual_spelling(field.quantity, field.unit)
    return f"{units.number_in(value, field.quantity, unit):g} {unit}"


WORTH_A_GUESS = 0.02
"""A guess must be at least this share of the largest plausible value: nobody means 90 ppm of CO2
who types 90 %. Judgement."""


def _likely_slips(value, field, low, high) -> str:
    quantity = units.QUANTITIES[field.quantity]
    guesses = []
    for unit in quantity.usual_units:
        if unit == field.unit:
            continue
        number = units.number_in(value, field.quantity, field.unit)
        try:
            other = units.parse(f"{number!r} {unit}", field.quantity)
        except UnreadableValue:  # below absolute zero, in that unit
            continue
        if max(low, WORTH_A_GUESS * high) <= other <= high:
            guesses.append(f"{number:g} {unit}")
    for factor in (10.0, 0.1, 100.0, 0.01):
        if low <= value * factor <= high and value:
            number = units.show(value * factor, field.quantity, field.unit)
            guesses.append(f"{number} (decimal point)")
            break
    if guesses:
        return f"Did you mean {' or '.join(guesses[:3])}?"
    return "Check the unit, the decimal point, and where the instrument was connected."


def band(
    knowledge: Knowledge,
    facts: Mapping[str, object],
    check_id: str,
    readings: Mapping[str, Mapping[str, float]],
    stated: Mapping[str, Stated] = NONE_STATED,
) -> Banded | None:
    """What the readings so far say about one check; None while its inputs are missing.

    Parameters
    ----------
    readings : mapping of check to mapping of field to SI value
        This check's own values among them.
    stated : mapping of instrument to accuracy
        Of the person's own instruments.

    Raises
    ------
    OutOfRange
        If a calculation refuses the values; the sentence says why.
    """
    check = knowledge.checks[check_id]
    refusal = None
    for written in check.reading.figure:
        try:
            figure = _work_out(knowledge, facts, check_id, written, readings, stated)
        except OutOfRange as error:  # another figure may speak all the same
            refusal = refusal or error
            continue
        if figure is None:
            continue
        edges = band_edges(knowledge, facts, check, figure.quantity)
        # An edge belongs to the band above, and rounding takes nothing from it.
        place = sum(figure.value >= edge - ROUNDING * abs(edge) for edge, _ in edges)
        outcome = check.reading.bands[place].outcome
        if written.only and outcome not in written.only:
            continue
        weights = _band_weights(check, figure, edges)
        reports = tuple(_reports(knowledge, facts, check_id, readings, stated))
        return Banded(outcome, tuple(float(w) for w in weights), figure, reports)
    if refusal:
        raise refusal
    return None


def _reports(knowledge, facts, check_id, readings, stated) -> Iterator[Calculated]:
    for extra in knowledge.checks[check_id].reading.reports:
        try:
            calculated = _work_out(knowledge, facts, check_id, extra, readings, stated)
        except OutOfRange:  # a side figure that cannot be told is left out, the band stands
            continue
        if calculated:
            yield calculated


def _band_weights(check, figure, edges) -> np.ndarray:
    """P(band | value) by outcome, for a normally distributed error."""
    outcomes = list(check.outcomes)
    weights = np.zeros(len(outcomes))
    reaches = [_share_below(edge, figure.value, figure.deviation) for edge, _ in edges]
    for part, (low, high) in zip(check.reading.bands, pairwise([0.0, *reaches, 1.0]), strict=True):
        weights[outcomes.index(part.outcome)] += max(high - low, 0.0)
    return weights


def _share_below(limit, value, deviation) -> float:
    if deviation == 0:
        return 1.0 if value < limit else 0.0
    return 0.5 * math.erfc((value - limit) / (deviation * math.sqrt(2)))


def _work_out(knowledge, facts, check_id, figure, readings, stated) -> Calculated | None:
    if figure.field is not None:
        value = readings.get(check_id, {}).get(figure.field)
        if value is None:
            return None
        field = knowledge.checks[check_id].reading.fields[figure.field]
        return Calculated(
            name=figure.field,
            title=figure.name or field.name,
            quantity=field.quantity,
            value=value,
            deviation=deviation(knowledge, stated, field.instrument, value),
            unit=figure.unit or field.unit,
            instruments=(field.instrument,),
        )
    calculation = knowledge.calculations[figure.calculation]
    taken: dict[str, _Argument] = {}  # by origin: one reading twice is one error
    for parameter, origin in figure.inputs.items():
        if origin not in taken:
            quantity = calculation.inputs[parameter]
            taken[origin] = _argument(
                knowledge, facts, check_id, origin, quantity, readings, stated
            )
        if taken[origin].value is None:
            return None
    arguments = {parameter: taken[origin].value for parameter, origin in figure.inputs.items()}
    value, spread = propagate(calculation.function, arguments)
    read_with = (argument.instrument for argument in taken.values() if argument.instrument)
    return Calculated(
        name=figure.calculation,
        title=figure.name or figure.calculation.replace("_", " "),
        quantity=calculation.quantity,
        value=value,
        deviation=math.hypot(spread, calculation.own_deviation(value)),
        unit=figure.unit,
        instruments=tuple(dict.fromkeys(read_with)),
    )


class _Argument(NamedTuple):
    """An input of a calculation, None while missing, and the instrument that read it."""

    value: object
    instrument: str | None = None


def _argument(knowledge, facts, check_id, origin, quantity, readings, stated) -> _Argument:
    origin, _, instead = origin.partition(OR)
    if instead:
        found = _argument(knowledge, facts, check_id, origin, quantity, readings, stated)
        return found if found.value is not None else _Argument(_assumed(instead, quantity))
    holder, _, name = origin.partition(".")
    if holder == "fact":
        if name == "fuel" and facts.get(COMPOSITION):
            return _Argument(facts[COMPOSITION])
        value, typical = fact_value(knowledge, facts, name)
        spread = typical_deviation(knowledge, name, value) if typical else 0.0
        return _Argument(uncertainties.ufloat(value, spread) if spread else value)
    owner = check_id if holder == "this" else holder
    if owner in knowledge.checks:
        value = readings.get(owner, {}).get(name)
        instrument = knowledge.checks[owner].reading.fields[name].instrument
        if value is None:
            return _Argument(None)
        spread = deviation(knowledge, stated, instrument, value)
        return _Argument(uncertainties.ufloat(value, spread) if spread else value, instrument)
    return _Argument(_assumed(origin, quantity))


def _assumed(text, quantity):
    """A value written in the knowledge, with how far it may be off where that is written."""
    middle, _, off = text.partition(SPREAD)
    value = units.parse(middle, quantity)
    if not off:
        return value
    spread = units.parse(off, units.difference_of(quantity)) / ACCURACY_IS_SIGMAS
    return uncertainties.ufloat(value, spread)
