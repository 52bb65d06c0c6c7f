"""What was entered on a sheet, read into SI with its accuracy, and what was worked out so far."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import uncertainties

from engine import units
from engine.belief.readings import Calculated, band
from engine.errors import OutOfRange, SightportError
from engine.knowledge import Knowledge
from engine.knowledge.facts import applies, fact_value
from engine.knowledge.instruments import Stated, deviation
from engine.physics.fuels import Fuel
from engine.physics.propagation import propagate
from engine.readings import words
from engine.readings.accuracy_words import whose_accuracy
from engine.readings.report import Danger, Figure, Next, Report, Verdict
from engine.readings.scales import scale_of
from engine.units.typed_values import usual_spelling

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
    typed_units : mapping of (check, field) to the unit in which its value was typed
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
        typed_units: Mapping[tuple[str, str], str],
    ):
        self.knowledge, self.facts, self.stated = knowledge, facts, stated
        self.fuel, self.rate = fuel, rate
        self.typed_units = typed_units
        self._values = values
        self._uncertain = {
            name: self._with_accuracy(entries[name], value) for name, value in values.items()
        }
        self._report: dict[str, list] = {
            key: [] for key in ("verdicts", "figures", "says", "next", "pictures", "refused")
        }
        self._danger: Danger | None = None

    def _with_accuracy(self, entry, value):
        if isinstance(value, str) or entry.instrument is None:
            return value
        spread = deviation(self.knowledge, self.stated, entry.instrument, value)
        return uncertainties.ufloat(value, spread) if spread else value

    # --- what was entered

    def __getitem__(self, name: str):
        """An entry with its uncertainty, a choice, or None when it was not entered."""
        return self._uncertain.get(name)

    def plain(self, name: str) -> float | None:
        """An entry's value alone."""
        return self._values.get(name)

    def has(self, *names: str) -> bool:
        """Whether all of these were entered."""
        return all(name in self._values for name in names)

    def fact(self, name: str):
        """A fact of the boiler, the typical one where it is not known; None where there is none."""
        return fact_value(self.knowledge, self.facts, name)[0]

    def is_typical(self, name: str) -> bool:
        """Whether a typical figure stands in for the fact."""
        return fact_value(self.knowledge, self.facts, name)[1]

    # --- what follows

    def figure(
        self, function: Callable, title: str, quantity: str, unit: str | None = None,
        note: str = "", listed: bool = True, **inputs,
    ) -> Figure | None:  # fmt: skip
        """Work a figure out of readings; None while an input is missing or is refused."""
        if any(value is None for value in inputs.values()):
            return None
        try:
            value, spread = propagate(function, inputs)
        except OutOfRange as error:
            self._refuse(title, error)
            return None
        calculated = Calculated(function.__name__, title, quantity, value, spread, unit)
        figure = Figure(calculated, words.shown(calculated, unit), note=note)
        if listed:
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
    def middles(inputs: Mapping[str, object]) -> dict[str, object]:
        """Inputs without their uncertainty."""
        return {name: uncertainties.nominal_value(value) if isinstance(value, uncertainties.UFloat)
                else value for name, value in inputs.items()}  # fmt: skip

    def _refuse(self, title, error) -> None:
        sentence = f"{title}: {error}"
        if sentence not in self._report["refused"]:
            self._report["refused"].append(sentence)

    def judge(
        self,
        check: str,
        readings: Mapping[str, Mapping[str, float]],
        facts: Mapping[str, object] | None = None,
        leads_on: bool = True,
    ) -> Verdict | None:
        """What readings mean by the bands of a check; None while its inputs are missing.

        `readings` are SI values by check and field; fields that are None are left out. `facts`
        replace those of the boiler for this judgement. A reading in doubt
        does not lead on: it suggests no check.
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
        except SightportError as error:
            self._refuse(entry.name, error)
            return None
        if banded is None:
            return None
        outcome = entry.outcomes[banded.outcome]
        figure = self._in_typed_unit(check, banded.figure)
        verdict = Verdict(
            check=check,
            name=entry.name,
            figure=Figure(
                figure,
                words.shown(figure, figure.unit),
                needs=words.needs(self.knowledge, facts, entry, figure.quantity, figure.unit),
                band_source="; ".join(words.band_sources(self.knowledge, facts, entry)),
                accuracy=whose_accuracy(self.knowledge, self.stated, figure.instruments),
            ),
            outcome=banded.outcome,
            says=outcome.says,
            means=outcome.means,
            sound=banded.outcome == entry.healthy,
            doubt=words.doubt(entry, banded.weights),
            banded=banded,
        )
        self._report["verdicts"].append(verdict)
        for name in outcome.look_next if leads_on else ():
            self.go_on_with(name, outcome.says)
        if outcome.danger and self._danger is None:
            self._danger = Danger(
                check=check,
                outcome=banded.outcome,
                headline=f"{figure.title} {verdict.figure.shown}: {outcome.says}",
                advice=outcome.danger.advice,
                do_not=outcome.danger.do_not,
                who_acts=outcome.danger.who_acts,
            )
        return verdict

    def _in_typed_unit(self, check, figure) -> Calculated:
        """The figure in the unit its value was typed in, where it is the value itself."""
        unit = self.typed_units.get((check, figure.name)) or figure.unit
        return replace(figure, unit=unit and usual_spelling(figure.quantity, unit))

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

    def report(self, unread: Mapping[str, str], questions: tuple[str, ...] = ()) -> Report:
        """Everything found."""
        if self._danger:  # nothing is measured any more
            self._report["next"].clear()
        return Report(
            **{key: tuple(entries) for key, entries in self._report.items()},
            danger=self._danger,
            unread=tuple(unread.items()),
            questions=questions,
        )
