"""What was entered on a sheet, read into SI with its accuracy, and what was worked out so far."""

import math
from collections.abc import Callable, Collection, Mapping
from dataclasses import replace

import uncertainties

from engine import units
from engine.belief.readings import Calculated, band
from engine.errors import OutOfRange
from engine.knowledge import Knowledge, schema
from engine.knowledge.facts import applies, fact_value
from engine.knowledge.instruments import ACCURACY_IS_SIGMAS, Stated, deviation, typical_deviation
from engine.knowledge.reading import SPREAD
from engine.physics import CALCULATIONS
from engine.physics.atmosphere import standard_pressure
from engine.physics.fuels import Fuel
from engine.physics.propagation import propagate
from engine.readings import words
from engine.readings.accuracy_words import whose_accuracy
from engine.readings.report import Danger, Figure, Next, Report, Verdict
from engine.readings.scales import scale_of
from engine.units.typed_values import usual_spelling

COMMON_PLACE = uncertainties.ufloat(150.0, 150.0)
"""Altitude of a place that nobody named [m], as the knowledge takes it. Judgement."""

NO_DOUBT = 0.0 * uncertainties.ufloat(0.0, 1.0)
"""Added to a number it makes an uncertain one without uncertainty, with the same attributes."""


class Bench:
    """One working-out of a sheet; a sheet's function reads from it and adds to it.

    Parameters
    ----------
    knowledge : Knowledge
        For the bands, and the typical figures of the boiler and of the instruments.
    facts : mapping of fact to choice or SI value
        What is known of this boiler.
    stated : mapping of instrument to its own accuracy
        Where the person knows better than the class of the instrument.
    fuel : Fuel
        The gas burnt.
    rate : str
        "high" or "low", where the sheet tells firing rates apart.
    values : mapping of entry to SI value or choice
        What was entered and could be read.
    entries : mapping of entry to its definition
    typed : collection of entry names
        Those that were typed; the others were taken as assumed.
    typed_units : mapping of (check, field) to the unit in which its value was typed
    spoken : mapping of quantity to the unit in which the person gives it
    """

    def __init__(
        self,
        knowledge: Knowledge,
        facts: Mapping[str, object],
        stated: Mapping[str, Stated],
        fuel: Fuel,
        rate: str,
        values: Mapping[str, float | str],
        entries: Mapping,
        typed: Collection[str],
        typed_units: Mapping[tuple[str, str], str],
        spoken: Mapping[str, str],
    ):
        self.knowledge, self.facts, self.stated = knowledge, facts, stated
        self.fuel, self.rate = fuel, rate
        self._typed, self._typed_units, self._spoken = typed, typed_units, spoken
        self._values, self._entries = values, entries
        self._uncertain = {
            name: self._with_accuracy(entries[name], value) for name, value in values.items()
        }
        self._report: dict[str, list] = {
            key: [] for key in ("verdicts", "figures", "says", "next", "pictures", "refused")
        }
        self._danger: Danger | None = None
        self._restated: dict[str, str] = {}
        self.used: set[str] = set()  # entries and facts on which a figure rests

    def _with_accuracy(self, entry, value):
        if isinstance(value, str):
            return value
        if entry.name not in self._typed:
            spread = assumed_deviation(entry)
        elif entry.instrument:
            spread = deviation(self.knowledge, self.stated, entry.instrument, value)
        else:
            return value
        return uncertainties.ufloat(value, spread) if spread else value + NO_DOUBT

    def restate(self, instrument: str, accuracy: Stated, why: str) -> None:
        """From here on an instrument has another accuracy, unless its owner stated his own."""
        if instrument in self.stated:
            return
        self.stated = {**self.stated, instrument: accuracy}
        self._restated[instrument] = why
        for name, value in self._values.items():
            if self._entries[name].instrument == instrument:
                self._uncertain[name] = self._with_accuracy(self._entries[name], value)

    # --- what was entered

    def __getitem__(self, name: str):
        """An entry with its uncertainty, a choice, or None when it was not entered."""
        self.used.add(name)
        return self._uncertain.get(name)

    def plain(self, name: str) -> float | None:
        """An entry's value alone."""
        self.used.add(name)
        return self._values.get(name)

    def has(self, *names: str) -> bool:
        """Whether all of these were entered."""
        return all(name in self._values for name in names)

    def typed(self, name: str) -> bool:
        """Whether an entry was typed, not taken as assumed."""
        return name in self._typed

    def fact(self, name: str):
        """A fact of the boiler, the typical one where it is not known; None where there is none."""
        return fact_value(self.knowledge, self.facts, name)[0]

    def uncertain_fact(self, name: str):
        """A fact with what a typical figure may be off by."""
        value, typical = fact_value(self.knowledge, self.facts, name)
        off = typical_deviation(self.knowledge, name, value) if typical else 0.0
        return uncertainties.ufloat(value, off) if off else value

    def is_typical(self, name: str) -> bool:
        """Whether a typical figure stands in for the fact."""
        return fact_value(self.knowledge, self.facts, name)[1]

    def air_pressure(self) -> float:
        """The standard air pressure of the place [Pa]."""
        return standard_pressure(uncertainties.nominal_value(self.altitude()))

    def altitude(self):
        """Height of the place [m]; that of a common one where nobody named it."""
        self.used.add("altitude")
        found = self.fact("altitude")
        return COMMON_PLACE if found is None else found

    # --- what follows

    def figure(
        self, function: Callable, title: str, quantity: str, unit: str | None = None,
        note: str = "", own_deviation: float = 0.0, **inputs,
    ) -> Figure | None:  # fmt: skip
        """Work a figure out of readings; None while an input is missing or is refused.

        `own_deviation` is one standard deviation that the calculation has of itself.
        """
        if any(value is None for value in inputs.values()):
            return None
        try:
            value, spread = propagate(function, inputs)
        except OutOfRange as error:
            self._refuse(title, error)
            return None
        known = CALCULATIONS.get(function.__name__)
        own = known.own_deviation(value) if known else 0.0
        spread = math.hypot(spread, own, own_deviation)
        unit = self._spoken.get(quantity, unit)
        calculated = Calculated(function.__name__, title, quantity, value, spread, unit)
        figure = Figure(calculated, words.shown(calculated, unit), note=note)
        self._report["figures"].append(figure)
        return figure

    def worked_out(self, function: Callable, title: str, quantity: str, unit: str, **inputs):
        """Like `figure`, but gives the uncertain value, to go on with; None without one."""
        figure = self.figure(function, title, quantity, unit, **inputs)
        if figure is None:
            return None
        value, spread = figure.calculated.value, figure.calculated.deviation
        return uncertainties.ufloat(value, spread) if spread else value + NO_DOUBT

    def attempt(self, title: str, function: Callable, *args, **inputs):
        """What a function gives; None where it refuses, and the refusal is kept."""
        try:
            return function(*args, **inputs)
        except OutOfRange as error:
            self._refuse(title, error)
            return None

    @staticmethod
    def quietly(function: Callable, *args, **inputs):
        """What a function gives, None where it refuses: pictures may leave things out."""
        try:
            return function(*args, **inputs)
        except OutOfRange:
            return None

    @staticmethod
    def middles(inputs: Mapping[str, object]) -> dict[str, object]:
        """Inputs without their uncertainty."""
        return {name: uncertainties.nominal_value(value) if isinstance(value, uncertainties.UFloat)
                else value for name, value in inputs.items()}  # fmt: skip

    def _refuse(self, title, error) -> None:
        """Keep why a figure cannot be told, each reason once."""
        if not any(kept.endswith(f": {error}") for kept in self._report["refused"]):
            self._report["refused"].append(f"{title}: {error}")

    def judge(
        self,
        check: str,
        readings: Mapping[str, Mapping[str, float]],
        facts: Mapping[str, object] | None = None,
        only_danger: bool = False,
        explained: bool = True,
    ) -> Verdict | None:
        """What readings mean by the bands of a check; None while its inputs are missing.

        `readings` are SI values by check and field; fields that are None are left out. `facts`
        replace those of the boiler for this judgement. With `only_danger` a reading that cannot
        clear anything is heard all the same when it is a danger. What is not `explained` has no
        meaning by itself, as where to look next has none without a complaint.
        """
        facts = {**self.facts, **(facts or {})}
        given = {
            name: {f: v for f, v in fields.items() if v is not None}
            for name, fields in readings.items()
        }
        if not any(given.values()):
            return None
        entry = self.knowledge.checks[check]
        try:
            banded = band(self.knowledge, facts, check, given, self.stated)
        except OutOfRange as error:
            self._refuse(entry.name, error)
            return None
        if banded is None:
            return None
        outcome = entry.outcomes[banded.outcome]
        if only_danger and not outcome.danger:
            return None
        explained = explained or banded.outcome != entry.healthy
        figure = self._in_typed_unit(check, banded.figure)
        verdict = Verdict(
            check=check,
            name=entry.name,
            figure=Figure(
                figure,
                words.shown(figure, figure.unit),
                needs=words.needs(self.knowledge, facts, entry, figure.quantity, figure.unit),
                band_source="; ".join(words.band_sources(self.knowledge, facts, entry)),
                accuracy=self._accuracy(figure.instruments),
            ),
            outcome=banded.outcome,
            says=outcome.says,
            means=outcome.means if explained else "",
            sound=banded.outcome == entry.healthy,
            doubt=words.doubt(entry, banded.weights),
            banded=banded,
        )
        self._report["verdicts"].append(verdict)
        for name in outcome.look_next:
            said = figure.title.lower() in outcome.says.lower()
            self.go_on_with(name, outcome.says if said else f"{figure.title}: {outcome.says}")
        if outcome.danger:
            headline = f"{figure.title} {verdict.figure.shown}: {outcome.says}"
            self.halt(danger_of(check, banded.outcome, headline, outcome.danger))
        return verdict

    def _accuracy(self, instruments) -> str:
        own = [name for name in instruments if name not in self._restated]
        said = [whose_accuracy(self.knowledge, self.stated, own)] if own else []
        return "; ".join([*said, *(self._restated[n] for n in instruments if n not in own)])

    def _in_typed_unit(self, check, figure) -> Calculated:
        """The figure in the unit its value was typed in, where it is the value itself."""
        typed = self._typed_units.get((check, figure.name))
        unit = typed or self._spoken.get(figure.quantity) or figure.unit
        return replace(figure, unit=unit and usual_spelling(figure.quantity, unit))

    def halt(self, danger: Danger) -> None:
        """Everything stops; the first reason stands."""
        self._danger = self._danger or danger

    def say(self, sentence: str) -> None:
        """Add a sentence about what the numbers mean."""
        if sentence not in self._report["says"]:
            self._report["says"].append(sentence)

    def go_on_with(self, check: str, why: str) -> None:
        """Name a check worth making next; the first reason for it stands."""
        possible = applies(self.knowledge.checks[check].only_if, self.facts)
        if possible and all(step.check != check for step in self._report["next"]):
            name = self.knowledge.checks[check].name
            self._report["next"].append(Next(check, name, why))

    def scaled(self, verdict: Verdict | None) -> None:
        """Add the picture of a verdict on the scale of its bands."""
        if verdict is not None:
            self.draw(scale_of(self.knowledge, self.facts, verdict))

    def draw(self, picture) -> None:
        """Add a picture."""
        self._report["pictures"].append(picture)

    def in_unit(self, value: float, quantity: str, unit: str) -> float:
        """A value as a bare number, for a picture."""
        return units.number_in(value, quantity, unit)

    def report(
        self, unread: Mapping[str, str], questions: tuple[str, ...], taken: tuple[str, ...]
    ) -> Report:
        """Everything found."""
        answered = {verdict.check for verdict in self._report["verdicts"]}
        found = {key: tuple(entries) for key, entries in self._report.items()}
        found["next"] = tuple(step for step in found["next"] if step.check not in answered)
        if self._danger:  # nothing is measured any more, and its advice is all there is to say
            found |= {"next": (), "says": ()}
        return Report(
            **found,
            danger=self._danger,
            unread=tuple(unread.items()),
            questions=questions,
            taken=taken,
        )


def danger_of(check: str, outcome: str, headline: str, danger: schema.Danger) -> Danger:
    """A danger of the knowledge, for a report."""
    return Danger(check, outcome, headline, danger.advice, danger.do_not, danger.who_acts)


def assumed_deviation(entry) -> float:
    """One standard deviation of what is assumed for an entry."""
    _, _, off = entry.assumed.partition(SPREAD)
    if not off:
        return 0.0
    return units.parse(off, units.difference_of(entry.quantity)) / ACCURACY_IS_SIGMAS
